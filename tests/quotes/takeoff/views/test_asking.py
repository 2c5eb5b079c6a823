"""Pages that only ask the engine: answers by hand, bad input kept with a sentence, no error."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode

import pytest
from django.test import Client

from jobs.calendar.models import Resource
from jobs.kernel.templatetags.firm import length_of_time
from tests.quotes.takeoff.forecast import SPRING, query
from tests.quotes.world import make_quote_world

pytestmark = pytest.mark.django_db
Login = Callable[[Any], Client]


def text_of(client: Client, address: str, status: int = 200) -> str:
    response = client.get(address)
    assert response.status_code == status, response.content.decode()[:2000]
    return response.content.decode()


def test_folded_parts_of_the_take_off(storeman: Any, client_for: Login) -> None:
    world = make_quote_world()
    Resource.objects.create(kind="vehicle", name="tipper", payload_kg=620)
    Resource.objects.create(kind="vehicle", name="van")
    Resource.objects.create(kind="mixer", name="drum 1")
    Resource.objects.create(kind="mixer", name="drum 2")

    text = text_of(client_for(storeman), f"/take-off/{world.survey.pk}/")

    # 896 kg over 620 kg of payload: two trips at least, and whole packs leave room for two
    assert "tipper" in text
    assert '<td class="num">2</td>' in text
    assert "Its usable payload is not known." in text
    assert 'name="paceform-mixers" value="2"' in text
    # two mixers of 240 s: a mix each 120 s; two hands of 900 s: a mix each 450 s: 8 an hour
    assert "The trowel sets the pace" in text
    assert ">8.0<" in text
    assert "Gradings, resin film and permeability" in text


def test_pace_that_is_asked_stands_open_and_a_bad_figure_is_kept(
    office: Any, client_for: Login
) -> None:
    world = make_quote_world()
    values = {
        "mixers": "3", "mixing": "120", "loading": "120", "barrows": "2", "barrow_runs": "2",
        "barrow_run": "90", "hands": "4", "trowelling": "900", "hours": "6", "lane_length": "4",
        "lane_width": "1.5", "turning": "2",
    }  # fmt: skip

    def page(**changed: str) -> str:
        data = {f"paceform-{key}": value for key, value in (values | changed).items()}
        return f"/take-off/{world.survey.pk}/?{urlencode(data | {'paceform-ask': '1'})}"

    client = client_for(office)
    good, bad = text_of(client, page()), text_of(client, page(mixers="0.5", hours="nan"), 422)

    assert '<details id="pace" open>' in good
    assert ">16.0<" in good  # four hands of 900 s: a mix each 225 s
    assert 'value="0.5"' in bad
    assert 'value="nan"' in bad
    assert "Give a whole number like 12." in bad
    assert "Take-off" in bad
    short = text_of(client, page(hours="0.1"))
    assert "is less than one mix takes" in short


def test_kits_in_a_store_they_never_warm_in(office: Any, client_for: Login) -> None:
    world = make_quote_world()
    values = {
        "kit": "8", "store": "10", "stay": "12", "wanted": "18", "stone": "12", "drum": "12",
        "drum_kg": "40", "base": "12", "heap": "4",
    }  # fmt: skip
    data = {f"kitform-{key}": value for key, value in values.items()} | {"kitform-ask": "1"}

    text = text_of(client_for(office), f"/take-off/{world.survey.pk}/?{urlencode(data)}")

    assert "never reaches 18 °C" in text
    assert '<details id="kit" open>' in text


def test_a_day_is_drawn_with_first_and_last_mix(crew: Any, client_for: Login) -> None:
    world = make_quote_world()

    text = text_of(client_for(crew), f"/take-off/{world.survey.pk}/day/?{query(SPRING)}")

    assert text.count("<svg") == 3  # the strip, air and surface
    assert "start mixes" in text
    assert "at 18:00 by rain" in text
    assert "last mix not rain-safe" in text
    assert "after this forecast" in text
    assert "no: rain, dew" in text


@pytest.mark.parametrize(
    ("line", "sentence"),
    [
        (("7 o'clock", "9", "", "70", ""), "Write a time as 07:00."),
        (("07:00", "warm", "", "70", ""), "Give a figure like 12.5."),
        (("07:00", "nan", "", "70", ""), "Give a figure like 12.5."),
        (("07:00", "1e308", "", "70", ""), "Give 50 or less."),
        (("07:00", "9", "", "0", ""), "Give 1 or more."),
        (("07:00", "9", "", "", ""), "Fill this in."),
        (("07:00", "9", "", "70", "-1"), "Give 0 or more."),
    ],
)
def test_a_bad_line_of_a_forecast_says_so_at_the_line(
    office: Any, client_for: Login, line: tuple[str, ...], sentence: str
) -> None:
    world = make_quote_world()
    lines = (*SPRING[:2], line, *SPRING[2:])

    text = text_of(client_for(office), f"/take-off/{world.survey.pk}/day/?{query(lines)}", 422)

    assert sentence in text
    assert text.count('class="line wrong"') == 1
    assert 'value="13"' in text


@pytest.mark.parametrize(
    "tail",
    [
        "?hours-ask=1",
        "?hours-ask=1&hours-TOTAL_FORMS=99999999&hours-INITIAL_FORMS=0",
        "?hours-ask=1&hours-TOTAL_FORMS=x&hours-INITIAL_FORMS=-3&dayform-ask=1&dayform-day=soon",
        f"?{query(SPRING[:1])}",
        f"?{query(SPRING, day='0001-01-01')}",
        f"?{query(SPRING, day='9999-12-31')}",
    ],
)
def test_a_broken_question_about_a_day_is_answered_in_words(
    office: Any, client_for: Login, tail: str
) -> None:
    world = make_quote_world()

    response = client_for(office).get(f"/take-off/{world.survey.pk}/day/{tail}")

    assert response.status_code in {200, 422}
    assert "■" in response.content.decode()


def test_storage_by_hand(office: Any, client_for: Login) -> None:
    world = make_quote_world(fall="1:80")
    values = {
        "rain-ask": "1", "rain-infiltration": "9", "rain-safety": "1.5", "rain-voids": "30",
        "rain-ratio": "1", "storm-TOTAL_FORMS": "3", "storm-INITIAL_FORMS": "0",
        "storm-0-minutes": "15", "storm-0-depth": "18", "storm-1-minutes": "60",
        "storm-1-depth": "30", "storm-2-minutes": "", "storm-2-depth": "",
    }  # fmt: skip

    text = text_of(client_for(office), f"/take-off/{world.survey.pk}/water/?{urlencode(values)}")

    # 9 mm/h over 1.5 is 6 mm/h: (30 - 6) / 0.30 = 80 mm; (18 - 1.5) / 0.30 = 55 mm, by hand
    assert ">80.0<" in text
    assert ">55.0<" in text
    assert "60 min, 30 mm" in text
    # half of 80 mm x 0.30 = 12 mm at 6 mm/h: two hours
    assert length_of_time(120) in text
    assert "0.716°" in text


def test_an_empty_or_broken_table_of_rain_says_so(office: Any, client_for: Login) -> None:
    world = make_quote_world(fall="1:80")
    client, address = client_for(office), f"/take-off/{world.survey.pk}/water/"
    first = {
        "rain-ask": "1", "rain-infiltration": "9", "rain-safety": "1.5", "rain-voids": "30",
        "rain-ratio": "1", "storm-TOTAL_FORMS": "1", "storm-INITIAL_FORMS": "0",
    }  # fmt: skip
    empty = text_of(client, f"{address}?{urlencode(first)}", 422)
    broken = text_of(client, f"{address}?{urlencode(first | {'storm-0-minutes': '1e309'})}", 422)
    odd = text_of(client, f"{address}?fallform-ask=1&fallform-fall=2:1", 422)

    assert "at least one line of the rainfall table" in empty
    assert 'value="1e309"' in broken
    assert "steeper than 1:1" in odd


def test_vibration_of_a_day_by_hand(crew: Any, client_for: Login) -> None:
    values = {
        "ask": "1", "tools-TOTAL_FORMS": "3", "tools-INITIAL_FORMS": "0",
        "tools-0-tool": "breaker", "tools-0-minutes": "30",
        "tools-1-tool": "plate compactor", "tools-1-minutes": "60", "tools-1-vibration": "8",
        "tools-2-tool": "", "tools-2-minutes": "",
    }  # fmt: skip

    text = text_of(client_for(crew), f"/take-off/tools/?{urlencode(values)}")

    # 2 x 12² x 0.5 h = 144 points, and 2 x 8² x 1 h = 128: 272 points; A(8) = root of 272/16
    assert ">272<" in text
    assert "4.12" in text
    assert "reaches the action value" in text
    assert "follow the maker&#x27;s figure" in text
    assert "silica" in text


def test_a_tool_without_its_time_is_asked_for(crew: Any, client_for: Login) -> None:
    values = {
        "ask": "1", "tools-TOTAL_FORMS": "1", "tools-INITIAL_FORMS": "0",
        "tools-0-tool": "breaker", "tools-0-minutes": "",
    }  # fmt: skip
    text = text_of(client_for(crew), f"/take-off/tools/?{urlencode(values)}", 422)
    assert "Fill this in." in text
    values |= {"tools-0-minutes": "1440", "tools-TOTAL_FORMS": "2", "tools-1-tool": "breaker",
               "tools-1-minutes": "10"}  # fmt: skip
    assert "time of all uses" in text_of(client_for(crew), f"/take-off/tools/?{urlencode(values)}")
