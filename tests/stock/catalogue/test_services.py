"""Items, blend cards and places: what is refused, and with which sentence."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from jobs.kernel.errors import ServiceError
from jobs.kernel.versions import StaleError
from stock.catalogue.models import Blend
from stock.catalogue.services import (
    add_blend,
    add_place,
    archive_item,
    change_blend,
    change_item,
    change_place,
)
from tests.factories import AT, make_kit, make_lot, make_place, make_sand, make_stone

pytestmark = pytest.mark.django_db


def blend_values(**fields: Any) -> dict[str, Any]:
    """The card of the design's example: 4 + 1 bags of 20 kg and one of 5 kg to a kit of 7.0 kg."""
    values = {
        "name": "Buff", "kit": make_kit(), "yield_area_m2": Decimal("3.15"),
        "yield_depth_mm": Decimal(20), "compacted_density": None, "mix_seconds": 120,
        "components": [
            (make_stone(), Decimal(4)), (make_stone(), Decimal(1)), (make_sand(), Decimal(1)),
        ],
    }  # fmt: skip
    return values | fields


# 112.0 kg / (3.15 m² x 0.020 m) = 1777.8 kg/m³ (by hand); 1 % of it is 17.8
@pytest.mark.parametrize("density", ["1778", "1762", "1795"])
def test_yield_and_density_within_one_per_cent_are_taken(density: str) -> None:
    values = blend_values(compacted_density=Decimal(density))
    blend = add_blend(by=None, at=AT, **values)
    assert blend.components.count() == 3


@pytest.mark.parametrize("density", ["1758", "1799"])
def test_yield_and_density_further_apart_are_refused(density: str) -> None:
    with pytest.raises(ServiceError) as refusal:
        add_blend(by=None, at=AT, **blend_values(compacted_density=Decimal(density)))
    assert refusal.value.field == "yield_area_m2"
    assert "they must agree within 1 %" in refusal.value.message
    assert not Blend.objects.exists()


def test_a_card_without_stone_or_with_one_twice_is_refused() -> None:
    stone = make_stone()
    for components in ([], [(stone, Decimal(1)), (stone, Decimal(2))]):
        with pytest.raises(ServiceError) as refusal:
            add_blend(by=None, at=AT, **blend_values(components=components))
        assert refusal.value.field == "item_1"


def test_the_second_to_save_a_card_is_told() -> None:
    values = blend_values()
    blend = add_blend(by=None, at=AT, **values)
    change_blend(blend_id=blend.pk, version=1, by=None, at=AT, **values)
    with pytest.raises(StaleError):
        change_blend(blend_id=blend.pk, version=1, by=None, at=AT, **values)


def test_an_item_with_lots_keeps_its_unit() -> None:
    sand = make_sand()
    change_item(item_id=sand.pk, version=1, by=None, at=AT, base_unit="piece")
    make_lot(sand)
    with pytest.raises(ServiceError) as refusal:
        change_item(item_id=sand.pk, version=2, by=None, at=AT, base_unit="g")
    assert refusal.value.field == "base_unit"


def test_an_item_in_the_yard_is_not_put_away() -> None:
    sand = make_sand()
    make_lot(sand)
    with pytest.raises(ServiceError):
        archive_item(item_id=sand.pk, by=None, at=AT)
    assert archive_item(item_id=make_sand().pk, by=None, at=AT).archived_at == AT


def test_places() -> None:
    bay = add_place(kind="bay", name="rack 1", by=None, at=AT)
    with pytest.raises(ValidationError):
        add_place(kind="bay", name="rack 1", by=None, at=AT)
    with pytest.raises(ServiceError):
        add_place(kind="waste", name="skip", by=None, at=AT)
    full = make_place()
    make_lot(make_sand(), place=full)
    with pytest.raises(ServiceError) as refusal:
        change_place(place_id=full.pk, name="x", near=1, archived=True, by=None, at=AT)
    assert refusal.value.field == "archived"
    assert change_place(
        place_id=bay.pk, name="rack 2", near=1, archived=True, by=None, at=AT
    ).archived_at
