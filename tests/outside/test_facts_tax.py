"""VAT, invoices, reverse charge, CIS and late payment against published rules and examples.

Long because: each published row stands in a check of its own, with its source beside it.
"""

from __future__ import annotations

import itertools
import random
from dataclasses import replace
from datetime import date, timedelta
from decimal import ROUND_DOWN, Decimal

import pytest
from stdnum.gb import utr, vat

from jobs.billing.rules import (
    WORDING,
    Excluded,
    InvoiceSheet,
    Party,
    RateSum,
    Supply,
    decide,
    deduct,
    fixed_sum_of,
    included_vat,
    is_utr,
    is_vat_number,
    late_claim,
    may_be_simplified,
    missing_particulars,
    one_line,
    payment_due,
    statement_due,
    tax_month_end,
    vat_on,
)
from jobs.billing.rules.late import FAIR_TERM_DAYS, USUAL_TERM_DAYS, base_rate_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import round_line, round_vat
from jobs.subcontract.rules import (
    Statement,
    StatementRow,
    Verified,
    month_start,
    rate_on,
    sum_bill,
)
from tests.outside.sources import fact

D = Decimal
ROUNDING = "https://gov.uk/hmrc-internal-manuals/vat-trader-records/vatrec12010"
RETAIL = "http://www.hmrc.gov.uk/hmrc-internal-manuals/vat-trader-records/vatrec12020"
PARTICULARS = "https://www.legislation.gov.uk/uksi/1995/2518/regulation/14/made?view=plain"
SIMPLIFIED = "https://legislation.gov.uk/uksi/1995/2518/regulation/16A/2020-01-01/data.html"
REVERSE = (
    "https://www.gov.uk/guidance/how-to-use-the-vat-reverse-charge-if-you-supply-building-and-"
    "construction-services."
)
FROM_MARCH = (
    "https://icas.com/landing/tax/hmrc-revises-vat-domestic-reverse-charge-technical-guidance"
)
WORDS = (
    "https://gov.uk/hmrc-internal-manuals/vat-reverse-charge-for-building-and-construction-"
    "services-manual/vatrevcon37200"
)
CIS = (
    "https://www.gov.uk/what-you-must-do-as-a-cis-contractor/make-deductions-and-pay-subcontractors"
)
CIS_EXAMPLE = "https://www.pattersonhallaccountants.co.uk/cis-calculation-example/"
CIS_MATERIALS = "https://www.gov.uk/hmrc-internal-manuals/compliance-operational-guidance/cog909190"
CIS_DATES = "https://adivaaccountants.co.uk/ufaqs/is-the-whole-payment-deducted/"
TRAVEL = (
    "http://www.nbcarwasher.com/tolley/tax/commentary/simons-taxes/personal-employment-tax/"
    "e5-546c-construction-industry-scheme-payments-to-subcontractors"
)
LATE = (
    "https://www.gov.uk/late-commercial-payments-interest-debt-recovery/"
    "charging-interest-commercial-debt"
)
FIXED = "http://www.legislation.gov.uk/cy/ukpga/1998/20/section/5A"
HALF_YEAR = "http://late-payment-law.co.uk/index.php?file=phased.page"
TERMS = (
    "http://www.mixobiz.co.uk/magazine/"
    "late-commercial-payments-charging-interest-and-debt-recovery/"
)
VAT_LIBRARY = "python-stdnum, stdnum.gb.vat"
UTR_LIBRARY = "python-stdnum, stdnum.gb.utr"


@fact(rows=2, source="memory: VAT standard rate 20 %, VAT fraction 1/6", mark="memory")
def test_the_standard_rate_and_its_fraction() -> None:
    """1,000.00 before VAT has 200.00; 1,200.00 with VAT holds 200.00."""
    assert vat_on({D(20): D("1000.00")}).vat == D("200.00")
    assert included_vat(D("1200.00"), D(20)) == D("200.00")
    # The fraction of a rate r is r / (100 + r): 1/6 at 20 %, 1/21 at 5 % (derived).
    for gross in (D("0.01"), D("99.99"), D("1234.56")):
        assert included_vat(gross, D(20)) == round_line(gross / 6)
        assert included_vat(gross, D(5)) == round_line(gross / 21)


@fact(rows=3, source=ROUNDING, mark="derived")
@fact(rows=1, source=RETAIL, mark="seen")
def test_rounding_on_the_total_and_never_down() -> None:
    """Three lines of 0.33 at 20 %: 0.21 by line, 0.20 on the total, 0.19 cut down."""
    by_line = 3 * round_vat(D("0.33"), D(20))
    on_total = vat_on({D(20): 3 * D("0.33")}).vat
    cut_down = (D("0.99") * D("0.2")).quantize(D("0.01"), rounding=ROUND_DOWN)
    assert (by_line, on_total, cut_down) == (D("0.21"), D("0.20"), D("0.19"))


