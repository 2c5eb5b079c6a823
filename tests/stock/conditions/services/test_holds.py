"""Damp bags, spoilt hardener, torn wrap: held with photo and reason, whole or in part."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest

from jobs.attachments.queries import attachments_of
from jobs.kernel.errors import ServiceError
from stock.conditions.enums import HoldCause
from stock.conditions.services import hold_with_photos
from stock.ledger.models import Lot
from stock.movements.queries import audit_stock
from tests.factories import AT, make_lot, make_place, make_stone
from tests.jobs.attachments.files import photo

pytestmark = pytest.mark.django_db


def hold(lot: Lot, **fields: Any) -> Lot:
    values: dict[str, Any] = {
        "cause": "damp_bag", "words": "bottom row", "place": None, "quantity": None,
        "files": [("bag.jpg", photo())], "key": uuid4(), "by": None, "at": AT,
    }  # fmt: skip
    return hold_with_photos(lot_id=lot.pk, **values | fields)


def test_the_whole_lot_with_its_photo() -> None:
    lot = hold(make_lot(make_stone(), 40))
    assert (lot.status, lot.held_reason) == ("held", "damp bag: bottom row")
    (kept,) = attachments_of(lot)
    assert (kept.permission, kept.caption) == ("jobs.view_yard", "damp bag: bottom row")


def test_three_bags_of_forty_become_a_lot_of_their_own() -> None:
    bay = make_place()
    lot = make_lot(make_stone(), 40, place=bay)
    part = hold(lot, place=bay, quantity=60_000)
    lot.refresh_from_db()
    assert (part.parent_id, part.on_hand, part.status) == (lot.pk, 60_000, "held")
    assert (lot.on_hand, lot.status) == (740_000, "released")
    assert attachments_of(part).count() == 1
    assert attachments_of(lot).count() == 0
    assert audit_stock().differences == []


def test_the_whole_lot_sent_twice_is_held_once_with_one_photo() -> None:
    lot, key = make_lot(make_stone(), 40), uuid4()
    assert hold(lot, key=key) == hold(lot, key=key)
    assert attachments_of(lot).count() == 1


def test_sent_twice_holds_once() -> None:
    bay, key = make_place(), uuid4()
    lot = make_lot(make_stone(), 40, place=bay)
    parts = [hold(lot, place=bay, quantity=60_000, key=key) for _ in range(2)]
    assert parts[0] == parts[1]
    assert Lot.objects.filter(parent=lot).count() == 1
    with pytest.raises(ServiceError, match="sent before with other figures"):
        hold(lot, place=bay, quantity=80_000, key=key)


def test_a_photo_that_cannot_be_read_holds_nothing() -> None:
    lot = make_lot(make_stone(), 40)
    with pytest.raises(ServiceError) as refusal:
        hold(lot, files=[("bag.jpg", photo()), ("x.jpg", b"no photo")])
    lot.refresh_from_db()
    assert (refusal.value.field, lot.status) == ("file", "released")
    assert attachments_of(lot).count() == 0


def test_something_else_needs_words() -> None:
    with pytest.raises(ServiceError) as refusal:
        hold(make_lot(make_stone(), 40), cause="other", words=" ")
    assert refusal.value.field == "words"


def test_more_than_lies_there_is_refused_whole() -> None:
    bay = make_place()
    lot = make_lot(make_stone(), 2, place=bay)
    with pytest.raises(ServiceError):
        hold(lot, place=bay, quantity=60_000)
    assert attachments_of(lot).count() == Lot.objects.filter(parent=lot).count() == 0


@pytest.mark.parametrize("cause", HoldCause)
def test_every_cause_says_what_to_do_and_who_has_the_last_word(cause: HoldCause) -> None:
    assert cause.advice.endswith("Follow the safety data sheet.")


def test_a_held_lots_reason_names_its_cause_or_none() -> None:
    for cause in HoldCause:
        assert HoldCause.of(cause.label) == HoldCause.of(f"{cause.label}: words") == cause
    assert HoldCause.of("damp bags of another kind") is None
    assert HoldCause.of("") is None
