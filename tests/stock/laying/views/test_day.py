"""The lay day's page, the base, the evening, closing.

Long because: each refusal and each state has its own short test.
"""

from __future__ import annotations

import io
import re
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from PIL import Image

from jobs.attachments.models import Attachment
from stock.laying.models import Discrepancy, LayDay
from stock.laying.services import add_bay, bay_full, close_day
from tests.factories import AT, DAY, make_booking
from tests.stock.laying.world import BAG, Site, make_site_with, open_day, tap

pytestmark = pytest.mark.django_db
GOOD = {"air_c": "18.0", "surface_c": "16.0", "humidity_percent": "60"}
DAMP = {"air_c": "18.0", "surface_c": "22.0", "humidity_percent": "90"}
DAY_QUERIES = 16


def words(response: Any) -> str:
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", response.content.decode()))


def url(name: str, *args: Any) -> str:
    return reverse(f"laying:{name}", args=args)


def accept(phone: Client, day: LayDay, **data: Any) -> Any:
    return phone.post(url("base", day.pk), data)


@pytest.mark.parametrize("name", ["day", "base", "add_bay", "evening", "close", "reopen"])
def test_another_crews_day_is_not_found(name: str, phone: Client) -> None:
    other = open_day(make_site_with(1))
    assert phone.get(url(name, other.pk)).status_code == 404


def test_the_crew_lead_sees_his_own_day_and_the_storeman_only_looks(
    site: Site, phone: Client, yard: Client
) -> None:
    day = open_day(site)
    assert "Mix 1 started" in words(phone.get(url("day", day.pk)))
    seen = yard.get(url("day", day.pk))
    assert seen.status_code == 200
    assert "Mix 1 started" not in words(seen)


@pytest.mark.parametrize("count", [1, 3])
def test_the_page_costs_the_same_for_any_number_of_mixes(
    count: int, site: Site, phone: Client, django_assert_num_queries: Any
) -> None:
    day = open_day(site, bays=count)
    for n in range(count):
        tap(site, bay_id=site.bays[n].pk)
    with django_assert_num_queries(DAY_QUERIES):
        response = phone.get(url("day", day.pk))
    assert len(response.context["page"].mixes) == count


# -- the base ----------------------------------------------------------------------------------


def test_before_the_base_is_accepted_there_is_no_tap(site: Site, phone: Client) -> None:
    day = open_day(site, accept=False)
    page = words(phone.get(url("day", day.pk)))
    assert "Accept the base before mix 1." in page
    assert "Mix 1 started" not in page


def test_good_readings_show_dew_point_and_margin_at_once(site: Site, phone: Client) -> None:
    day = open_day(site, accept=False)
    assert accept(phone, day, **GOOD).status_code == 302
    page = words(phone.get(url("day", day.pk)))
    # WMO-No. 8, Magnus by hand: 18 °C and 60 % give 10.1 °C; 16 less 10.1 are 5.9.
    assert "Dew point 10.1" in page
    assert "Above it 5.9 °C, at least 3 °C wanted" in page


def test_bad_readings_are_said_and_asked_about_with_what_was_typed(
    site: Site, phone: Client
) -> None:
    day = open_day(site, accept=False)
    refused = accept(phone, day, **DAMP, note="Two dips: 18 and 21 mm.")
    page = refused.content.decode()
    assert refused.status_code == 422
    assert "the humidity of 90 % is not below the limit of 85 %" in words(refused)
    assert "Two dips: 18 and 21 mm." in page
    assert 'value="22.0"' in page
    assert 'name="seen"' in page
    assert not LayDay.objects.exclude(base_accepted_at=None).exists()


def test_a_tick_counts_for_the_readings_under_which_it_was_asked(site: Site, phone: Client) -> None:
    day = open_day(site, accept=False)
    read = re.search(r'name="read" value="([^"]+)"', accept(phone, day, **DAMP).content.decode())
    assert read is not None
    worse = DAMP | {"humidity_percent": "95"}
    assert accept(phone, day, **worse, seen="on", read=read[1]).status_code == 422
    assert accept(phone, day, **DAMP, seen="on", read=read[1]).status_code == 302
    page = words(phone.get(url("day", day.pk)))
    assert f"{day.lead} saw this and decided to lay:" in page


def test_good_readings_do_not_show_the_tick(site: Site, phone: Client) -> None:
    day = open_day(site, accept=False)
    assert 'name="seen"' not in phone.get(url("base", day.pk)).content.decode()


