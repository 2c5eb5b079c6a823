"""Stone kept back for call-backs: guarded by the lot, offered to no job, free again on a word."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.urls import reverse

from jobs.audit.models import Event
from jobs.kernel.errors import ServiceError
from stock.allocation.models import Reservation
from stock.allocation.services import reserve_job
from stock.ledger.models import KeptBack, Lot
from stock.ledger.panels import kept_back_too_long
from stock.ledger.queries import kept_back
from stock.ledger.services import extend_kept_back, keep_back, release_kept_back
from stock.movements.queries import audit_stock
from stock.movements.services import waste_stock
from tests.factories import AT, DAY, make_job, make_lot, make_place, make_requirement, make_stone
from tests.stock.pages import queries_of

pytestmark = pytest.mark.django_db
BAG = 20_000
UNTIL = DAY + timedelta(days=365)


def keep(
    lot: Lot, packs: int, *, job: Any = None, key: UUID | None = None, **other: Any
) -> KeptBack:
    values: dict[str, Any] = {"until": UNTIL, "by": None, "at": AT}
    return keep_back(
        lot_id=lot.pk, job_id=(job or make_job(stage="complete")).pk, quantity=packs * BAG,
        key=key or uuid4(), **values | other,
    )  # fmt: skip


def test_what_is_kept_back_is_offered_to_no_job() -> None:
    stone = make_stone()
    lot = make_lot(stone, 10)
    keep(lot, 4)
    job = make_job(stage="won")
    make_requirement(job, stone, 7)
    assert not reserve_job(job_id=job.pk, by=None, at=AT).is_met
    assert kept_back([lot.pk]) == {lot.pk: 4 * BAG}
    lot.refresh_from_db()
    assert (lot.reserved, lot.free) == (4 * BAG, 6 * BAG)
    assert audit_stock().ok


def test_no_more_than_is_free_can_be_kept_back() -> None:
    lot = make_lot(make_stone(), 3)
    keep(lot, 2)
    with pytest.raises(ServiceError) as refusal:
        keep(lot, 2)
    assert refusal.value.message.startswith(f"1 bag of {lot.code} are free")
    assert KeptBack.objects.count() == 1


def test_one_key_keeps_back_once_and_means_one_thing() -> None:
    lot, key, job = make_lot(make_stone(), 5), uuid4(), make_job()
    assert keep(lot, 2, job=job, key=key) == keep(lot, 2, job=job, key=key)
    with pytest.raises(ServiceError):
        keep(lot, 3, job=job, key=key)
    assert Lot.objects.get(pk=lot.pk).reserved == 2 * BAG


def test_a_release_says_why_and_frees_it_once() -> None:
    lot = make_lot(make_stone(), 5)
    row = keep(lot, 2)
    with pytest.raises(ServiceError):
        release_kept_back(kept_id=row.pk, reason=" ", by=None, at=AT)
    for _ in range(2):
        release_kept_back(kept_id=row.pk, reason="the guarantee is over", by=None, at=AT)
    assert Lot.objects.get(pk=lot.pk).reserved == 0
    assert Event.objects.filter(verb="stock.release_kept_back").count() == 1
    assert audit_stock().ok


def test_it_is_kept_longer_in_one_step_and_nothing_else_changes() -> None:
    lot = make_lot(make_stone(), 5)
    row = keep(lot, 2)
    later = UNTIL + timedelta(days=30)
    for _ in range(2):
        extend_kept_back(kept_id=row.pk, until=later, by=None, at=AT)
    row.refresh_from_db()
    assert (row.until, row.quantity) == (later, 2 * BAG)
    assert Lot.objects.get(pk=lot.pk).reserved == 2 * BAG
    assert Event.objects.filter(verb="stock.extend_kept_back").count() == 1
    Lot.objects.filter(pk=lot.pk).update(expiry=later)
    for until in (DAY - timedelta(days=1), later + timedelta(days=1)):
        with pytest.raises(ServiceError) as refusal:
            extend_kept_back(kept_id=row.pk, until=until, by=None, at=AT)
        assert refusal.value.field == "until"
    release_kept_back(kept_id=row.pk, reason="over", by=None, at=AT)
    with pytest.raises(ServiceError, match="was released: over"):
        extend_kept_back(kept_id=row.pk, until=UNTIL, by=None, at=AT)


def test_waste_takes_from_what_is_kept_back_before_it_takes_from_a_job() -> None:
    stone, bay = make_stone(), make_place()
    lot = make_lot(stone, 10, place=bay)
    job = make_job(stage="won")
    make_requirement(job, stone, 6)
    reserve_job(job_id=job.pk, by=None, at=AT)
    row = keep(lot, 4)
    waste_stock(
        lot_id=lot.pk, place_id=bay.pk, quantity=3 * BAG, reason="torn", key=uuid4(), day=DAY,
        by=None, at=AT,
    )  # fmt: skip
    row.refresh_from_db()
    assert (row.quantity, row.released_at) == (BAG, None)
    assert Reservation.objects.get().quantity == 6 * BAG
    assert audit_stock().ok


@pytest.mark.parametrize(("packs", "days"), [(0, 30), (1, -1)])
def test_nothing_and_a_day_that_is_past_are_refused(packs: int, days: int) -> None:
    with pytest.raises(ServiceError):
        keep(make_lot(make_stone(), 3), packs, until=DAY + timedelta(days=days))


def test_auditstock_names_a_lot_that_forgot_what_is_kept_back() -> None:
    lot = make_lot(make_stone(), 5)
    keep(lot, 2)
    Lot.objects.filter(pk=lot.pk).update(reserved=0)
    assert [row.what for row in audit_stock().differences] == [f"{lot.code} reserved"]


# -- pages ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_the_same_for_any_number_of_rows(
    count: int, client_for: Any, storeman: Any
) -> None:
    for _ in range(count):
        keep(make_lot(make_stone(), 3), 1)
    # session, user, 2 of permissions; count, rows
    assert queries_of(client_for(storeman), reverse("ledger:kept_back")) == 6


def test_it_is_kept_back_and_released_from_the_lots_page(client_for: Any, storeman: Any) -> None:
    client, lot, job = client_for(storeman), make_lot(make_stone(), 5), make_job()
    url = reverse("ledger:keep_back", args=[lot.pk])
    form = {"uid": uuid4(), "job": job.reference.lower(), "packs": "9", "until": "2036-05-14"}
    refused = client.post(url, form)
    assert refused.status_code == 422
    assert "5 bags of" in refused.content.decode()
    assert client.post(url, form | {"packs": "2"}).status_code == 302
    page = client.get(lot.get_absolute_url()).content.decode()
    assert "kept back" in page
    assert job.reference in page
    row = KeptBack.objects.get()
    client.post(reverse("ledger:release_kept", args=[row.pk]), {"reason": "used"})
    assert "release it" not in client.get(lot.get_absolute_url()).content.decode()
    assert client.get(reverse("ledger:release_kept", args=[row.pk])).status_code == 404
    shown = client.get(reverse("ledger:kept_back"), {"released": "all", "q": job.reference})
    assert "used" in shown.content.decode()


@pytest.mark.parametrize(
    "wrong", [{"job": "J-0"}, {"packs": "0.00001"}, {"packs": "x"}, {"until": "31/31/2036"}]
)
def test_what_cannot_be_read_is_said_at_its_field(
    wrong: dict[str, str], client_for: Any, storeman: Any
) -> None:
    lot = make_lot(make_stone(), 5)
    form = {"uid": uuid4(), "job": make_job().reference, "packs": "1", "until": "2036-05-14"}
    page = client_for(storeman).post(reverse("ledger:keep_back", args=[lot.pk]), form | wrong)
    assert page.status_code == 422
    assert list(page.context["form"].errors) == list(wrong)


def test_today_asks_for_what_is_kept_past_its_day(storeman: Any) -> None:
    row = keep(make_lot(make_stone(), 5), 2, until=DAY)
    assert list(kept_back_too_long(storeman, AT)) == []
    (one,) = kept_back_too_long(storeman, AT + timedelta(days=1))
    assert str(row) in one.title
