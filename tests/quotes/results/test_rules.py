"""Sums of quotes add up, however they are grouped."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from quotes.results.enums import Outcome
from quotes.results.rules import GROUPINGS, Result, losses, tallies, tally

RESULTS = st.lists(
    st.builds(
        Result,
        sent_on=st.dates(date(2025, 1, 1), date(2026, 12, 31)),
        outcome=st.sampled_from(Outcome.values),
        net=st.decimals("0.01", 90_000, places=2),
        floor=st.decimals("0.01", 90_000, places=2),
        source=st.sampled_from(["telephone", "our website"]),
        base=st.sampled_from(["tarmac", "concrete"]),
        customer_kind=st.sampled_from(["household", "builder"]),
        reason=st.sampled_from(["price", "no answer"]),
    ),
    max_size=25,
)


@given(RESULTS)
@settings(max_examples=40, deadline=None)
def test_every_grouping_adds_up_to_the_whole(results: list[Result]) -> None:
    whole = tally("all", results)

    for _, key in GROUPINGS:
        rows = tallies(results, key)
        assert sum(row.sent for row in rows) == whole.sent == len(results)
        assert sum(row.net for row in rows) == whole.net == sum(r.net for r in results)
        assert sum(row.margin for row in rows) == whole.margin
        for outcome in Outcome.values:
            assert sum(row.count[outcome] for row in rows) == whole.count[outcome]
    assert sum(row.net for row in losses(results)) == whole.value["lost"]
    assert whole.hit_rate is None or 0 <= whole.hit_rate <= 100


def test_hit_rates_are_of_what_was_decided() -> None:
    """By pencil: 2 won of 3 decided; £3,000 of £8,000; the two undecided count in neither."""
    day = date(2026, 5, 1)

    def result(outcome: str, net: str, days: int = 0) -> Result:
        return Result(
            day + timedelta(days), outcome, Decimal(net), Decimal(net) / 2, "", "", "", "price"
        )

    whole = tally("all", [
        result("won", "1000"), result("won", "2000"), result("lost", "5000"),
        result("open", "700"), result("lapsed", "300"),
    ])  # fmt: skip

    assert whole.hit_rate == Decimal("66.7")
    assert whole.value_rate == Decimal("37.5")
    assert (whole.sent, whole.net) == (5, Decimal(9000))
    assert whole.margin_share == Decimal("50.0")
    assert tally("none", [result("open", "1")]).hit_rate is None
