"""the dry window over an hourly forecast, and the last moment to start a mix.

The window does not end when laying ends: it runs to the last mix plus its rain- and dew-safe
age. Rain given for an hour is taken to fall through the whole of that hour.
"""

import math
from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import partial
from itertools import pairwise

from quotes.engine.errors import ModelError
from quotes.engine.guards import not_negative
from quotes.engine.maturity import latest_begin, ready_at
from quotes.engine.moisture import (
    BASE_DRY_HOURS,
    HUMIDITY_LIMIT,
    SLACK,
    SURFACE_MARGIN,
    WMO,
    MagnusSet,
    check_humidity,
    dew_point,
    too_damp,
)
from quotes.engine.profile import Profile, profile_from_hours, temperature_at
from quotes.engine.temperature import TimeLaw, check_temperature, within_limits
from quotes.engine.workings import Working

_STEP = 300.0  # s; crossings are looked for every five minutes, then bisected


@dataclass(frozen=True, slots=True)
class ForecastHour:
    """One hour of a forecast.

    at: its aware beginning; air and surface in °C (surface None where unknown: then air);
    humidity in per cent; rain in m through the hour that begins at `at`.
    """

    at: datetime
    air_degc: float
    humidity: float
    rain: float
    surface_degc: float | None = None


@dataclass(frozen=True, slots=True)
class LayingRules:
    """What laying asks for; margins in °C, humidity in per cent, base drying in s, rain in m."""

    margin_degc: float = SURFACE_MARGIN
    humidity_limit: float = HUMIDITY_LIMIT
    base_dry: float = BASE_DRY_HOURS * 3600
    wet_rain: float = 0.0  # more than this in an hour is rain
    constants: MagnusSet = WMO


@dataclass(frozen=True, slots=True)
class DryWindow:
    """a span in which work laid is safe.

    first_mix: the earliest start of a mix; last_mix: the latest start of one that is rain- and
    dew-safe by `closes`; safe_from: when that one is; closes_by: "rain", "dew", "temperature"
    (outside the kit's limits) or "end of forecast".
    """

    first_mix: datetime
    last_mix: datetime
    safe_from: datetime
    closes: datetime
    closes_by: str
    workings: tuple[Working, ...]


@dataclass(frozen=True, slots=True)
class _Course:
    """The forecast as seconds from its first hour."""

    hours: tuple[ForecastHour, ...]
    stamps: tuple[float, ...]
    rules: LayingRules
    surface: Profile

    @property
    def end(self) -> float:
        return self.stamps[-1]

    def state(self, second: float) -> tuple[float, float]:
        """Margin over the dew point (°C) and humidity at a time, straight between the hours."""
        index = min(
            bisect_right(self.stamps, second) - 1,
            len(self.stamps) - 2,
        )
        before, after = self.hours[index], self.hours[index + 1]
        share = (second - self.stamps[index]) / (self.stamps[index + 1] - self.stamps[index])

        def joined(start: float, stop: float) -> float:
            return start + share * (stop - start)

        humidity = joined(before.humidity, after.humidity)
        air = joined(before.air_degc, after.air_degc)
        surface = joined(_cooler(before), _cooler(after))
        return surface - dew_point(air, humidity, self.rules.constants), humidity

    def clear_of_dew(self, second: float) -> bool:
        return self.state(second)[0] >= self.rules.margin_degc - SLACK

    def may_lay(self, second: float) -> bool:
        margin, humidity = self.state(second)
        warm = margin >= self.rules.margin_degc - SLACK
        return warm and not too_damp(humidity, self.rules.humidity_limit)


def _cooler(hour: ForecastHour) -> float:
    return hour.air_degc if hour.surface_degc is None else min(hour.air_degc, hour.surface_degc)


def dry_windows(
    forecast: Sequence[ForecastHour],
    rain_safe: TimeLaw,
    *,
    placing: float,
    dry_before: float,
    rules: LayingRules | None = None,
) -> tuple[DryWindow, ...]:
    """the windows in which mixes may be started, earliest first; none at all gives ().

    rain_safe: the kit's rain-safe time, run on the cooler of air and surface; placing: s from
    the start of a mix to the finished surface, from when the age counts; dry_before: s without
    rain before the first hour, 0 where nobody knows. The margin over the dew point is kept
    until the surface is safe, the humidity limit until it is placed. The last hour only
    closes the forecast. Errors: ModelError for fewer than two hours, hours out of order or
    without a zone, and values out of range. Source: common practice; data sheet first.
    """
    asked = rules or LayingRules()
    course = _course(forecast, asked)
    lay = not_negative(placing, "placing", "s")
    found = []
    for begin, end, by in _rainless(course):
        waiting = not_negative(dry_before, "dry before", "s") if begin == 0 else 0.0
        opens = begin + max(0.0, asked.base_dry - waiting)
        for start, stop in _spans(partial(_stays_safe, course, rain_safe), opens, end):
            closed_by = by if stop == end else _closer(course, rain_safe, stop)
            found.extend(_mixes(course, rain_safe, (start, stop, closed_by), lay))
    return tuple(found)


