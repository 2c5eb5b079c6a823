"""Pages of items, blends and places."""

from __future__ import annotations

from typing import Any

import pytest
from django.urls import reverse

from stock.catalogue.models import Blend, Item
from stock.catalogue.rules import with_last_word
from tests.factories import make_blend, make_kit, make_lot, make_place, make_sand, make_stone
from tests.stock.catalogue.roles import blend_data, item_data
from tests.stock.pages import queries_of

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("count", [1, 3])
def test_lists_cost_the_same_for_any_number_of_rows(
    count: int, client_for: Any, storeman: Any
) -> None:
    for _ in range(count):
        make_blend()
        make_lot(make_stone(), place=make_place())
    client = client_for(storeman)
    # session, user, 2 of permissions; count, rows; a blend's kit, components and their items
    costs = {"catalogue:list": 6, "catalogue:places": 6, "catalogue:blends": 8}
    assert {name: queries_of(client, reverse(name)) for name in costs} == costs


@pytest.mark.parametrize(
    ("fields", "wrong"),
    [
        ({"kind": "kit", "base_unit": "piece"}, {"part_a_g", "part_b_g"}),
        ({"kind": "kit", "part_a_g": 1, "part_b_g": 1}, {"base_unit"}),
        ({"run_matched": "on"}, {"run_matched"}),
        ({"pack_quantity": 0}, {"pack_quantity"}),
        ({"pack_quantity": "-5"}, {"pack_quantity"}),
        ({"store_low_c": "25", "store_high_c": "5"}, {"store_high_c"}),
        ({"code": ""}, {"code"}),
    ],
)
def test_an_item_that_cannot_be_is_refused_at_the_field(
    fields: dict[str, Any], wrong: set[str], client_for: Any, storeman: Any
) -> None:
    page = client_for(storeman).post(reverse("catalogue:create"), item_data(**fields))
    assert page.status_code == 422
    assert set(page.context["form"].errors) == wrong
    assert not Item.objects.exists()


def test_two_people_on_one_item(client_for: Any, storeman: Any, owner: Any) -> None:
    sand = make_sand()
    url = reverse("catalogue:edit", args=[sand.pk])
    page = client_for(owner).get(url).context["form"]
    data = item_data(version=1, opened=page["opened"].value())
    assert client_for(storeman).post(url, data | {"name": "Silver sand"}).status_code == 302
    second = client_for(owner).post(url, data | {"name": "Grey sand"})
    text = second.content.decode()
    assert second.status_code == 422
    assert "Silver sand" in text
    assert 'value="Grey sand"' in text
    assert Item.objects.get().name == "Silver sand"


def test_a_card_shows_what_follows_from_it_and_its_workings(client_for: Any, storeman: Any) -> None:
    client = client_for(storeman)
    client.post(reverse("catalogue:blend_create"), blend_data())
    text = client.get(Blend.objects.get().get_absolute_url()).content.decode()
    # 5 bags of 20 kg and a kit of 7.0 kg; 7.0 / 100.0 (by hand)
    assert "107.0\N{NO-BREAK SPACE}kg" in text
    assert "7.00" in text
    assert "workings" in text


@pytest.mark.parametrize(
    ("fields", "wrong"),
    [
        ({"bags_1": ""}, "bags_1"),
        ({"item_1": ""}, "item_1"),
        ({"yield_depth_mm": ""}, "yield_area_m2"),
        ({"yield_area_m2": "", "yield_depth_mm": ""}, "yield_area_m2"),
        ({"compacted_density": "1200"}, "yield_area_m2"),
    ],
)
def test_a_card_that_does_not_hold_is_refused_at_the_field(
    fields: dict[str, Any], wrong: str, client_for: Any, storeman: Any
) -> None:
    page = client_for(storeman).post(reverse("catalogue:blend_create"), blend_data(**fields))
    assert page.status_code == 422
    assert wrong in page.context["form"].errors


@pytest.mark.parametrize(
    ("note", "said"),
    [
        ("Keep dry", "Keep dry. See the safety data sheet."),
        ("Keep dry!", "Keep dry! See the safety data sheet."),
        ("Gloves; see the safety  data sheet", "Gloves; see the safety data sheet"),
    ],
)
def test_the_safety_data_sheet_has_the_last_word_once(note: str, said: str) -> None:
    assert with_last_word(note) == said


def test_an_items_page_says_its_pallet_season_and_hours_to_warm(
    client_for: Any, storeman: Any
) -> None:
    kit = make_kit(
        packs_per_pallet=54, season="winter", conditioning_hours=24, uv_stable=False,
        part_a_g=4800, part_b_g=2200, working_min_20c=26, rain_safe_min_20c=250,
        cure_min_20c=None, foot_min_20c=1440, vehicle_min_20c=None,
    )  # fmt: skip
    facts = dict(
        client_for(storeman).get(reverse("catalogue:detail", args=[kit.pk])).context["facts"]
    )
    wanted = {"A pallet": "54\u00a0kits", "Season": "winter grade", "Hours to warm": "24"}
    assert wanted.items() <= facts.items()
    assert facts["Daylight"] == "does not keep its colour"
    assert facts["Times at 20 °C"] == "working 26 min, rain-safe 4.2 h, on foot 24 h"
    assert facts["Parts"] == "A 4.8\u00a0kg, B 2.2\u00a0kg"
