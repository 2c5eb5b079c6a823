"""The pages: what they cost, what they say, and that nothing typed brings them down."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.kernel.clock import london_day, now
from stock.conditions.enums import HoldCause
from stock.conditions.models import Excursion, Reading, ReadingFile, Sensor
from stock.conditions.services import hash_of
from stock.ledger.models import Lot
from tests.factories import make_kit, make_lot, make_place, make_stone
from tests.jobs.attachments.files import photo
from tests.stock.conditions.world import hot, make_resin, make_sensor, read, too_hot
from tests.stock.pages import queries_of

pytestmark = pytest.mark.django_db


def text_of(page: Any) -> str:
    return " ".join(page.content.decode().split())


# -- what lists cost: session, user, 2 of permissions; count, rows; and the filter's choices ---


@pytest.mark.parametrize("count", [1, 3])
@pytest.mark.parametrize(
    ("name", "make", "queries"),
    [
        ("list", lambda: make_lot(make_resin(), place=make_place()), 6),
        ("readings", lambda: read(make_place(), [(0, 20)]), 7),
        ("excursions", too_hot, 7),
        ("sensors", make_sensor, 6),
    ],
)
def test_a_list_costs_the_same_for_any_number_of_rows(
    count: int, name: str, make: Any, queries: int, client_for: Any, storeman: Any
) -> None:
    for _ in range(count):
        make()
    assert queries_of(client_for(storeman), reverse(f"conditions:{name}")) == queries


@pytest.mark.parametrize("count", [1, 3])
def test_a_place_costs_the_same_for_any_number_of_items(
    count: int, client_for: Any, storeman: Any
) -> None:
    bay = make_place()
    for _ in range(count):
        make_lot(make_resin(), place=bay)
    read(bay, hot(30 * count), start=now() - timedelta(days=5))
    # session, user, 2 of permissions; place, gap, readings, items, excursions
    assert queries_of(client_for(storeman), reverse("conditions:place", args=[bay.pk])) == 9


@pytest.mark.parametrize("count", [1, 3])
def test_the_vans_cost_one_query(count: int, client_for: Any, storeman: Any) -> None:
    for _ in range(count):
        make_lot(make_kit(), 2, place=make_place("van"))
    page = client_for(storeman).get(reverse("conditions:vans"))
    assert text_of(page).count("2 kits") == count
    assert queries_of(client_for(storeman), reverse("conditions:vans")) == 5


# -- a place ---------------------------------------------------------------------------------


def test_a_place_says_its_hours_gaps_and_spikes(client_for: Any, crew: Any) -> None:
    bay = make_place()
    make_lot(make_resin(), place=bay)
    start = now() - timedelta(hours=20)
    rows = [(0, 20), (1, 30), (2, 30), (3, 20), (12, 20), (13, 20), (13.1, 66), (13.2, 20)]
    read(bay, rows, start=start)
    page = client_for(crew).get(reverse("conditions:place", args=[bay.pk]), {"days": "1"})
    text = text_of(page)
    assert page.context["exposures"][0]["above"] == pytest.approx(2, abs=1e-6)
    assert "2 gaps of more than 6 h between readings, 15.8 h in all" in text
    assert "Left out as single bad readings" in text
    assert "66 °C" in text.replace("\u00a0", " ")
    assert '<svg class="chart"' in text
    assert "limit 25 °C" in text


@pytest.mark.parametrize("days", ["1", "7", "30", "0", "x", "999999999999"])
def test_a_time_that_is_not_offered_shows_a_week(days: str, client_for: Any, crew: Any) -> None:
    url = reverse("conditions:place", args=[make_place().pk])
    page = client_for(crew).get(url, {"days": days})
    assert page.status_code == 200
    assert page.context["days"] == (days if days in {"1", "7", "30"} else "7")


def test_the_mean_kinetic_temperature_is_worked_out_when_asked(client_for: Any, crew: Any) -> None:
    bay = make_place()
    read(bay, [(0, 10), (1, 30), (2, 10)], start=now() - timedelta(hours=5))
    url = reverse("conditions:place", args=[bay.pk])
    assert client_for(crew).get(url).context["kinetic"] is None
    found = client_for(crew).get(url, {"energy": "83.144"}).context["kinetic"]
    # Half the time at 10, half at 30 °C; by hand: 10000 / -ln((e^-35.317 + e^-32.987) / 2) K.
    assert found == {"value": 24.58, "count": 3}
    for energy in ("", "0", "1e9", "NaN", "kJ"):
        page = client_for(crew).get(url, {"energy": energy})
        assert (page.status_code, page.context["kinetic"]) == (200, None)


# -- readings --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("data", "field"),
    [
        ({"celsius": "81"}, "celsius"), ({"celsius": "warm"}, "celsius"), ({"celsius": "NaN"},
        "celsius"), ({"celsius": "1e5"}, "celsius"), ({"celsius": ""}, "celsius"),
        ({"celsius": "20", "humidity": "101"}, "humidity"),
        ({"celsius": "20", "measured_at": "2199-01-01T00:00"}, "measured_at"),
        ({"celsius": "20", "measured_at": "yesterday"}, "measured_at"),
        ({"celsius": "20", "measured_at": "2026-03-29T01:30"}, "measured_at"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_a_sentence_with_what_was_typed_kept(
    data: dict[str, str], field: str, client_for: Any, storeman: Any
) -> None:
    url = reverse("conditions:add", args=[make_place().pk])
    values = {"uid": uuid4(), "humidity": "", "measured_at": f"{now():%Y-%m-%dT%H:%M}"} | data
    page = client_for(storeman).post(url, values)
    assert page.status_code == 422
    assert page.context["form"].errors[field]
    assert f'value="{values["celsius"]}"' in text_of(page) or not values["celsius"]
    assert not Reading.objects.exists()


# -- files -----------------------------------------------------------------------------------


def bring(client: Any, place: Any, data: bytes, name: str = "log.csv") -> Any:
    return client.post(
        reverse("conditions:import", args=[place.pk]),
        {"uid": uuid4(), "unit": "", "file": SimpleUploadedFile(name, data)},
    )


def test_a_file_is_previewed_and_its_good_rows_taken(client_for: Any, storeman: Any) -> None:
    client, day = client_for(storeman), london_day(now()) - timedelta(days=1)
    log = f"time,celsius\n{day} 09:00,21\n{day} 10:00,hot\n{day} 11:00,22\n".encode()
    page = client.get(bring(client, make_place(), log)["Location"])
    assert "Line 3: &#x27;hot&#x27; is no temperature." in text_of(page)
    assert "Take the 2 good rows</button>" in text_of(page)
    assert "Take the whole file" not in text_of(page)
    file = ReadingFile.objects.get()
    refused = client.post(reverse("conditions:take", args=[file.pk]), {"rows": "whole"})
    assert "1 of its rows cannot be used" in text_of(client.get(refused["Location"]))
    assert not Reading.objects.exists()
    client.post(reverse("conditions:take", args=[file.pk]), {"rows": "good"})
    assert Reading.objects.count() == 2
    assert "2 readings were kept" in text_of(client.get(file.get_absolute_url()))


@given(
    st.binary(max_size=400)
    | st.text(max_size=300).map(lambda text: f"time,celsius\n{text}".encode("utf-8", "replace"))
)
@settings(
    suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None, max_examples=60
)
def test_any_file_is_looked_at_or_refused(client_for: Any, storeman: Any, data: bytes) -> None:
    client, place = client_for(storeman), make_place()
    answer = bring(client, place, data)
    assert answer.status_code in {302, 422}
    if answer.status_code == 302:
        assert client.get(answer["Location"]).status_code == 200


# -- sensors ---------------------------------------------------------------------------------


def test_a_token_is_shown_once_and_a_double_click_adds_one(client_for: Any, storeman: Any) -> None:
    client = client_for(storeman)
    data = {"uid": uuid4(), "name": "probe 1", "place": make_place().pk}
    page = client.post(reverse("conditions:add_sensor"), data)
    token = page.context["token"]
    assert token in text_of(page)
    assert page["Cache-Control"] == "no-store"
    assert Sensor.objects.get().token_hash == hash_of(token)
    assert client.post(reverse("conditions:add_sensor"), data).status_code == 422
    assert token not in text_of(client.get(reverse("conditions:sensors")))
    assert Sensor.objects.count() == 1


# -- excursions and holds --------------------------------------------------------------------


def test_an_excursion_is_answered_from_its_page(client_for: Any, storeman: Any) -> None:
    _, lot, excursion = too_hot(expiry=london_day(now()) + timedelta(days=30))
    client = client_for(storeman)
    assert "Answer it" in text_of(client.get(excursion.get_absolute_url()))
    url = reverse("conditions:answer", args=[excursion.pk])
    assert client.post(url, {"outcome": "gone", "finding": "x"}).status_code == 422
    page = client.post(url, {"outcome": "released", "finding": "Maker: usable."}, follow=True)
    assert "Release what it held: Maker: usable." in text_of(page)
    lot.refresh_from_db()
    assert lot.status == "released"
    assert client.post(url, {"outcome": "kept", "finding": "again"}).status_code == 422


def test_some_damp_bags_are_held_with_a_photo(client_for: Any, storeman: Any) -> None:
    bay = make_place()
    lot = make_lot(make_stone(), 40, place=bay)
    client, url = client_for(storeman), reverse("conditions:hold", args=[lot.pk])
    base = {
        "uid": uuid4(), "cause": "damp_bag", "words": "bottom row", "place": bay.pk, "packs": "3",
    }  # fmt: skip

    def send(data: bytes = photo(), **change: str) -> Any:
        values = base | change | {"file": SimpleUploadedFile("bag.jpg", data)}
        return client.post(url, values, follow=True)

    assert send(packs="").context["form"].errors["packs"]
    assert send(place="").context["form"].errors["place"]
    assert send(packs="0.00001").status_code == 422
    assert send(b"no photo").context["form"].errors["file"]
    assert not Lot.objects.filter(parent=lot).exists()
    page = send()
    part = Lot.objects.get(parent=lot)
    assert page.context["lot"] == part
    assert ">damp bag: bottom row</a>" in text_of(page)
    assert f"{part}, damp bag. Held until dried and checked" in text_of(page)
    assert "Follow the safety data sheet." in text_of(page)
    # Whoever opens the lot later reads what it needs to be released.
    later = text_of(client.get(part.get_absolute_url()))
    assert HoldCause.DAMP_BAG.advice in later
    assert HoldCause.DAMP_BAG.advice not in text_of(client.get(lot.get_absolute_url()))


def test_the_lots_page_names_its_excursions(client_for: Any, crew: Any) -> None:
    _, lot, excursion = too_hot()
    page = client_for(crew).get(lot.get_absolute_url())
    assert excursion.get_absolute_url() in text_of(page)
    assert "Hold with a photo" not in text_of(page)


def test_every_list_is_searched_filtered_and_exported(client_for: Any, storeman: Any) -> None:
    bay, _, _ = too_hot()
    client = client_for(storeman)
    for name, query in (
        ("list", {"kind": "van"}), ("readings", {"out": "only"}),
        ("readings", {"since": "2026-05-30"}), ("excursions", {"answered": "yes"}),
    ):  # fmt: skip
        url = reverse(f"conditions:{name}")
        assert "Nothing matches." in text_of(client.get(url, query))
        assert "Nothing matches." in text_of(client.get(url, {"q": "nowhere"}))
        assert "Nothing matches." not in text_of(client.get(url, {"q": bay.name}))
        for kind in ("csv", "xlsx"):
            assert client.get(url, {"export": kind}).status_code == 200
    lines = client.get(reverse("conditions:excursions"), {"export": "csv"}).content.decode()
    assert "waits for an answer" in lines
    assert Excursion.objects.count() == 1
