"""Adding up what became of goods: the parts always make up what came."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from stock.tracing.rules import Flow, accounts_of, job_accounts, number_words

# (kind, from, to) as the ledger allows them, and each the other way round when it is undone.
WAYS = [
    ("receive", "supplier", "bay", False), ("receive", "bay", "supplier", True),
    ("issue", "bay", "site", False), ("return", "site", "bay", True),
    ("return", "site", "van", False), ("issue", "van", "site", True),
    ("lay", "site", "laid", False), ("lay", "laid", "site", True),
    ("waste", "bay", "waste", False), ("waste", "waste", "bay", True),
    ("waste", "site", "waste", False), ("count", "bay", "adjustment", False),
    ("count", "adjustment", "site", False), ("transfer", "bay", "van", False),
    ("transfer", "bay", "adjustment", False), ("transfer", "adjustment", "bay", False),
]  # fmt: skip
steps = st.lists(st.tuples(st.sampled_from(WAYS), st.integers(1, 50)), max_size=40)
COUNTED = {"bay", "van", "site"}


def flow(way: tuple[str, str, str, bool], quantity: int) -> Flow:
    kind, start, end, undone = way
    job = 7 if "site" in {start, end} else None
    return Flow(1, kind, start, end, job, undone, quantity)


@settings(max_examples=200, deadline=None)
@given(steps)
def test_what_came_is_what_lies_there_and_what_left(moves: list) -> None:  # type: ignore[type-arg]
    flows = [flow(way, quantity) for way, quantity in moves]
    lying = sum(f.quantity for f in flows if f.to_kind in COUNTED) - sum(
        f.quantity for f in flows if f.from_kind in COUNTED
    )
    account = accounts_of(flows).get(1)
    assert (account.left if account else 0) == lying


@settings(max_examples=200, deadline=None)
@given(steps)
def test_what_a_job_drew_is_what_lies_there_and_what_left(moves: list) -> None:  # type: ignore[type-arg]
    flows = [flow(way, quantity) for way, quantity in moves]
    lying = sum(f.quantity for f in flows if f.to_kind == "site") - sum(
        f.quantity for f in flows if f.from_kind == "site"
    )
    account = job_accounts(flows, {1: 3}).get((7, 3))
    assert (account.left if account else 0) == lying


def test_an_undone_issue_was_never_drawn_and_an_undone_return_never_came_back() -> None:
    flows = [
        flow(("issue", "bay", "site", False), 5), flow(("return", "site", "bay", True), 5),
        flow(("issue", "bay", "site", False), 4), flow(("return", "site", "bay", False), 1),
        flow(("issue", "bay", "site", True), 1),
    ]  # fmt: skip
    account = job_accounts(flows, {1: 3})[7, 3]
    assert (account.drawn, account.back, account.left) == (4, 0, 4)


def test_mix_numbers_are_written_as_people_read_them() -> None:
    assert number_words([4, 1, 2, 3, 7, 9, 10]) == "1–4, 7, 9–10"
    assert number_words([]) == ""