def full_sheet() -> InvoiceSheet:
    return InvoiceSheet(
        number="INV-2026-0001", kind="invoice", title="VAT invoice",
        supply_on=date(2026, 5, 14), issued_on=date(2026, 5, 14), due_on=date(2026, 5, 28),
        supplier=Party("We", "3 Tarn Yard", "GB999999973"), customer=Party("They", "4 Mill Lane"),
        job="J-2026-0001", order_number="",
        lines=(one_line("Surfacing laid", D("250.00"), D(20)),),
        rates=(RateSum(D(20), D("250.00"), D("50.00")),),
        net=D("250.00"), vat=D("50.00"), gross=D("300.00"),
    )  # fmt: skip


@fact(rows=13, source=PARTICULARS, mark="seen")
def test_a_full_invoice_misses_each_particular_that_is_left_out() -> None:
    """Regulation 14(1): number, times, names, addresses, VAT number, description, units, rates."""
    sheet = full_sheet()
    assert missing_particulars(sheet) == ()
    line = sheet.lines[0]
    for change, missed in (
        ({"number": ""}, "number"),
        ({"supply_on": None}, "time of supply"),
        ({"issued_on": None}, "day of issue"),
        ({"supplier": replace(sheet.supplier, name="")}, "our name"),
        ({"supplier": replace(sheet.supplier, address="")}, "our address"),
        ({"supplier": replace(sheet.supplier, vat_number="")}, "our VAT number"),
        ({"customer": replace(sheet.customer, name="")}, "customer's name"),
        ({"customer": replace(sheet.customer, address="")}, "customer's address"),
        ({"lines": (replace(line, words=""),)}, "description"),
        ({"lines": (replace(line, quantity=D(0)),)}, "quantity"),
        ({"lines": (replace(line, unit=""),)}, "unit"),
        ({"rates": ()}, "rate of VAT"),
        ({"reverse_vat": D("50.00"), "vat": D(0)}, "reverse charge"),
    ):
        found = missing_particulars(replace(sheet, **change))
        assert any(missed in words for words in found), missed
    # (m) the unit price, and the sums by rate, before VAT and of VAT stand as figures of the type.
    assert (line.unit_price, sheet.net, sheet.vat) == (D("250.00"), D("250.00"), D("50.00"))


@fact(rows=7, source=SIMPLIFIED, mark="seen")
def test_the_short_form_up_to_250_pounds() -> None:
    """Regulation 16A: 250.00 with VAT will do, 250.01 will not; no customer needs to be named."""
    assert may_be_simplified(D("250.00"))
    assert not may_be_simplified(D("250.01"))
    sheet = replace(
        full_sheet(), kind="simplified", customer=Party("", ""), number="",
        net=D("208.33"), vat=D("41.67"), gross=D("250.00"),
    )  # fmt: skip
    assert missing_particulars(sheet) == ()
    assert missing_particulars(replace(sheet, gross=D("250.01"))) != ()
    for change in (
        {"supplier": Party("", "x", "y")}, {"supplier": Party("x", "", "y")},
        {"supplier": Party("x", "y", "")}, {"supply_on": None}, {"lines": ()}, {"rates": ()},
    ):  # fmt: skip
        assert len(missing_particulars(replace(sheet, **change))) == 1


def supply(**changes: object) -> Supply:
    return replace(
        Supply(
            supplier_registered=True, customer_registered=True, consumer=False,
            reported_under_cis=True, rate=D(20), employment_business=False,
            end_user_confirmed=False, supply_on=date(2026, 5, 14),
        ),
        **changes,
    )  # fmt: skip


@fact(rows=64, source=REVERSE, mark="derived")
def test_the_reverse_charge_needs_every_condition() -> None:
    """All 64 cases of six conditions: it applies in one, where all of them hold."""
    names = ("supplier_registered", "customer_registered", "reported_under_cis")
    against = ("employment_business", "end_user_confirmed", "consumer")
    applies = []
    for case in itertools.product((True, False), repeat=6):
        values = dict(zip((*names, *against), case, strict=True))
        verdict = decide(supply(**values))
        wrong = sum(not values[name] for name in names) + sum(values[name] for name in against)
        assert verdict.applies is (wrong == 0)
        assert verdict.applies or len(verdict.reasons) == wrong
        applies.append(verdict.applies)
    assert applies.count(True) == 1


@fact(rows=3, source=REVERSE, mark="seen")
def test_the_reverse_charge_by_rate() -> None:
    """Standard and reduced rated work, never zero rated."""
    assert [decide(supply(rate=rate)).applies for rate in (D(20), D(5), D(0))] == [
        True, True, False,
    ]  # fmt: skip


