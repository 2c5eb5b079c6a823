"""Taps, bays, undoing and spilling on the phone."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from jobs.kernel import clock
from stock.laying.models import LayBay, Mix
from tests.factories import AT, make_area, make_survey
from tests.stock.laying.views.test_day import words
from tests.stock.laying.world import Site, make_site_with, open_day, tap

pytestmark = pytest.mark.django_db


def url(name: str, *args: Any) -> str:
    return reverse(f"laying:{name}", args=args)


def press(phone: Client, site: Site, **data: Any) -> Any:
    assert site.day is not None
    values: dict[str, Any] = {"bay": site.bays[0].pk, "uid": uuid4()} | data
    return phone.post(url("mix", site.day.pk), values, follow=True)


def test_one_tap_logs_a_mix_and_starts_its_clock(site: Site, phone: Client) -> None:
    open_day(site)
    page = words(press(phone, site))
    assert "Mix 1 of 3 · bay A · started 09:00" in page
    # The kit prints 26 min at 20 °C. The hotter of 18 and 16 °C rules: 26 × 2^0.2 = 29.9 min by
    # the 10-degree rule, and whole minutes downwards.
    assert "29:00" in page
    assert "left of 29 min · air 18.0 °C, by the hotter" in page
    assert "Mix 2 started" in page


def test_a_page_sent_twice_logs_once_and_says_so(site: Site, phone: Client) -> None:
    open_day(site)
    uid = uuid4()
    press(phone, site, uid=uid)
    page = words(press(phone, site, uid=uid))
    assert "Mix 1 stands already; it was not logged a second time." in page
    assert Mix.objects.count() == 1


def test_every_page_carries_a_fresh_key(site: Site, phone: Client) -> None:
    day = open_day(site)
    keys = {phone.get(url("day", day.pk)).context["uid"] for _ in range(2)}
    assert len(keys) == 2


@pytest.mark.parametrize("data", [{"uid": "x"}, {"bay": "x"}, {"bay": "999999"}, {"uid": ""}])
def test_a_tap_that_cannot_be_read_is_said_and_nothing_is_logged(
    data: dict[str, str], site: Site, phone: Client
) -> None:
    open_day(site)
    response = press(phone, site, **data)
    assert response.status_code == 200
    assert list(response.context["messages"])
    assert not Mix.objects.exists()


def test_a_tap_is_a_post(site: Site, phone: Client) -> None:
    day = open_day(site)
    assert phone.get(url("mix", day.pk)).status_code == 405


def test_a_tap_for_another_crews_day_is_not_found(site: Site, phone: Client) -> None:
    other = make_site_with(1)
    open_day(other)
    assert press(phone, other).status_code == 404
    assert not Mix.objects.exists()


def test_the_clock_runs_out_and_then_goes(
    site: Site, phone: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    day = open_day(site)
    press(phone, site)
    seen = []
    for minutes in (20, 35, 90):
        monkeypatch.setattr(clock, "now", lambda late=minutes: AT + timedelta(minutes=late))
        seen.append(words(phone.get(url("day", day.pk))))
    assert "9:00 left of 29 min" in seen[0]
    assert "−6:00 past its 29 min" in seen[1]
    assert "29 min ·" not in seen[2]


def test_a_mix_without_stock_is_logged_and_said(crew: Any, phone: Client) -> None:
    site = make_site_with(2, by=crew, issue=False)
    open_day(site)
    page = words(press(phone, site))
    assert "One mix is not booked in the yard" in page
    assert "Mix 2 started" in page


def test_the_other_bay_is_chosen_without_a_script(site: Site, phone: Client) -> None:
    day = open_day(site, bays=2)
    page = phone.get(url("day", day.pk))
    assert "Go on in bay B" in words(page)
    other = phone.get(url("day", day.pk), {"bay": site.bays[1].pk})
    assert f'name="bay" value="{site.bays[1].pk}"' in other.content.decode()
    for odd in ("x", "-1", "9" * 40, "٣"):
        assert phone.get(url("day", day.pk), {"bay": odd}).status_code == 200


def test_undo_and_spilt_ask_first(site: Site, phone: Client) -> None:
    open_day(site)
    mix = tap(site)
    assert "Undo mix 1?" in words(phone.get(url("undo_mix", mix.pk)))
    phone.post(url("spilt", mix.pk))
    assert "spilt" in words(phone.get(url("day", mix.lay_day_id)))
    phone.post(url("undo_mix", mix.pk))
    mix.refresh_from_db()
    assert (mix.state, site.left("kit")) == ("void", 3)


def test_a_mix_that_is_not_the_last_is_not_undone(site: Site, phone: Client) -> None:
    open_day(site)
    first = tap(site)
    tap(site)
    refused = phone.post(url("undo_mix", first.pk))
    assert refused.status_code == 422
    assert "mix 1 is not the last" in words(refused)


def test_a_bay_is_offered_with_the_next_letter_and_the_areas(site: Site, phone: Client) -> None:
    make_area(make_survey(site.job, finished_at=AT), name="drive")
    day = open_day(site)
    page = phone.get(url("add_bay", day.pk)).content.decode()
    assert 'value="B"' in page
    LayBay.objects.all().delete()
    first = phone.get(url("add_bay", day.pk)).content.decode()
    assert '<option value="drive" selected' in first
    assert '<option value="drive"' in page
    phone.post(url("add_bay", day.pk), {"name": "B", "area_name": "drive"})
    assert LayBay.objects.get(name="B").area_name == "drive"
    again = phone.post(url("add_bay", day.pk), {"name": "b", "area_name": "drive"})
    assert again.status_code == 422
    assert again.context["form"].errors["name"] == ["Bay b is there already; give another name."]


@pytest.mark.parametrize("typed", ["0", "-3", "1001", "nineteen", ""])
def test_an_area_that_cannot_be_is_refused_and_kept(typed: str, site: Site, phone: Client) -> None:
    open_day(site)
    refused = phone.post(url("bay_full", site.bays[0].pk), {"area_m2": typed})
    assert refused.status_code == 422
    assert f'value="{typed}"' in refused.content.decode() or not typed


def test_a_full_bay_shows_its_mass_on_a_square_metre(site: Site, phone: Client) -> None:
    day = open_day(site)
    tap(site)
    phone.post(url("bay_full", site.bays[0].pk), {"area_m2": "2.5"})
    # 7.0 kg of resin, 80 kg of stone and 2.5 kg of sand on 2.5 m²: 35.8 kg/m² by hand.
    assert "A 1 2.5 35.8 ● full" in words(phone.get(url("day", day.pk)))