@pytest.mark.parametrize(
    ("data", "field"),
    [
        (GOOD | {"air_c": "warm"}, "air_c"),
        (GOOD | {"air_c": "18.25"}, "air_c"),
        (GOOD | {"surface_c": "900"}, "surface_c"),
        (GOOD | {"humidity_percent": "0"}, "humidity_percent"),
        (GOOD | {"humidity_percent": ""}, "humidity_percent"),
        (GOOD | {"dry_until": "25:00"}, "dry_until"),
        (GOOD | {"dry_until": "08:30"}, "dry_until"),
    ],
)
def test_a_reading_that_cannot_be_is_refused_at_its_field(
    data: dict[str, str], field: str, site: Site, phone: Client
) -> None:
    day = open_day(site, accept=False)
    refused = accept(phone, day, **data)
    assert refused.status_code == 422
    assert field in refused.context["form"].errors
    assert data[field] in refused.content.decode()


def test_the_forecast_gives_the_last_mix(site: Site, phone: Client) -> None:
    day = open_day(site, accept=False)
    # The kit prints 10 h cure and no rain-safe time: at 20 °C the film wants those 10 h.
    accept(phone, day, air_c="20", surface_c="20", humidity_percent="50", dry_until="21:00")
    tap_page = words(phone.get(url("day", day.pk)))
    assert "Last mix by" not in tap_page  # no bay yet, so no blend whose kit could be asked
    add_bay(lay_day_id=day.pk, name="A", by=None, at=AT)
    # 21:00 less 10 h and 26 min.
    assert "Last mix by 10:34" in words(phone.get(url("day", day.pk)))


def test_photos_are_kept_with_the_base(site: Site, phone: Client) -> None:
    day = open_day(site, accept=False)
    data = io.BytesIO()
    Image.new("RGB", (60, 40), "grey").save(data, "JPEG")
    data.seek(0)
    data.name = "base.jpg"
    assert accept(phone, day, **GOOD, file=data).status_code == 302
    photo = Attachment.objects.get()
    assert f"/attachments/{photo.uid}/" in phone.get(url("day", day.pk)).content.decode()


def test_a_file_that_is_no_photo_is_refused_and_nothing_is_accepted(
    site: Site, phone: Client
) -> None:
    day = open_day(site, accept=False)
    data = io.BytesIO(b"MZ this is a program")
    data.name = "base.jpg"
    refused = accept(phone, day, **GOOD, file=data)
    assert refused.status_code == 422
    assert "file" in refused.context["form"].errors
    assert not LayDay.objects.exclude(base_accepted_at=None).exists()


# -- the evening -------------------------------------------------------------------------------


def evening(phone: Client, site: Site, **parts: Any) -> Any:
    assert site.day is not None
    data = {"uid": uuid4(), "place": site.bay.pk} | parts
    return phone.post(url("evening", site.day.pk), data)


def names(site: Site) -> dict[str, int]:
    return {name: lot.pk for name, lot in site.lots.items()}


def test_the_evening_shows_what_is_left_and_takes_it_back(site: Site, phone: Client) -> None:
    day = open_day(site)
    tap(site)
    page = words(phone.get(url("evening", day.pk)))
    assert "drawn 3 kits − laid 1 kit = 2 kits left" in page
    assert "drawn 12 bags − laid 4 bags = 8 bags left" in page
    pk = names(site)
    done = evening(
        phone, site,
        **{
            f"back_{pk['kit']}": "1", f"waste_{pk['kit']}": "1",
            f"reason_{pk['kit']}": "opened, rain came", f"back_{pk['stone']}": "7",
            f"opened_{pk['stone']}": "12.5", f"waste_{pk['stone']}": "0.375",
            f"reason_{pk['stone']}": "wet", f"back_{pk['sand']}": "1",
            f"opened_{pk['sand']}": "2.5",
        },
    )  # fmt: skip
    assert done.status_code == 302
    assert [site.left(name) for name in site.lots] == [0, 0, 0]
    assert not Discrepancy.objects.exists()


