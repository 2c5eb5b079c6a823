"""The ledger: postings with keys, guarded balances, cost to the penny."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.db import transaction
from django.db.models import Sum

from jobs.costing.models import CostEntry
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import KeyUsedError
from stock.ledger import queries
from stock.ledger.models import Balance, Lot, Movement, Posting
from stock.ledger.services import (
    Row,
    hold_lot,
    post_lot,
    post_movements,
    release_lot,
    split_lot,
)
from tests.factories import AT, DAY, make_job, make_kit, make_lot, make_place, make_stone

pytestmark = pytest.mark.django_db


def book(kind: str, rows: list[Row], **fields: Any) -> Posting:
    values: dict[str, Any] = {"key": uuid4(), "day": DAY, "by": None, "at": AT}
    with transaction.atomic():
        return post_movements(kind=kind, rows=rows, **values | fields)


def issue(lot: Lot, quantity: int, job: Any, bay: Any, **fields: Any) -> Posting:
    site = queries.place("site", job)
    return book("issue", [Row(lot.pk, quantity, bay.pk, site.pk)], job_id=job.pk, **fields)


def bring_back(lot: Lot, quantity: int, job: Any, bay: Any, **fields: Any) -> Posting:
    site = queries.place("site", job)
    return book("return", [Row(lot.pk, quantity, site.pk, bay.pk)], job_id=job.pk, **fields)


def actual(job: Any) -> Decimal:
    found = CostEntry.objects.filter(job=job, kind="actual").aggregate(all=Sum("amount"))["all"]
    return found or Decimal("0.00")


def test_post_lot_puts_it_in_its_place_with_one_movement() -> None:
    bay = make_place()
    lot = make_lot(make_kit(), packs=17, place=bay)
    assert (lot.on_hand, lot.at_sites, lot.reserved, lot.costed) == (17, 0, 0, 0)
    assert lot.balances.get().quantity == 17
    move = lot.movements.get()
    assert (move.from_place.kind, move.to_place, move.cost) == ("supplier", bay, None)


def test_post_lot_again_with_the_same_key_is_the_same_lot() -> None:
    key, bay, kit = uuid4(), make_place(), make_kit()
    first = make_lot(kit, place=bay, key=key, batch_a="A1", batch_b="B1")
    again = make_lot(kit, place=bay, key=key, batch_a="A1", batch_b="B1")
    assert again == first
    assert Lot.objects.count() == 1


def test_a_kits_date_is_the_earlier_of_its_parts() -> None:
    lot = make_lot(make_kit(), expiry_a=date(2026, 9, 30), expiry_b=date(2026, 7, 31))
    assert lot.expiry == date(2026, 7, 31)


def test_an_orphan_tin_is_no_kit() -> None:
    with pytest.raises(ServiceError) as refusal:
        make_lot(make_kit(), expiry_b=None)
    assert refusal.value.field == "expiry_b"
    assert not Lot.objects.exists()


def test_run_matched_stone_needs_its_run() -> None:
    with pytest.raises(ServiceError) as refusal:
        make_lot(make_stone(), run=" ")
    assert refusal.value.field == "run"


def test_issue_moves_to_the_site_and_posts_the_lots_cost_once() -> None:
    bay, job = make_place(), make_job()
    lot = make_lot(make_kit(), packs=3, cost=Decimal("100.00"), place=bay)
    issue(lot, 2, job, bay)
    lot.refresh_from_db()
    assert (lot.on_hand, lot.at_sites, lot.costed) == (1, 2, 2)
    entry = CostEntry.objects.get(job=job)
    # 2/3 of 100.00, half up
    assert (entry.amount, entry.quantity, entry.unit) == (Decimal("66.67"), Decimal(2), "piece")
    assert entry.category == "materials"


def test_issues_of_a_whole_lot_add_up_to_its_cost() -> None:
    bay, job = make_place(), make_job()
    lot = make_lot(make_kit(), packs=7, cost=Decimal("100.00"), place=bay)
    for _ in range(7):
        issue(lot, 1, job, bay)
    assert actual(job) == Decimal("100.00")


def test_a_return_credits_exactly_what_those_units_were_issued_at() -> None:
    bay, first, second = make_place(), make_job(), make_job()
    lot = make_lot(make_kit(), packs=3, cost=Decimal("100.00"), place=bay)
    issue(lot, 1, first, bay)
    issue(lot, 1, second, bay)
    assert (actual(first), actual(second)) == (Decimal("33.33"), Decimal("33.34"))
    bring_back(lot, 1, first, bay)
    assert (actual(first), actual(second)) == (Decimal("0.00"), Decimal("33.34"))
    issue(lot, 2, second, bay)
    assert actual(second) == Decimal("100.00")


def test_a_return_of_part_credits_its_share_and_the_rest_gives_back_the_rest() -> None:
    bay, job = make_place(), make_job()
    lot = make_lot(make_kit(), packs=3, cost=Decimal("0.05"), place=bay)
    issue(lot, 3, job, bay)
    bring_back(lot, 1, job, bay)
    bring_back(lot, 2, job, bay)
    assert actual(job) == Decimal("0.00")
    lot.refresh_from_db()
    assert (lot.on_hand, lot.at_sites, lot.costed) == (3, 0, 0)


def test_lay_posts_no_cost_and_takes_it_from_the_site() -> None:
    bay, job = make_place(), make_job()
    lot = make_lot(make_kit(), packs=3, place=bay)
    issue(lot, 2, job, bay)
    before = actual(job)
    site, laid = queries.place("site", job), queries.place("laid")
    book("lay", [Row(lot.pk, 1, site.pk, laid.pk)], job_id=job.pk)
    lot.refresh_from_db()
    assert (lot.on_hand, lot.at_sites) == (1, 1)
    assert actual(job) == before


def test_the_same_key_posts_once_and_with_other_figures_is_refused() -> None:
    bay, job, key = make_place(), make_job(), uuid4()
    lot = make_lot(make_kit(), packs=3, place=bay)
    first = issue(lot, 1, job, bay, key=key)
    assert issue(lot, 1, job, bay, key=key) == first
    assert Posting.objects.filter(kind="issue").count() == 1
    with pytest.raises(KeyUsedError):
        issue(lot, 2, job, bay, key=key)


def test_nothing_goes_below_nothing() -> None:
    bay, job = make_place(name="bay 2"), make_job()
    lot = make_lot(make_kit(), packs=3, place=bay)
    with pytest.raises(ServiceError) as refusal:
        issue(lot, 4, job, bay)
    assert refusal.value.message == (f"3 kits of {lot.code} lie in bay 2; 4 kits cannot leave it.")
    assert not CostEntry.objects.exists()
    assert Balance.objects.get(lot=lot).quantity == 3


def test_what_is_reserved_cannot_be_wasted() -> None:
    bay = make_place()
    lot = make_lot(make_kit(), packs=3, place=bay)
    Lot.objects.filter(pk=lot.pk).update(reserved=2)
    with pytest.raises(ServiceError) as refusal:
        book("waste", [Row(lot.pk, 2, bay.pk, queries.place("waste").pk)])
    assert refusal.value.code == "reserved"


@pytest.mark.parametrize(
    ("kind", "start", "end"),
    [("issue", "bay", "bay"), ("waste", "bay", "laid"), ("receive", "bay", "supplier")],
)
def test_each_kind_goes_only_between_its_own_places(kind: str, start: str, end: str) -> None:
    bay, job = make_place(), make_job()
    lot = make_lot(make_kit(), packs=3, place=bay)
    to = make_place() if end == "bay" else queries.place(end)
    with pytest.raises(ServiceError) as refusal:
        book(kind, [Row(lot.pk, 1, bay.pk, to.pk)], job_id=job.pk)
    assert refusal.value.code == "ends"


def test_an_issue_does_not_go_to_another_jobs_site() -> None:
    bay, job, other = make_place(), make_job(), make_job()
    lot = make_lot(make_kit(), packs=3, place=bay)
    with pytest.raises(ServiceError) as refusal:
        book("issue", [Row(lot.pk, 1, bay.pk, queries.place("site", other).pk)], job_id=job.pk)
    assert refusal.value.code == "site"


def test_a_kit_out_of_date_cannot_be_issued_and_on_its_day_it_can() -> None:
    bay, job = make_place(), make_job()
    lot = make_lot(make_kit(), packs=3, place=bay, expiry=DAY)
    issue(lot, 1, job, bay, day=DAY)
    with pytest.raises(ServiceError) as refusal:
        issue(lot, 1, job, bay, day=DAY + timedelta(days=1))
    assert refusal.value.code == "out_of_date"
    assert "was to be used by 14 May 2026" in refusal.value.message


def test_a_held_lot_cannot_be_issued_until_released() -> None:
    bay, job = make_place(), make_job()
    lot = make_lot(make_stone(), packs=3, place=bay)
    hold_lot(lot_id=lot.pk, reason="wet bags", by=None, at=AT)
    with pytest.raises(ServiceError) as refusal:
        issue(lot, 20_000, job, bay)
    assert refusal.value.code == "held"
    release_lot(lot_id=lot.pk, reason="dried and checked", by=None, at=AT)
    issue(lot, 20_000, job, bay)


def test_a_lot_past_its_date_is_not_released() -> None:
    lot = make_lot(make_kit(), expiry=DAY - timedelta(days=1))
    hold_lot(lot_id=lot.pk, reason="frozen", by=None, at=AT)
    with pytest.raises(ServiceError) as refusal:
        release_lot(lot_id=lot.pk, reason="looks well", by=None, at=AT)
    assert refusal.value.code == "out_of_date"


@pytest.mark.parametrize("service", [hold_lot, release_lot])
def test_hold_and_release_want_a_reason(service: Any) -> None:
    lot = make_lot(make_kit())
    with pytest.raises(ServiceError) as refusal:
        service(lot_id=lot.pk, reason="  ", by=None, at=AT)
    assert refusal.value.field == "reason"


def test_split_shares_the_cost_to_the_penny() -> None:
    bay, job = make_place(), make_job()
    lot = make_lot(make_kit(), packs=3, cost=Decimal("100.00"), place=bay)
    part = split_lot(
        lot_id=lot.pk, quantity=1, place_id=bay.pk, held_reason="torn", key=uuid4(), by=None, at=AT
    )
    lot.refresh_from_db()
    assert (lot.on_hand, part.on_hand, part.status, part.parent) == (2, 1, "held", lot)
    issue(lot, 2, job, bay)
    assert actual(job) + part.cost == Decimal("100.00")


def test_a_counter_posting_carries_the_very_costs_back() -> None:
    bay, job = make_place(), make_job()
    lot = make_lot(make_kit(), packs=3, cost=Decimal("100.00"), place=bay)
    issue(lot, 1, job, bay)
    second = issue(lot, 1, job, bay)
    site = queries.place("site", job)
    book("return", [Row(lot.pk, 1, site.pk, bay.pk)], job_id=job.pk, reverses=second)
    assert actual(job) == Decimal("33.33")
    assert Movement.objects.latest("pk").cost == Decimal("33.34")


def test_post_movements_refuses_to_stand_alone() -> None:
    """Needs no database block of its own: outside a transaction it stops before any query."""
    connection = transaction.get_connection()
    was, connection.in_atomic_block = connection.in_atomic_block, False
    try:
        with pytest.raises(RuntimeError):
            post_movements(key=uuid4(), kind="waste", rows=[], day=DAY, by=None, at=AT)
    finally:
        connection.in_atomic_block = was


def test_post_lot_refuses_a_shelf_life_without_a_date() -> None:
    primer = make_stone(kind="primer", base_unit="ml", run_matched=False, shelf_life_months=12)
    with pytest.raises(ServiceError) as refusal, transaction.atomic():
        post_lot(
            item=primer, quantity=1, cost=Decimal(1), place=make_place(), received_on=DAY,
            key=uuid4(), by=None, at=AT,
        )  # fmt: skip
    assert refusal.value.field == "expiry"
