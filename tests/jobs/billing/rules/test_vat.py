"""VAT on totals, once per rate, half up."""

from __future__ import annotations

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from jobs.billing.rules import deposit_of, vat_on

D = Decimal
MONEY = st.decimals("-100000", "100000", places=2)


def test_vat_is_taken_on_the_total_not_on_lines() -> None:
    # Three lines of 0.33 at 20 %: 0.99 gives 0.198, which is 0.20 half up (HMRC VATREC12010 and
    # 12020: rounding down is a concession to invoice traders, not for consumers' prices).
    totals = vat_on({D(20): D("0.99")})
    assert (totals.net, totals.vat, totals.gross) == (D("0.99"), D("0.20"), D("1.19"))


def test_the_standard_rate_of_a_thousand() -> None:
    # 20 %: 1,000.00 gives 200.00 (VAT standard rate, GOV.UK; memory).
    assert vat_on({D(20): D("1000.00")}).gross == D("1200.00")


@given(nets=st.dictionaries(st.sampled_from([D(20), D(5), D(0)]), MONEY))
def test_sums_always_add_up(nets: dict[Decimal, Decimal]) -> None:
    totals = vat_on(nets)
    assert totals.net == sum(nets.values(), D(0))
    assert totals.vat == sum((row[2] for row in totals.by_rate), D(0))
    assert totals.gross == totals.net + totals.vat


@given(nets=st.dictionaries(st.sampled_from([D(20), D(5), D(0)]), MONEY))
def test_a_credit_undoes_its_invoice_at_every_rate(nets: dict[Decimal, Decimal]) -> None:
    there, back = vat_on(nets), vat_on({rate: -net for rate, net in nets.items()})
    assert [a[2] + b[2] for a, b in zip(there.by_rate, back.by_rate, strict=True)] == [0] * len(
        nets
    )


def test_a_deposit_is_a_share_in_whole_pence() -> None:
    assert deposit_of(D("1234.55"), D(25)) == D("308.64")
