"""The page of a take-off shows what its file says; its workings can be followed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from quotes.takeoff.models import BlendChoice, TakeOffSettings
from quotes.takeoff.queries import take_off
from tests.factories import make_blend
from tests.quotes.world import make_quote_world

pytestmark = pytest.mark.django_db


def test_page_shows_areas_purchases_and_the_plan(
    storeman: Any, client_for: Callable[[Any], Client]
) -> None:
    world = make_quote_world()

    text = client_for(storeman).get(f"/take-off/{world.survey.pk}/").content.decode()

    assert "<svg" in text
    assert "21.08" in text
    assert f"{world.stones[0].name}, one run for buff" in text
    assert ">32<" in text
    # 8 kits of 7 kg, 40 bags of 20 kg and 8 of 5 kg: 896 kg on site, by hand
    assert ">896.0<" in text
    assert "A spare mix" not in text  # its cost is for those who see costs


def test_owner_sees_what_a_spare_mix_costs(owner: Any, client_for: Callable[[Any], Client]) -> None:
    world = make_quote_world()

    text = client_for(owner).get(f"/take-off/{world.survey.pk}/").content.decode()

    # 42.50 + 4 × 7.40 + 8.10 + 2.20, by hand
    assert "A spare mix: £82.40" in text


def test_workings_print_every_step_of_the_engine(
    storeman: Any, client_for: Callable[[Any], Client]
) -> None:
    world = make_quote_world()
    found = take_off(world.survey)
    assert found.answer is not None

    text = client_for(storeman).get(f"/take-off/{world.survey.pk}/workings/").content.decode()

    groups = text.count('<tr class="group">')
    assert text.count("</tr>") - 1 - groups == len(found.answer["workings"])


def test_choosing_blends_changes_the_take_off(
    office: Any, client_for: Callable[[Any], Client]
) -> None:
    world = make_quote_world()
    other = make_blend(yield_area_m2="6.3")
    data = {
        f"g{world.group.pk}": other.pk, "waste_percent": "0", "air_c": "9.5", "spare_mixes": "1",
    }  # fmt: skip

    response = client_for(office).post(f"/take-off/{world.survey.pk}/blends/", data)

    assert response.status_code == 302
    assert BlendChoice.objects.get(colour_group=world.group).blend == other
    settings = TakeOffSettings.objects.get(survey=world.survey)
    assert (settings.spare_mixes, str(settings.air_c)) == (1, "9.5")


def test_a_bad_figure_keeps_what_was_typed(
    office: Any, client_for: Callable[[Any], Client]
) -> None:
    world = make_quote_world()
    data = {f"g{world.group.pk}": "", "waste_percent": "-3", "air_c": "15", "spare_mixes": "0"}

    response = client_for(office).post(f"/take-off/{world.survey.pk}/blends/", data)

    assert response.status_code == 422
    assert 'value="-3"' in response.content.decode()
    assert not TakeOffSettings.objects.exists()


def test_a_survey_without_blend_says_so(office: Any, client_for: Callable[[Any], Client]) -> None:
    world = make_quote_world()
    BlendChoice.objects.all().delete()

    response = client_for(office).get(f"/take-off/{world.survey.pk}/")

    assert response.status_code == 200
    assert "No blend is chosen yet for: buff." in response.content.decode()
