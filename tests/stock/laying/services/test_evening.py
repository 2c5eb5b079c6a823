"""The evening balance: drawn = laid + back + waste + used + stays + unexplained."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.db.models import Sum
from hypothesis import HealthCheck, Phase, example, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st

from jobs.costing.models import CostEntry
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import KeyUsedError
from stock.allocation.models import Requirement
from stock.laying.models import Discrepancy, LayDay
from stock.laying.queries import evening_balance
from stock.laying.services import EveningRow, answer_discrepancy, evening_return
from stock.ledger.models import Balance, Lot, Posting
from stock.movements.queries import audit_stock
from tests.factories import AT, DAY, make_edging, make_job, make_lot, make_requirement
from tests.stock.laying.world import BAG, Site, issue_all, make_site_with, open_day, tap

pytestmark = pytest.mark.django_db


def balance(site: Site, *rows: EveningRow, **fields: Any) -> LayDay:
    assert site.day is not None
    values: dict[str, Any] = {
        "lay_day_id": site.day.pk, "rows": rows, "place_id": site.bay.pk, "key": uuid4(),
        "by": None, "at": AT,
    }  # fmt: skip
    return evening_return(**values | fields)


def row(site: Site, name: str, **parts: Any) -> EveningRow:
    return EveningRow(site.lots[name].pk, **parts)


def in_bay(site: Site, lot: Lot) -> int:
    found = Balance.objects.filter(place=site.bay, lot=lot).first()
    return found.quantity if found else 0


def test_unopened_comes_back_opened_bags_are_held_and_opened_kits_are_waste() -> None:
    site = make_site_with(3)
    open_day(site)
    tap(site)
    balance(
        site,
        row(site, "kit", back=1, waste=1, reason="opened, rain came"),
        row(site, "stone", back=7 * BAG, opened=12_000, waste=8_000, reason="wet"),
        row(site, "sand", back=5_000, opened=2_500),
    )
    assert [in_bay(site, lot) for lot in site.lots.values()] == [1, 7 * BAG, 5_000]
    held = {lot.parent: lot for lot in Lot.objects.held()}
    assert {parent: lot.received for parent, lot in held.items()} == {
        site.lots["stone"]: 12_000, site.lots["sand"]: 2_500,
    }  # fmt: skip
    assert held[site.lots["stone"]].held_reason == f"opened at {site.job.reference}"
    assert [site.left(name) for name in site.lots] == [0, 0, 0]
    assert not Discrepancy.objects.exists()
    # Laid one kit of three, wasted one: two kits' cost stay on the job, at £10 each.
    kits = CostEntry.objects.filter(job=site.job, what__contains=site.lots["kit"].code)
    assert kits.aggregate(all=Sum("amount"))["all"] == Decimal("20.00")
    assert set(Requirement.objects.values_list("closed_at", flat=True)) == {AT}
    assert audit_stock().ok


def test_an_opened_kit_does_not_come_back() -> None:
    site = make_site_with(1)
    open_day(site)
    with pytest.raises(ServiceError) as refusal:
        balance(site, row(site, "kit", opened=1))
    assert refusal.value.field == f"opened_{site.lots['kit'].pk}"
    assert refusal.value.message.startswith("An opened kit does not come back")
    assert site.left("kit") == 1


def test_part_of_a_bag_is_not_unopened() -> None:
    site = make_site_with(1)
    open_day(site)
    with pytest.raises(ServiceError) as refusal:
        balance(site, row(site, "stone", back=BAG // 2))
    assert refusal.value.field == f"back_{site.lots['stone'].pk}"


def test_waste_says_why() -> None:
    site = make_site_with(1)
    open_day(site)
    with pytest.raises(ServiceError) as refusal:
        balance(site, row(site, "kit", waste=1, reason=" "))
    assert refusal.value.field == f"reason_{site.lots['kit'].pk}"


def test_more_than_the_book_has_is_asked_again_and_nothing_is_written() -> None:
    site = make_site_with(3)
    open_day(site)
    tap(site)
    postings = Posting.objects.count()
    with pytest.raises(ServiceError) as refusal:
        balance(site, row(site, "stone", back=4 * BAG), row(site, "kit", back=3))
    assert refusal.value.field == f"back_{site.lots['kit'].pk}"
    assert refusal.value.message.startswith(
        f"By the book 2 kits of {site.lots['kit'].code} are at the site, and you give 3 kits."
    )
    assert Posting.objects.count() == postings


def test_what_nobody_explains_is_a_difference_and_stays_in_the_book() -> None:
    site = make_site_with(2)
    open_day(site)
    tap(site)
    balance(site, row(site, "stone", back=3 * BAG))
    asked = Discrepancy.objects.get()
    assert (asked.lot, asked.quantity, site.left("stone")) == (site.lots["stone"], BAG, BAG)
    assert asked.what == (
        f"1 bag of {site.lots['stone'].code}, {site.lots['stone'].item}, drawn and neither laid, "
        "brought back nor wasted."
    )
    # Found behind the van later on: the difference answers itself.
    balance(site, row(site, "stone", back=BAG))
    asked.refresh_from_db()
    assert (asked.answer, site.left("stone")) == ("Found in a later balance.", 0)


def test_the_storeman_writes_a_difference_off() -> None:
    site = make_site_with(2)
    open_day(site)
    balance(site, row(site, "stone", back=7 * BAG))
    asked = Discrepancy.objects.get()
    with pytest.raises(ServiceError) as refusal:
        answer_discrepancy(discrepancy_id=asked.pk, answer=" ", by=None, at=AT)
    assert refusal.value.field == "answer"
    for _ in range(2):
        answer_discrepancy(
            discrepancy_id=asked.pk, answer="Left on the kerb.", settle=True, by=None, at=AT
        )
    assert site.left("stone") == 0
    assert Posting.objects.filter(kind="count", job=site.job).count() == 1
    assert audit_stock().ok


def test_a_dear_difference_needs_one_who_may_approve_counts() -> None:
    site = make_site_with(2)
    open_day(site)
    balance(site, row(site, "stone", back=2 * BAG))
    asked = Discrepancy.objects.get()
    values: dict[str, Any] = {
        "discrepancy_id": asked.pk,
        "answer": "Stolen.",
        "settle": True,
        "by": None,
        "at": AT,
    }
    # Six bags at £10 are above the limit of £50.
    with pytest.raises(ServiceError, match="It is worth £60") as refusal:
        answer_discrepancy(**values)
    assert refusal.value.code == "approve"
    answer_discrepancy(**values, may_approve=True)
    assert site.left("stone") == 0


def test_edging_that_was_used_asks_nobody() -> None:
    site = make_site_with(1, issue=False)
    edging = make_edging()
    make_requirement(site.job, edging, 4, colour_group="", phase="prepare")
    site.lots["edging"] = make_lot(edging, 4)
    issue_all(site)
    open_day(site)
    tap(site)
    balance(site, row(site, "edging", back=2_500, used=7_500))
    assert (site.left("edging"), in_bay(site, site.lots["edging"])) == (0, 2_500)
    assert not Discrepancy.objects.exists()


def test_the_same_balance_sent_twice_books_once() -> None:
    site = make_site_with(2)
    open_day(site)
    key = uuid4()
    for _ in range(2):
        balance(site, row(site, "kit", back=2), key=key)
    assert in_bay(site, site.lots["kit"]) == 2
    with pytest.raises(KeyUsedError):
        balance(site, row(site, "kit", back=1), key=key)


def test_a_kit_past_its_date_is_waste() -> None:
    site = make_site_with(1)
    open_day(site)
    Lot.objects.filter(pk=site.lots["kit"].pk).update(expiry=DAY - timedelta(days=1))
    with pytest.raises(ServiceError, match="book it as waste"):
        balance(site, row(site, "kit", back=1))


def test_another_jobs_lot_is_not_at_this_site() -> None:
    site, other = make_site_with(1), make_site_with(1)
    open_day(site)
    with pytest.raises(ServiceError, match="By the book 0 kits"):
        balance(site, EveningRow(other.lots["kit"].pk, back=1))
    assert other.left("kit") == 1


@hypothesis_settings(
    max_examples=15, deadline=None, phases=[Phase.explicit, Phase.generate],
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)  # fmt: skip
@example(mixes=1, back=6, opened=15_000, waste=5_000, stays=0)
@example(mixes=3, back=1, opened=0, waste=0, stays=0)
@given(
    mixes=st.integers(0, 3), back=st.integers(0, 12), opened=st.integers(0, 30_000),
    waste=st.integers(0, 30_000), stays=st.integers(0, 30_000),
)  # fmt: skip
def test_what_was_drawn_is_always_accounted_for(
    db: None, mixes: int, back: int, opened: int, waste: int, stays: int
) -> None:
    """drawn = laid + back + waste + stays + unexplained, whatever the evening brings."""
    site = make_site_with(3)
    open_day(site)
    for _ in range(mixes):
        tap(site)
    lot, left = site.lots["stone"], site.left("stone")
    given_out = EveningRow(
        lot.pk, back=back * BAG, opened=opened, waste=waste, stays=stays, reason="wet"
    )
    if given_out.accounted > left:
        with pytest.raises(ServiceError):
            balance(site, given_out)
        assert site.left("stone") == left
        return
    balance(site, given_out)
    missing = sum(Discrepancy.objects.open().filter(lot=lot).values_list("quantity", flat=True))
    found = next(each for each in evening_balance(site.job.pk) if each.lot == lot)
    assert found.drawn == 12 * BAG
    assert found.drawn == found.logged + found.back + found.waste + stays + missing
    assert found.left == site.left("stone") == stays + missing
    assert audit_stock().ok


def test_a_job_without_a_site_balances_nothing() -> None:
    assert evening_balance(make_job().pk) == []