@fact(rows=2, source=FROM_MARCH, mark="seen")
def test_the_reverse_charge_begins_in_march_2021() -> None:
    """28 February 2021 not, 1 March 2021 so."""
    assert not decide(supply(supply_on=date(2021, 2, 28))).applies
    assert decide(supply(supply_on=date(2021, 3, 1))).applies


@fact(rows=2, source=WORDS, mark="seen")
def test_the_words_of_the_reverse_charge() -> None:
    """It must say 'reverse charge', and who pays the VAT to HMRC."""
    assert "reverse charge" in WORDING.lower()
    assert "section 55A" in WORDING
    assert "customer" in WORDING
    assert "HMRC" in WORDING


@fact(rows=1, source=CIS_EXAMPLE, mark="derived")
def test_the_cis_example() -> None:
    """Labour 500 and materials 200, VAT 140, at 20 %: tax 100, paid out 740."""
    found = deduct(
        gross=D("840.00"), vat=D("140.00"), excluded=Excluded(materials=D("200.00")),
        percent=D(20),
    )  # fmt: skip
    assert (found.tax, found.paid) == (D("100.00"), D("740.00"))


@fact(rows=3, source=CIS, mark="seen")
def test_the_cis_rates() -> None:
    """20, 30 and 0 %, and no other."""
    taxes = [
        deduct(gross=D(1000), vat=D(0), excluded=Excluded(), percent=D(rate)).tax
        for rate in (20, 30, 0)
    ]
    assert taxes == [D(200), D(300), D(0)]
    with pytest.raises(ServiceError, match="20, 30 or 0"):
        deduct(gross=D(1000), vat=D(0), excluded=Excluded(), percent=D(25))


@fact(rows=5, source=CIS, mark="seen")
@fact(rows=1, source=CIS_MATERIALS, mark="seen")
@fact(rows=1, source=TRAVEL, mark="seen")
def test_what_cis_is_not_taken_on() -> None:
    """Materials, consumables, fuel, plant hire and prefabrication; travel is no field of it."""
    kinds = ("materials", "consumables", "fuel", "plant_hire", "prefabrication")
    assert tuple(Excluded.__dataclass_fields__) == kinds
    for kind in kinds:
        excluded = Excluded(**{kind: D(400)})
        assert deduct(gross=D(1200), vat=D(200), excluded=excluded, percent=D(20)).tax == D(120)


@fact(rows=2, source=CIS, mark="seen")
def test_the_statement_is_due_on_the_19th() -> None:
    """Payments of 6 May to 5 June: the month ends on 5 June, the statement by 19 June."""
    for paid_on in (date(2026, 5, 6), date(2026, 6, 5)):
        assert tax_month_end(paid_on) == date(2026, 6, 5)
        assert statement_due(paid_on) == date(2026, 6, 19)
    assert statement_due(date(2026, 6, 6)) == date(2026, 7, 19)
    assert statement_due(date(2026, 12, 31)) == date(2027, 1, 19)


@fact(rows=2, source=CIS, mark="seen")
def test_the_tax_month_runs_from_the_6th_to_the_5th() -> None:
    """6 May to 5 June, and over the turn of the year; every day is in one month only."""
    assert month_start(date(2026, 6, 5)) == date(2026, 5, 6)
    assert month_start(date(2027, 1, 5)) == date(2026, 12, 6)
    day = date(2026, 1, 1)
    while day < date(2028, 3, 1):
        end = tax_month_end(day)
        assert month_start(end) <= day <= end
        day += timedelta(days=1)


@fact(rows=1, source=CIS_EXAMPLE, mark="derived")
def test_a_subcontractors_bill_is_paid_as_in_the_example() -> None:
    """The same figures as his bill: labour 500, materials 200, VAT 140; he is paid 740."""
    excluded = Excluded(materials=D(200))
    bill = sum_bill(labour=D(500), excluded=excluded, rate=D(20), vat=D(140), reverse_charge=False)
    found = deduct(gross=bill.gross, vat=bill.vat, excluded=excluded, percent=D(20))
    assert (bill.net, found.tax, found.paid) == (D(700), D(100), D(740))


@fact(rows=1, source=CIS, mark="seen")
def test_one_who_is_not_verified_has_30_per_cent_deducted() -> None:
    """The higher rate where he is not registered or cannot be verified; before that day too."""
    assert rate_on([], date(2026, 5, 14)).percent == 30
    later = Verified(1, D(20), "V0123456789", date(2026, 5, 15))
    assert rate_on([later], date(2026, 5, 14)).percent == 30
    assert rate_on([later], date(2026, 5, 15)).percent == 20


@fact(rows=1, source="memory: GOV.UK, what a payment and deduction statement must show",
      mark="memory")  # fmt: skip
