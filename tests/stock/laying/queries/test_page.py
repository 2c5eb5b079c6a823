"""The remarks of the page, and what is planned for a day."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from stock.catalogue.models import Item
from stock.laying.models import LayDay
from stock.laying.queries import day_page, engine_kit
from stock.laying.services import accept_base, add_bay, bay_full, mark_spilt, open_lay_day
from stock.ledger.models import Lot
from stock.ledger.services import hold_lot
from tests.factories import AT, DAY, make_kit
from tests.stock.laying.world import GOOD, Site, make_site_with, open_day, tap

pytestmark = pytest.mark.django_db


def page_of(site: Site, **late: int) -> Any:
    assert site.day is not None
    return day_page(LayDay.objects.get(pk=site.day.pk), AT + timedelta(**late))


def titles(site: Site, **late: int) -> list[str]:
    return [remark.title for remark in page_of(site, **late).remarks]


def test_what_is_laid_on_other_days_is_not_planned_again() -> None:
    site = make_site_with(5)
    open_day(site)
    tap(site)
    tap(site)
    morrow = AT + timedelta(days=1)
    next_day = open_lay_day(job_id=site.job.pk, day=DAY + timedelta(days=1), by=None, at=morrow)
    assert day_page(next_day, morrow).planned == 3
    assert page_of(site).planned == 5


def test_the_bay_goes_on_until_it_is_full() -> None:
    site = make_site_with(4)
    open_day(site, bays=2)
    tap(site, bay_id=site.bays[1].pk)
    assert page_of(site).current == site.bays[1]
    bay_full(bay_id=site.bays[1].pk, area_m2=Decimal(3), by=None, at=AT)
    assert page_of(site).current == site.bays[0]
    bay_full(bay_id=site.bays[0].pk, area_m2=Decimal(3), by=None, at=AT)
    assert page_of(site).current is None


def test_a_spilt_mix_has_no_clock_and_is_not_in_the_bay() -> None:
    site = make_site_with(2)
    open_day(site)
    mark_spilt(mix_id=tap(site).pk, by=None, at=AT)
    page = page_of(site)
    assert page.clock is None
    assert [line.mixes for line in page.bays] == [0]


def test_held_and_expired_lots_at_the_site_are_said() -> None:
    site = make_site_with(2)
    open_day(site)
    stone, kit = site.lots["stone"], site.lots["kit"]
    hold_lot(lot_id=stone.pk, reason="damp", by=None, at=AT)
    Lot.objects.filter(pk=kit.pk).update(expiry=DAY - timedelta(days=1))
    said = titles(site)
    assert f"Do not mix {stone.code}, {stone.item}" in said
    assert f"Do not mix {kit.code}, {kit.item}" in said


def test_old_readings_are_asked_for_again() -> None:
    site = make_site_with(1)
    open_day(site)
    assert "The readings are of 09:00" not in titles(site, hours=2)
    assert "The readings are of 09:00" in titles(site, hours=2, minutes=1)


def test_more_mixes_than_planned_are_said() -> None:
    site = make_site_with(1)
    open_day(site)
    tap(site)
    # By the cooler, 16 °C: 10 h × 2^0.4 and 26 min × 2^0.2 (the hotter, 18 °C) are 13 h 41.6 min.
    assert titles(site) == ["A mix started now is safe from 22:42"]
    tap(site)
    assert "More mixes than the 1 planned" in titles(site)


def test_without_a_forecast_the_page_says_from_when_a_mix_is_safe() -> None:
    site = make_site_with(1, issue=False)
    day = open_day(site, accept=False)
    level = GOOD | {"air_c": Decimal("20.0"), "surface_c": Decimal("20.0")}
    accept_base(lay_day_id=day.pk, by=None, at=AT, **level)
    add_bay(lay_day_id=day.pk, name="A", by=None, at=AT)
    # At 20 °C as printed: 26 min to place and, for want of a rain-safe time, 10 h of cure.
    assert titles(site) == ["A mix started now is safe from 19:26"]


def test_outside_the_limits_no_time_is_given() -> None:
    site = make_site_with(1)
    day = open_day(site, accept=False)
    hot = GOOD | {"surface_c": Decimal("46.0")}
    accept_base(lay_day_id=day.pk, seen=True, by=None, at=AT, **hot)
    site.bays = [add_bay(lay_day_id=day.pk, name="A", by=None, at=AT)]
    tap(site)
    assert page_of(site).clock is None
    assert titles(site) == ["No working time at this temperature"]


def test_a_kit_without_printed_times_has_none() -> None:
    site = make_site_with(1)
    Item.objects.filter(pk=site.blend.kit_id).update(working_min_20c=None)
    open_day(site)
    tap(site)
    assert page_of(site).clock is None
    assert titles(site) == ["No working time is known for this kit"]


def test_a_kit_reaches_the_engine_as_its_label_prints_it() -> None:
    kit = engine_kit(make_kit(rain_safe_min_20c=240, time_table=[[10, 50, 1200], [20, 26, 600]]))
    assert kit is not None
    assert (kit.part_a_kg, kit.part_b_kg, kit.working_20_s, kit.cure_20_s) == (
        4.8,
        2.2,
        1560,
        36_000,
    )
    assert kit.rain_safe_20_s == 14_400
    assert kit.table == ((10.0, 3000.0, 72_000.0), (20.0, 1560.0, 36_000.0))
    assert engine_kit(make_kit(cure_min_20c=None)) is None


def test_a_kit_that_stands_in_is_said_since_the_clock_does_not_know_its_times() -> None:
    site = make_site_with(2)
    open_day(site)
    assert not [title for title in titles(site) if "in place of" in title]
    other = make_kit(name="Kit of another maker")
    lot = Lot.objects.get(pk=site.lots["kit"].pk)
    Lot.objects.filter(pk=lot.pk).update(item=other)
    assert f"Kit of another maker is here in place of {lot.item.name}" in titles(site)
