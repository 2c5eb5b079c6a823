"""What must hold whatever the figures: stages, receipts, credit notes and VAT add up."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from jobs.billing.rules import (
    InvoiceLine,
    InvoiceSheet,
    Party,
    RateSum,
    Stage,
    credit_of,
    disagreements,
    invoices_less,
    share_stages,
    split_received,
    sums_by_rate,
    vat_on,
)
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import PENNY, round_line

D = Decimal
RATES = st.sampled_from([D(20), D(5), D(0)])
NETS = st.dictionaries(RATES, st.decimals("0.01", "100000", places=2), min_size=1)
CUTS = st.lists(st.decimals("0.01", "1", places=2), max_size=5)
SHARES = st.lists(st.integers(1, 10_000), min_size=1, max_size=6)


def stages_of(shares: list[int]) -> list[Stage]:
    """Turn weights into shares in per cent that add up to a hundred."""
    whole, found, given_ = sum(shares), [], D(0)
    for n, share in enumerate(shares[:-1]):
        part = (D(share) * 100 / whole).quantize(D("0.01"))
        found.append(Stage(f"stage {n}", percent=min(part, 100 - given_)))
        given_ += min(part, 100 - given_)
    return [*found, Stage("last", percent=100 - given_)]


@settings(max_examples=150)
@given(nets=NETS, shares=SHARES)
@example(nets={D(20): D("0.01"), D(5): D("0.01")}, shares=[1, 1, 1, 1, 1, 1])
def test_stages_add_up_to_the_document_at_every_rate(
    nets: dict[Decimal, Decimal], shares: list[int]
) -> None:
    whole = vat_on(nets)
    found = share_stages(nets, stages_of(shares))
    by_rate = sums_by_rate([row for each in found for row in each.by_rate])
    assert {(row.rate, row.net, row.vat) for row in by_rate.values()} == set(whole.by_rate)
    assert sum(each.gross for each in found) == whole.gross
    assert all(row.net >= 0 for each in found for row in each.by_rate)


@settings(max_examples=150)
@given(
    nets=NETS, cuts=st.lists(st.decimals("0.01", "1", places=2), max_size=5), reverse=st.booleans()
)
def test_invoices_that_follow_the_money_come_to_what_was_agreed(
    nets: dict[Decimal, Decimal], cuts: list[Decimal], reverse: bool
) -> None:
    agreed = {
        rate: RateSum(rate, net, D("0.00") if reverse else vat)
        for rate, net, vat in vat_on(nets).by_rate
    }
    left = agreed
    documents: list[RateSum] = []
    for cut in [*cuts, D(1)]:
        owed = sum((row.gross for row in left.values()), D(0))
        money = round_line(owed * cut)
        if not money:
            continue
        rows = split_received(money, left, reverse_charge=reverse)
        assert sum(row.gross for row in rows) == money
        documents += rows
        left = invoices_less(left, sums_by_rate(rows))
        assert all(row.net >= 0 and row.vat >= 0 for row in left.values())
    assert sums_by_rate(documents) == {
        rate: row for rate, row in agreed.items() if row.net or row.vat
    }


@settings(max_examples=150)
@given(nets=NETS, parts=CUTS)
def test_credit_notes_and_their_invoice_come_to_nothing_at_every_rate(
    nets: dict[Decimal, Decimal], parts: list[Decimal]
) -> None:
    stands = {rate: RateSum(rate, net, vat) for rate, net, vat in vat_on(nets).by_rate}
    for part in parts:
        wanted = {rate: round_line(row.net * part) for rate, row in stands.items()}
        if not any(wanted.values()):
            continue
        rows = credit_of(stands, wanted)
        stands = sums_by_rate([*stands.values(), *rows])
        assert all(row.net >= 0 and row.vat >= 0 for row in stands.values())
    if any(row.net for row in stands.values()):
        stands = sums_by_rate([*stands.values(), *credit_of(stands, None)])
    assert all(row.net == 0 and row.vat == 0 for row in stands.values())


@settings(max_examples=80)
@given(
    lines=st.lists(
        st.tuples(
            st.decimals("0.001", "500", places=3), st.decimals("0.0001", "999", places=4), RATES
        ),
        min_size=1, max_size=8,
    ),
    slip=st.sampled_from([0, 1]),
)  # fmt: skip
def test_a_sheet_that_is_a_penny_out_anywhere_is_found(
    lines: list[tuple[Decimal, Decimal, Decimal]], slip: int
) -> None:
    rows = [
        InvoiceLine("work", quantity, "m²", price, round_line(quantity * price), rate)
        for quantity, price, rate in lines
    ]
    nets: dict[Decimal, Decimal] = {}
    for row in rows:
        nets[row.rate] = nets.get(row.rate, D(0)) + row.net
    totals = vat_on(nets)
    values: dict[str, Any] = {
        "lines": tuple(rows), "rates": tuple(RateSum(*row) for row in totals.by_rate),
        "net": totals.net, "vat": totals.vat, "gross": totals.gross,
    }  # fmt: skip
    party = Party("x", "y", "GB999999973")
    sheet = InvoiceSheet(
        number="1", kind="invoice", title="", supply_on=date(2026, 5, 1),
        issued_on=date(2026, 5, 1), due_on=None, supplier=party, customer=party, job="",
        order_number="", **values | {"gross": totals.gross + PENNY * slip},
    )  # fmt: skip
    assert bool(disagreements(sheet)) is bool(slip)


@pytest.mark.parametrize(
    ("stages", "sentence"),
    [
        ([Stage("a", percent=D(50)), Stage("b", percent=D(49))], "must come to 100.00"),
        ([Stage("a", amount=D(50)), Stage("b", amount=D("49.99"))], "must come to 100.00"),
        ([Stage("a", percent=D(50)), Stage("b", amount=D(50))], "every stage in per cent"),
        ([Stage("a", percent=D(-1)), Stage("b", percent=D(101))], "less than nothing"),
        ([Stage("a")], "every stage in per cent"),
    ],
)
def test_stages_that_do_not_add_up_are_refused(stages: list[Stage], sentence: str) -> None:
    with pytest.raises(ServiceError, match=sentence):
        share_stages({D(20): D(100)}, stages)
