"""A survey's take-off: what is to buy, by group and run, and why there is none."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal
from typing import Any

import pytest

from jobs.surveys.models import ColourGroup, Pour
from quotes.engine.document import answer
from quotes.takeoff.models import BlendChoice, TakeOffSettings
from quotes.takeoff.queries import needs_of, take_off
from quotes.takeoff.rules import purchases_of
from tests.factories import make_area, make_blend, make_survey
from tests.quotes.world import make_quote_world

pytestmark = pytest.mark.django_db
SLIP = {"kind": "rectangle", "measurements": {"length": "2 m", "width": "1 m"}}


def test_answer_is_the_engines_own() -> None:
    found = take_off(make_quote_world().survey)

    assert found.problem is None
    assert found.answer == answer(found.document)
    assert (found.area_m2, found.edge_m) == (Decimal("21.08"), Decimal("19.20"))


def test_needs_are_whole_packs_in_base_units() -> None:
    world = make_quote_world()

    needs = {
        (need.item_id, need.colour_group): need.quantity
        for need in needs_of(take_off(world.survey))
    }

    # 21.08 m² × 1.05 / 3.15 m² = 7.03 mixes: 8 whole ones, by hand
    assert needs == {
        (world.kit.pk, ""): 8,
        (world.stones[0].pk, "buff"): 32 * 20_000,
        (world.stones[1].pk, "buff"): 8 * 20_000,
        (world.sand.pk, ""): 8 * 5_000,
    }


def test_spares_are_taken_along_and_counted_apart() -> None:
    world = make_quote_world()
    TakeOffSettings.objects.create(survey=world.survey, spare_mixes=2)

    found = take_off(world.survey)

    kit = next(each for each in purchases_of(found) if each.pack.item_id == world.kit.pk)
    assert (kit.packs, kit.spare_packs, kit.total_packs) == (8, 2, 10)
    assert found.answer is not None
    assert found.answer["total"]["mixes"] == 8


def second_group(world: Any) -> ColourGroup:
    group = ColourGroup.objects.create(survey=world.survey, name="grey")
    pour = Pour.objects.create(survey=world.survey, colour_group=group, name="pour 2")
    make_area(world.survey, name="path", pour=pour, edging=False, shapes=[SLIP])
    return group


def test_two_groups_of_one_stone_need_a_run_each_and_share_the_rest() -> None:
    world = make_quote_world()
    BlendChoice.objects.create(colour_group=second_group(world), blend=world.blend)

    found = take_off(world.survey)
    needs = {(need.item_id, need.colour_group): need.quantity for need in needs_of(found)}

    # the path: 2 m² × 1.05 / 3.15 = 0.67 mixes, one whole one
    assert needs[world.kit.pk, ""] == 9
    assert needs[world.stones[0].pk, "buff"] == 32 * 20_000
    assert needs[world.stones[0].pk, "grey"] == 4 * 20_000
    assert needs[world.sand.pk, ""] == 9 * 5_000
    assert found.answer is not None
    bags = Counter({c["name"]: c["bags"] for c in found.answer["total"]["components"]})
    assert bags[world.stones[0].name] == 36
    assert found.edge_m == Decimal("19.20")


def test_part_bags_are_rounded_up_once_for_fillers() -> None:
    world = make_quote_world()
    component = world.blend.components.get(item=world.sand)
    component.bags = Decimal("0.30")
    component.save()

    needs = {need.item_id: need.quantity for need in needs_of(take_off(world.survey))}

    assert needs[world.sand.pk] == 3 * 5_000  # 8 × 0.3 = 2.4 bags


def test_a_missing_blend_is_a_sentence() -> None:
    world = make_quote_world()
    second_group(world)

    found = take_off(world.survey)

    assert found.answer is None
    assert found.problem is not None
    assert found.problem.message == "No blend is chosen yet for: grey."
    assert needs_of(found) == []


def test_no_areas_is_a_sentence() -> None:
    found = take_off(make_survey())

    assert found.problem is not None
    assert found.problem.message == "The survey has no measured areas yet."


def test_an_impossible_shape_names_its_area() -> None:
    world = make_quote_world()
    triangle = {"kind": "triangle", "measurements": {"a": "1 m", "b": "1 m", "c": "5 m"}}
    make_area(world.survey, name="corner", shapes=[triangle])

    found = take_off(world.survey)

    assert found.problem is not None
    assert found.problem.where.startswith("area 'corner'")


def test_a_kit_without_times_is_a_sentence() -> None:
    world = make_quote_world()
    world.kit.cure_min_20c = None
    world.kit.save()

    found = take_off(world.survey)

    assert found.problem is not None
    assert "has no working or curing time" in found.problem.message


def test_resin_that_yellows_outdoors_is_told() -> None:
    world = make_quote_world()
    world.kit.uv_stable = False
    world.kit.save()

    assert take_off(world.survey).colour_changes == ["drive"]


def test_queries_do_not_grow_with_the_areas(django_assert_num_queries: Any) -> None:
    world = make_quote_world()
    with django_assert_num_queries(7):
        take_off(world.survey)
    make_area(world.survey, name="side")
    make_area(world.survey, name="back")

    with django_assert_num_queries(7):
        take_off(world.survey)


def test_two_items_of_one_name_are_kept_apart() -> None:
    world = make_quote_world()
    for stone in world.stones:
        stone.name = "Stone"
        stone.save()

    found = take_off(world.survey)

    assert found.answer is not None
    assert len(found.answer["total"]["components"]) == 3


def test_another_blend_gives_another_answer() -> None:
    world = make_quote_world()
    BlendChoice.objects.filter(colour_group=world.group).update(
        blend=make_blend(yield_area_m2=Decimal("6.3"))
    )

    found = take_off(world.survey)

    assert found.answer is not None
    assert found.answer["total"]["mixes"] == 4