def test_what_a_statement_must_say() -> None:
    """Our name and employer's reference, his name and UTR, payments, materials, deduction."""
    row = StatementRow(
        "1", "J-1", date(2026, 5, 14), D(700), D(200), D(500), D(20), D(100), D(140), D(740)
    )
    whole = Statement(
        "We", "3 Tarn Yard", "123/AB456", "They", "", "1955839661", "", date(2026, 6, 5), (row,),
        ("V0123456789",),
    )  # fmt: skip
    assert (whole.net, whole.excluded, whole.deduction) == (700, 200, 100)
    assert whole.missing() == ()
    for change in (
        {"contractor": ""}, {"employer_reference": ""}, {"subcontractor": ""}, {"utr": ""},
        {"rows": ()},
    ):  # fmt: skip
        assert len(replace(whole, **change).missing()) == 1


@fact(rows=2, source=CIS_DATES, mark="seen")
def test_the_deduction_is_paid_over_by_the_19th_or_22nd() -> None:
    """By post the 19th; electronically the 22nd, or the banking day before it."""

    def weekday(day: date) -> bool:
        return day.weekday() < 5

    may = date(2026, 5, 10)
    assert payment_due(may, electronic=False, is_banking_day=weekday) == date(2026, 6, 19)
    assert payment_due(may, electronic=True, is_banking_day=weekday) == date(2026, 6, 22)
    # 22 August 2026 is a Saturday.
    july = date(2026, 7, 10)
    assert payment_due(july, electronic=True, is_banking_day=weekday) == date(2026, 8, 21)


@fact(rows=4, source=LATE, mark="seen")
def test_the_late_payment_example() -> None:
    """£1,000 at base 0.5 %: £85 a year, 23p a day, £11.50 in 50 days (unrounded 11.64)."""
    claim = late_claim(
        debt=D(1000), base_rate=D("0.5"), due_on=date(2026, 3, 1), until=date(2026, 4, 20),
        consumer=False,
    )  # fmt: skip
    assert (claim.days, claim.yearly, claim.daily) == (50, D("85.00"), D("0.23"))
    assert claim.interest == D("11.50")
    assert round_line(D(85) * 50 / 365) == D("11.64")


@fact(rows=4, source=FIXED, mark="seen")
def test_the_fixed_sums() -> None:
    """£40 below £1,000, £70 below £10,000, £100 from there."""
    debts = (D("999.99"), D("1000.00"), D("9999.99"), D("10000.00"))
    assert [fixed_sum_of(debt) for debt in debts] == [40, 70, 70, 100]


@fact(rows=1, source=FIXED, mark="seen")
def test_no_interest_from_a_consumer() -> None:
    """The Act is for debts between businesses."""
    with pytest.raises(ServiceError, match="not for a household"):
        late_claim(
            debt=D(1000), base_rate=D(4), due_on=date(2026, 3, 1), until=date(2026, 4, 1),
            consumer=True,
        )  # fmt: skip


@fact(rows=4, source=HALF_YEAR, mark="seen")
def test_the_base_rate_holds_for_a_half_year() -> None:
    """That of 31 December from January to June, that of 30 June from July to December."""
    assert base_rate_day(date(2026, 1, 1)) == base_rate_day(date(2026, 6, 30)) == date(2025, 12, 31)
    assert base_rate_day(date(2026, 7, 1)) == base_rate_day(date(2026, 12, 31)) == date(2026, 6, 30)


@fact(rows=2, source=TERMS, mark="seen")
def test_the_usual_and_the_fair_term() -> None:
    """30 days where nothing was agreed; longer than 60 must be fair."""
    assert (USUAL_TERM_DAYS, FAIR_TERM_DAYS) == (30, 60)


@fact(rows=4, source=VAT_LIBRARY, mark="run")
def test_vat_numbers_against_a_library() -> None:
    """Three numbers that fit and one that does not, then ten thousand at random."""
    known = {"GB980780684": True, "802311782": True, "100190874": True, "123456789": False}
    for number, fits in known.items():
        assert is_vat_number(number) is fits is vat.is_valid(number)
    chance = random.Random(14)
    for _ in range(10_000):
        number = f"{chance.randrange(10**9):09d}"
        assert is_vat_number(number) is vat.is_valid(number), number


@fact(rows=2, source=UTR_LIBRARY, mark="run")
def test_taxpayer_references_against_a_library() -> None:
    """One that fits and one that does not, then five thousand at random."""
    for number, fits in {"1955839661": True, "2955839661": False}.items():
        assert is_utr(number) is fits is utr.is_valid(number)
    chance = random.Random(41)
    for _ in range(5_000):
        number = f"{chance.randrange(10**10):010d}"
        assert is_utr(number) is utr.is_valid(number), number
