"""A day's forecast for a kit: rolling over midnight and the clock change, windows, mixes, rain."""

from __future__ import annotations

from datetime import date, time
from itertools import pairwise
from typing import Any

import pytest

from jobs.kernel.clock import LONDON
from quotes.engine.cards import Kit
from quotes.engine.errors import ModelError
from quotes.takeoff.rules.day import HourLine, Placing, day_of, forecast_of, wet_spans

# Flat at 20 °C: the printed times hold as they are.
KIT = Kit(4.8, 2.2, 26 * 60, 10 * 3600, True, rain_safe_20_s=3 * 3600, foot_20_s=12 * 3600)
PLACING = Placing(900, 48 * 3600, 24 * 3600)
DAY = date(2026, 5, 19)


def lines(*rows: tuple[str, float, float]) -> list[HourLine]:
    """(time, humidity, mm of rain) at 20 °C, air and surface."""
    return [HourLine(time.fromisoformat(at), 20, damp, rain) for at, damp, rain in rows]


def hours(*rows: tuple[str, float, float], day: date = DAY) -> list[Any]:
    return forecast_of(day, lines(*rows), LONDON)


def test_last_mix_leaves_its_rain_safe_time_before_the_rain() -> None:
    forecast = hours(("06:00", 50, 0), ("18:00", 50, 2), ("21:00", 50, 0), ("12:00", 50, 0))

    found = day_of("kit", KIT, forecast, PLACING)

    # rain at 18:00, 3 h to be rain-safe, 15 min to place: 14:45
    window = found.windows[0]
    assert f"{window.first_mix:%H:%M} {window.last_mix:%H:%M}" == "06:00 14:45"
    assert window.closes_by == "rain"
    last = found.laid[1]
    assert last.word == "last mix"
    assert f"{last.moment('rain_safe'):%H:%M}" == "18:00"
    assert f"{last.moment('foot'):%a %H:%M}" == "Wed 03:00"
    assert last.moment("vehicles") is None  # 72 h: beyond the forecast


def test_rain_before_the_first_line_keeps_the_base_wet() -> None:
    forecast = hours(("06:00", 50, 0), ("18:00", 50, 0), ("06:00", 50, 0))

    late = day_of("kit", KIT, forecast, Placing(900, 20 * 3600, 24 * 3600))

    assert f"{late.windows[0].first_mix:%H:%M}" == "10:00"  # four hours are wanting


def test_a_line_says_what_forbids_a_mix() -> None:
    forecast = hours(("06:00", 86, 0), ("09:00", 84, 0), ("12:00", 50, 1), ("15:00", 50, 0))

    verdicts = [row.verdict for row in day_of("kit", KIT, forecast, PLACING).timer]

    # 20 °C at 86 % has its dew point at 17.6 °C, at 84 % at 17.2 °C: less than 3 °C below
    assert verdicts == ["no: dew, humidity", "no: dew", "no: rain", "yes, if the base is dry"]


def test_outside_the_limits_there_is_no_working_time() -> None:
    row = HourLine(time(6), 41, 30)

    found = day_of("kit", KIT, forecast_of(DAY, [row, HourLine(time(9), 41, 30)], LONDON), PLACING)

    assert found.windows == ()
    assert [each.working_minutes for each in found.timer] == [None, None]
    assert found.timer[0].verdict == "no: the kit's limits"


def test_times_roll_over_midnight_and_over_the_hour_that_comes_twice() -> None:
    plain = hours(("22:00", 50, 0), ("02:00", 50, 0), ("01:00", 50, 0))
    autumn = hours(("00:30", 50, 0), ("01:30", 50, 0), ("01:30", 50, 0), day=date(2026, 10, 25))

    assert [f"{hour.at:%d %H}" for hour in plain] == ["19 22", "20 02", "21 01"]
    gaps = [b.at.timestamp() - a.at.timestamp() for a, b in pairwise(autumn)]
    assert gaps == [3600, 3600]


def test_neighbouring_wet_lines_are_one_rain() -> None:
    forecast = hours(("06:00", 50, 1), ("09:00", 50, 2), ("12:00", 50, 0), ("15:00", 50, 0))

    ((begun, ended, mm),) = wet_spans(forecast)

    assert (f"{begun:%H}", f"{ended:%H}") == ("06", "12")
    assert mm == pytest.approx(3)


def test_one_line_is_no_forecast() -> None:
    with pytest.raises(ModelError):
        day_of("kit", KIT, hours(("06:00", 50, 0)), PLACING)
