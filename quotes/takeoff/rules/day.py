"""A day's forecast for a kit: dry windows, last mix, timer by temperature, feet and wheels."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from quotes.engine import timing
from quotes.engine.cards import Kit
from quotes.engine.drywindow import DryWindow, ForecastHour, LayingRules, dry_windows
from quotes.engine.maturity import SurfaceHours, surface_hours
from quotes.engine.moisture import HUMIDITY_LIMIT, SURFACE_MARGIN, SurfaceGate, surface_gate
from quotes.engine.profile import Profile, profile_from_hours
from quotes.engine.temperature import raw_time, within_limits


@dataclass(frozen=True)
class HourLine:
    """One line of a forecast as it was typed; surface in °C is None where nobody knows it."""

    at: time
    air: float
    humidity: float
    rain_mm: float = 0.0
    surface: float | None = None


@dataclass(frozen=True)
class Placing:
    """What the day is asked with: s from the start of a mix to the finished surface; s without
    rain before the first line; s that the base must be dry; the kit's humidity limit in %.
    """

    seconds: float
    dry_before: float
    base_dry: float
    humidity_limit: float = HUMIDITY_LIMIT


@dataclass(frozen=True)
class TimerRow:
    """One line of the forecast: margin over the dew point (°C), working time (min) or None."""

    hour: ForecastHour
    gate: SurfaceGate
    working_minutes: float | None

    @property
    def verdict(self) -> str:
        """Whether a mix may be laid at that moment, or what forbids it."""
        against = [
            word
            for holds, word in (
                (self.hour.rain > 0, "rain"),
                (not self.gate.warm_enough, "dew"),
                (not self.gate.air_dry_enough, "humidity"),
                (self.working_minutes is None, "the kit's limits"),
            )
            if holds
        ]
        return f"no: {', '.join(against)}" if against else "yes, if the base is dry"


@dataclass(frozen=True)
class Laid:
    """The first or the last mix of a window: when placed, when it may be used."""

    word: str
    started: datetime
    placed: datetime
    hours: SurfaceHours
    profile_start: datetime

    def moment(self, stage: str) -> datetime | None:
        """When rain_safe, foot or vehicles is reached; None where the forecast does not tell."""
        seconds = getattr(self.hours, stage).seconds
        return None if seconds is None else later(self.profile_start, seconds)


@dataclass(frozen=True)
class KitDay:
    """One kit on the day."""

    name: str
    windows: tuple[DryWindow, ...]
    laid: tuple[Laid, ...]
    timer: tuple[TimerRow, ...]
    low: float
    high: float


def surface_of(hour: ForecastHour) -> float:
    """Return the surface's temperature (°C), the air's where nobody knows it."""
    return hour.air_degc if hour.surface_degc is None else hour.surface_degc


def later(at: datetime, seconds: float) -> datetime:
    """Return a moment so many real seconds later, in the same zone, to the second."""
    moment = at.astimezone(UTC) + timedelta(seconds=round(seconds))
    return moment.astimezone(at.tzinfo)


def forecast_of(day: date, lines: Sequence[HourLine], zone: ZoneInfo) -> list[ForecastHour]:
    """Return the lines as hours: a time not after the one before is the next day's."""
    hours: list[ForecastHour] = []
    for line in lines:
        before = hours[-1].at.timestamp() if hours else float("-inf")
        at = datetime.combine(day, line.at, tzinfo=zone)
        if at.timestamp() <= before:
            at = at.replace(fold=1)  # the hour that comes twice
        if at.timestamp() <= before:
            day += timedelta(days=1)
            at = datetime.combine(day, line.at, tzinfo=zone)
        hours.append(ForecastHour(at, line.air, line.humidity, line.rain_mm / 1000, line.surface))
    return hours


def day_of(name: str, kit: Kit, forecast: Sequence[ForecastHour], placing: Placing) -> KitDay:
    """Return the day for one kit. Raises ModelError for a forecast that will not do."""
    laws = timing.laws(kit)
    rules = LayingRules(base_dry=placing.base_dry, humidity_limit=placing.humidity_limit)
    windows = dry_windows(
        forecast, laws.rain_safe, placing=placing.seconds, dry_before=placing.dry_before,
        rules=rules,
    )  # fmt: skip
    times = [hour.at for hour in forecast]
    air = profile_from_hours(times, [hour.air_degc for hour in forecast])
    # Where nobody knows the surface it is taken to be as warm as the air.
    surface = profile_from_hours(times, [surface_of(hour) for hour in forecast])
    laid = [
        laid_at(laws, air, surface, word, moment, placing.seconds)
        for window in windows
        for word, moment in (("first mix", window.first_mix), ("last mix", window.last_mix))
    ]
    return KitDay(
        name, windows, tuple(laid), tuple(timer_row(laws, hour, rules) for hour in forecast),
        laws.working.low, laws.working.high,
    )  # fmt: skip


def laid_at(
    laws: timing.Laws,
    air: Profile,
    surface: Profile,
    word: str,
    started: datetime,
    placing: float,
) -> Laid:
    """Return when a mix started at a moment is placed and may be used."""
    assert air.start is not None  # noqa: S101 - made from hours
    seconds = started.timestamp() - air.start.timestamp() + placing
    hours = surface_hours((laws.rain_safe, laws.foot, laws.vehicle), air, surface, seconds)
    return Laid(word, started, later(started, placing), hours, air.start)


def timer_row(laws: timing.Laws, hour: ForecastHour, rules: LayingRules) -> TimerRow:
    """Return the gate and the working time of one line; the hotter of air and surface counts."""
    surface = surface_of(hour)
    gate = surface_gate(
        hour.air_degc, hour.humidity, min(surface, hour.air_degc), rules.base_dry,
        margin_degc=SURFACE_MARGIN, humidity_limit=rules.humidity_limit,
        base_dry_needed_s=rules.base_dry,
    )  # fmt: skip
    warm, cool = max(surface, hour.air_degc), min(surface, hour.air_degc)
    fits = within_limits(laws.working, warm) and within_limits(laws.working, cool)
    return TimerRow(hour, gate, raw_time(laws.working, warm) / 60 if fits else None)


def wet_spans(forecast: Sequence[ForecastHour]) -> list[tuple[datetime, datetime, float]]:
    """Return the spans with rain and their mm, neighbours joined."""
    spans: list[tuple[datetime, datetime, float]] = []
    for hour, following in pairwise(forecast):
        if hour.rain <= 0:
            continue
        if spans and spans[-1][1] == hour.at:
            begun, _, mm = spans.pop()
            spans.append((begun, following.at, mm + 1000 * hour.rain))
        else:
            spans.append((hour.at, following.at, 1000 * hour.rain))
    return spans