def _stays_safe(course: _Course, law: TimeLaw, second: float) -> bool:
    return course.clear_of_dew(second) and _warm(course, law, second)


def _warm(course: _Course, law: TimeLaw, second: float) -> bool:
    return within_limits(law, temperature_at(course.surface, second))


def _closer(course: _Course, law: TimeLaw, stop: float) -> str:
    after = min(stop + 1.0, course.end)
    return "dew" if _warm(course, law, after) else "temperature"


def _mixes(
    course: _Course, law: TimeLaw, span: tuple[float, float, str], placing: float
) -> list[DryWindow]:
    start, stop, closed_by = span
    placed = latest_begin(law, course.surface, stop)
    if placed is None:
        return []
    windows = []
    for first, last in _spans(course.may_lay, start, min(stop, placed)):
        if last - placing >= first:
            windows.append(_window(course, law, (first, last - placing, stop), closed_by, placing))
    return windows


def _window(
    course: _Course,
    law: TimeLaw,
    times: tuple[float, float, float],
    closed_by: str,
    placing: float,
) -> DryWindow:
    first, last, stop = (_moment(course, second) for second in times)
    safe = _moment(course, _safe_after(course, law, times[1] + placing, times[2]))
    said = Working(
        "last mix",
        "close of the dry window, less the rain-safe time hour by hour, less placing",
        (
            ("window closes", f"{stop:%H:%M} by {closed_by}"),
            ("placing", f"{placing / 60:g} min"),
        ),
        f"{last:%H:%M}",
        "common practice; the data sheet comes first",
    )
    return DryWindow(first, last, safe, stop, closed_by, (said,))


def _safe_after(course: _Course, law: TimeLaw, placed: float, stop: float) -> float:
    ready = ready_at(law, course.surface, placed).seconds
    return stop if ready is None else min(ready, stop)


def _course(forecast: Sequence[ForecastHour], rules: LayingRules) -> _Course:
    if len(forecast) < 2:
        raise ModelError(
            "too_few", "forecast", "the forecast has fewer than two hours; accepted: two."
        )
    for hour in forecast:
        check_humidity(hour.humidity)
        not_negative(hour.rain, "rain", "m")
        check_temperature(hour.air_degc, "air")
    surface = profile_from_hours([h.at for h in forecast], [_cooler(h) for h in forecast])
    stamps = tuple(second for second, _ in surface.points)
    if any(later <= earlier for earlier, later in pairwise(stamps)):
        raise ModelError(
            "given_twice", "forecast", "an hour is given twice; accepted: each hour once."
        )
    return _Course(tuple(forecast), stamps, rules, surface)


def _moment(course: _Course, second: float) -> datetime:
    first = course.hours[0].at
    # Rounding to the second hides the last bits of the bisection from the page.
    stamp = first.timestamp() + math.floor(second + 1e-6)
    return datetime.fromtimestamp(stamp, UTC).astimezone(first.tzinfo)


def _rainless(course: _Course) -> list[tuple[float, float, str]]:
    """Spans without rain: begin, end, and what ends them."""
    spans: list[tuple[float, float, str]] = []
    begin: float | None = None
    for hour, stamp in zip(course.hours[:-1], course.stamps[:-1], strict=True):
        wet = hour.rain > course.rules.wet_rain
        if wet and begin is not None:
            spans.append((begin, stamp, "rain"))
            begin = None
        elif not wet and begin is None:
            begin = stamp
    if begin is not None:
        spans.append((begin, course.end, "end of forecast"))
    return spans


def _spans(holds: Callable[[float], bool], begin: float, end: float) -> list[tuple[float, float]]:
    """The spans of begin to end in which a condition holds, looked at every five minutes."""
    if end < begin:
        return []
    count = max(1, math.ceil((end - begin) / _STEP))
    marks = [begin + (end - begin) * i / count for i in range(count)] + [end]
    spans = []
    opened = begin if holds(begin) else None
    for before, after in pairwise(marks):
        was, now = opened is not None, holds(after)
        if was and not now and opened is not None:
            spans.append((opened, _flip(holds, before, after, keep=before)))
            opened = None
        elif now and not was:
            opened = _flip(holds, before, after, keep=after)
    return [*spans, (opened, end)] if opened is not None else spans


def _flip(holds: Callable[[float], bool], low: float, high: float, *, keep: float) -> float:
    """The moment at which the condition changes, on the side on which it holds."""
    at_low = holds(low)
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if holds(middle) == at_low else (low, middle)
    return low if keep <= low and at_low else high
