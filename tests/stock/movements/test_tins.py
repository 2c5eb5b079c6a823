"""A part without its other one is no kit; two that fit make one again, and trace both batches."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction
from django.urls import reverse

from jobs.kernel.errors import ServiceError
from stock.ledger.models import Lot
from stock.movements.models import Tin
from stock.movements.queries import audit_stock
from stock.movements.services import add_tin, keep_tin, pair_tins, scrap_tin
from stock.valuation.queries import value_at
from tests.factories import AT, DAY, make_kit, make_lot, make_place, make_stone
from tests.stock.pages import queries_of

pytestmark = pytest.mark.django_db
LATER = DAY + timedelta(days=200)


def alone(item: Any, part: str, **fields: Any) -> Tin:
    values: dict[str, Any] = {
        "batch": f"{part}9", "expiry": LATER, "place_id": make_place().pk, "count": 3,
        "why": "came alone", "key": uuid4(), "by": None, "at": AT,
    }  # fmt: skip
    return add_tin(item_id=item.pk, part=part, **values | fields)


def broken(part: str = "A", **fields: Any) -> tuple[Lot, Tin]:
    bay = make_place()
    lot = make_lot(make_kit(), 5, place=bay, batch_a="A1", batch_b="B1")
    values: dict[str, Any] = {
        "place_id": bay.pk, "count": 2, "why": "leaked", "key": uuid4(), "by": None, "at": AT,
    }  # fmt: skip
    return lot, keep_tin(lot_id=lot.pk, part=part, **values | fields)


def pair(tin: Tin, other: Tin, count: int = 1, **fields: Any) -> Lot:
    values: dict[str, Any] = {"place_id": make_place().pk, "key": uuid4(), "by": None, "at": AT}
    return pair_tins(tin_id=tin.pk, other_id=other.pk, count=count, **values | fields)


def test_a_broken_kit_is_waste_and_its_other_tin_is_no_kit() -> None:
    lot, tin = broken("B")
    lot.refresh_from_db()
    assert (lot.on_hand, tin.batch, tin.left) == (3, "B1", 2)
    assert sum(row.quantity for row in value_at(DAY, now=AT).rows) == 3
    assert "part A cannot be used: leaked; part B kept" in lot.movements.last().posting.reason  # type: ignore[union-attr]
    assert audit_stock().ok


def test_one_key_breaks_up_once() -> None:
    key = uuid4()
    lot, tin = broken(key=key)
    again = keep_tin(
        lot_id=lot.pk, place_id=tin.place_id, part="A", count=2, why="leaked", key=key, by=None,
        at=AT,
    )  # fmt: skip
    assert (again, Lot.objects.get(pk=lot.pk).on_hand) == (tin, 3)


def test_two_tins_make_a_kit_with_both_batches_and_the_earlier_date() -> None:
    lot, a = broken("A")
    b = alone(lot.item, "B", expiry=DAY + timedelta(days=30))
    key = uuid4()
    made = pair(b, a, 2, key=key)
    assert (made.batch_a, made.batch_b, made.on_hand) == ("A1", "B9", 2)
    assert (made.expiry, made.cost) == (DAY + timedelta(days=30), 0)
    assert pair(b, a, 2, key=key) == made
    assert {tin.part: tin.left for tin in Tin.objects.all()} == {"A": 0, "B": 1}
    assert audit_stock().ok


def test_what_makes_no_kit_is_refused() -> None:
    kit = make_kit()
    a, b = alone(kit, "A"), alone(kit, "B")
    for first, second, count in (
        (a, alone(kit, "A"), 1), (a, alone(make_kit(), "B"), 1), (a, b, 4), (a, b, 0),
        (a, alone(kit, "B", expiry=DAY - timedelta(days=1)), 1),
        (a, alone(kit, "B", expiry=None), 1), (a, a, 1),
    ):  # fmt: skip
        with pytest.raises(ServiceError):
            pair(first, second, count)
    assert not Lot.objects.exists()


def test_stone_has_no_parts_and_a_reason_is_wanted() -> None:
    bay = make_place()
    stone = make_lot(make_stone(), place=bay)
    with pytest.raises(ServiceError):
        keep_tin(
            lot_id=stone.pk, place_id=bay.pk, part="A", count=1, why="x", key=uuid4(), by=None,
            at=AT,
        )  # fmt: skip
    for wrong in ({"why": " "}, {"item": stone.item}):
        with pytest.raises(ServiceError):
            alone(wrong.pop("item", make_kit()), "A", **wrong)
    with pytest.raises(ServiceError):
        broken(why="")
    assert not Tin.objects.exists()


def test_the_database_refuses_more_tins_than_there_were() -> None:
    tin = alone(make_kit(), "A")
    with pytest.raises(IntegrityError), transaction.atomic():
        Tin.objects.filter(pk=tin.pk).update(left=4)


def test_scrapped_tins_leave_the_list_with_a_word(client_for: Any, storeman: Any) -> None:
    tin, client = alone(make_kit(), "A"), client_for(storeman)
    with pytest.raises(ServiceError):
        scrap_tin(tin_id=tin.pk, reason="", by=None, at=AT)
    url = reverse("movements:tins")
    assert [row.record for row in client.get(url, {"q": "A9"}).context["table"].rows] == [tin]
    form = {"uid": uuid4(), "reason": "to the depot"}
    assert client.post(reverse("movements:tin_scrap", args=[tin.pk]), form).status_code == 302
    assert not client.get(url).context["table"].rows
    assert client.get(url, {"used": "all"}).context["table"].rows


def test_tins_are_kept_and_paired_from_the_pages(client_for: Any, storeman: Any) -> None:
    client, bay = client_for(storeman), make_place()
    lot = make_lot(make_kit(), 5, place=bay, expiry=DAY.replace(year=2036))
    url = reverse("movements:tin_keep", args=[lot.pk])
    assert url in client.get(lot.get_absolute_url()).content.decode()
    form = {"uid": uuid4(), "place": bay.pk, "part": "A", "count": "9", "why": "leaked"}
    assert client.post(url, form).status_code == 422
    assert client.post(url, form | {"count": "1"}).status_code == 302
    other = alone(lot.item, "B", expiry=DAY.replace(year=2036))
    form = {"uid": uuid4(), "other": other.pk, "count": "1", "place": bay.pk}
    tin = Tin.objects.get(part="A")
    answer = client.post(reverse("movements:tin_pair", args=[tin.pk]), form)
    assert answer["Location"] == Lot.objects.latest("pk").get_absolute_url()


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_the_same_for_any_number_of_rows(
    count: int, client_for: Any, storeman: Any
) -> None:
    for _ in range(count):
        alone(make_kit(), "A")
    # session, user, 2 of permissions; count, rows
    assert queries_of(client_for(storeman), reverse("movements:tins")) == 6