def test_an_opened_kit_is_refused_at_its_field_and_the_rest_stays_typed(
    site: Site, phone: Client
) -> None:
    open_day(site)
    pk = names(site)
    refused = evening(phone, site, **{f"back_{pk['kit']}": "2.5", f"back_{pk['stone']}": "12"})
    assert refused.status_code == 422
    errors = refused.context["form"].errors[f"back_{pk['kit']}"]
    assert errors[0].startswith(
        f"An opened kit of {site.lots['kit'].code} does not come back: count it under"
    )
    page = refused.content.decode()
    assert 'value="2.5"' in page
    assert 'value="12"' in page
    assert site.left("kit") == 3


def test_what_is_not_accounted_for_is_asked_once_more(site: Site, phone: Client) -> None:
    open_day(site)
    pk = names(site)
    given = {
        f"back_{pk['kit']}": "2", f"back_{pk['stone']}": "12", f"back_{pk['sand']}": "2"
    }  # fmt: skip
    refused = evening(phone, site, **given)
    (said,) = refused.context["form"].errors[f"back_{pk['kit']}"]
    assert said == (
        f"1 kit of {site.lots['kit'].code} is not accounted for. Count again; if that is all, tick "
        "so below."
    )
    assert 'name="sure"' in refused.content.decode()
    assert site.left("stone") == 12 * BAG
    assert evening(phone, site, **given, sure="on").status_code == 302
    assert Discrepancy.objects.get().quantity == 1


def test_waste_without_a_reason_is_asked_for_it(site: Site, phone: Client) -> None:
    open_day(site)
    pk = names(site)
    refused = evening(phone, site, **{f"waste_{pk['kit']}": "3"}, sure="on")
    assert refused.context["form"].errors[f"reason_{pk['kit']}"] == [
        "Say why it is waste and where it went."
    ]


def test_more_than_there_is_is_refused_by_the_book(site: Site, phone: Client) -> None:
    open_day(site)
    pk = names(site)
    refused = evening(phone, site, **{f"back_{pk['kit']}": "4"}, sure="on")
    assert refused.status_code == 422
    assert "By the book 3 kits" in refused.context["form"].errors[f"back_{pk['kit']}"][0]


def test_the_same_evening_sent_twice_is_booked_once(site: Site, phone: Client) -> None:
    open_day(site)
    pk = names(site)
    key = uuid4()
    given = {f"back_{pk['kit']}": "3", f"back_{pk['stone']}": "12", f"back_{pk['sand']}": "2"}
    for _ in range(2):
        evening(phone, site, **given, uid=key)
    site.lots["kit"].refresh_from_db()
    assert (site.lots["kit"].on_hand, site.left("kit")) == (3, 0)


def test_what_stays_is_asked_only_where_another_day_comes(site: Site, phone: Client) -> None:
    day = open_day(site)
    name = f'name="stays_{site.lots["kit"].pk}"'
    assert name not in phone.get(url("evening", day.pk)).content.decode()
    make_booking(site.job, day=DAY + timedelta(days=1))
    assert name in phone.get(url("evening", day.pk)).content.decode()


# -- closing -----------------------------------------------------------------------------------


def test_closing_says_what_is_not_measured_and_then_shows_the_way_on(
    site: Site, phone: Client
) -> None:
    day = open_day(site, bays=2)
    for _ in range(3):
        tap(site)
    assert "Not measured yet: bay A." in words(phone.get(url("close", day.pk)))
    bay_full(bay_id=site.bays[0].pk, area_m2=Decimal("9.0"), by=None, at=AT)
    LayDay.objects.filter(pk=day.pk).update(balanced_at=AT)
    assert phone.post(url("close", day.pk)).status_code == 302
    page = words(phone.get(url("day", day.pk)))
    assert "It was the last day booked for laying." in page
    assert "B – – – not laid" in page


def test_a_day_that_is_not_balanced_says_so_when_it_is_closed(site: Site, phone: Client) -> None:
    day = open_day(site)
    tap(site)
    refused = phone.post(url("close", day.pk))
    assert refused.status_code == 422
    assert "Do the evening balance first." in words(refused)


def test_a_closed_day_offers_to_be_opened_again(site: Site, phone: Client) -> None:
    day = open_day(site)
    for _ in range(3):
        tap(site)
    LayDay.objects.filter(pk=day.pk).update(balanced_at=AT)
    close_day(lay_day_id=day.pk, by=None, at=AT)
    assert "Open the day again" in words(phone.get(url("day", day.pk)))
    phone.post(url("reopen", day.pk))
    assert "Mix 4 started" in words(phone.get(url("day", day.pk)))
