"""The page of a lay day: bays, the clock of the last mix, and what must be said now."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from decimal import Decimal

from django.db.models import Sum

from jobs.kernel.clock import LONDON
from quotes.engine import timing
from quotes.engine.timing import Timing
from stock.allocation.models import Requirement
from stock.laying.enums import MixState
from stock.laying.models import LayBay, LayDay, Mix
from stock.laying.queries.blends import blend_mass_g, engine_kit
from stock.laying.queries.remarks import (
    Remark,
    balances_at,
    book_remarks,
    lot_remarks,
    stand_in_remarks,
    time_remarks,
)
from stock.laying.queries.stock import MIXED
from stock.laying.rules import BaseVerdict, Readings, after, judge_base, kg_per_m2

# A mix whose working time ended longer ago than this has no clock any more.
CLOCK_GOES = timedelta(minutes=30)


@dataclass(frozen=True)
class BayLine:
    """A bay as the page shows it: mixes laid in it, and kg on a square metre once measured."""

    bay: LayBay
    mixes: int
    kg_m2: Decimal | None
    state: str
    level: str
    is_current: bool


@dataclass(frozen=True)
class MixClock:
    """How long the last mix can still be worked: until when, of how many minutes, by which °C."""

    until: datetime
    minutes: int
    by_c: float
    hotter: str
    left_s: int

    @property
    def words(self) -> str:
        """What is left as minutes and seconds, '11:20' or '−3:05'."""
        minutes, seconds = divmod(abs(self.left_s), 60)
        return f"{'−' if self.left_s < 0 else ''}{minutes}:{seconds:02d}"

    @property
    def gone(self) -> int:
        """Seconds of the working time that are gone, at most all of it."""
        return max(0, min(self.minutes * 60, self.minutes * 60 - self.left_s))


@dataclass(frozen=True)
class DayPage:
    """A lay day at an instant."""

    day: LayDay
    mixes: Sequence[Mix]
    bays: Sequence[BayLine]
    current: LayBay | None
    planned: int | None
    verdict: BaseVerdict | None
    clock: MixClock | None = None
    left_at_site: bool = False
    remarks: list[Remark] = field(default_factory=list)

    @property
    def last(self) -> Mix | None:
        """The last mix that stands."""
        return self.mixes[-1] if self.mixes else None

    @property
    def number(self) -> int:
        """The number of the next mix."""
        return self.mixes[-1].number + 1 if self.mixes else 1

    @property
    def others(self) -> list[LayBay]:
        """The open bays beside the current one."""
        return [line.bay for line in self.bays if not line.bay.full_at and not line.is_current]

    @property
    def unmeasured(self) -> list[LayBay]:
        """The bays that have mixes and no m²."""
        return [line.bay for line in self.bays if line.mixes and not line.bay.full_at]

    @property
    def may_close(self) -> bool:
        """Whether the evening is balanced, or nothing is left to balance."""
        return bool(self.mixes) and (self.day.balanced_at is not None or not self.left_at_site)

    @property
    def area_m2(self) -> Decimal:
        """The m² of the bays that are full."""
        return sum((line.bay.area_m2 or Decimal(0) for line in self.bays), Decimal(0))


def day_page(day: LayDay, now: datetime, bay_id: int | None = None) -> DayPage:
    """Return the page of a day, with the chosen bay as the current one: nine queries."""
    bays = list(LayBay.objects.for_page(day))
    mixes = list(Mix.objects.of_day(day))
    still = [bay for bay in bays if bay.full_at is None]
    current = next((bay for bay in still if bay.pk == bay_id), None) or (
        current_bay(still, mixes) if still and not day.closed_at else None
    )
    blends = {bay.pk: bay.blend for bay in bays}
    last_blend = blends.get(mixes[-1].bay_id) if mixes else current.blend if current else None
    times = times_of(day, last_blend)
    page = DayPage(
        day, mixes, bay_lines(bays, mixes, current), current, planned_mixes(day), verdict_of(day)
    )
    page = replace(page, clock=clock_of(page, times, now))
    if day.base_accepted_at and not day.closed_at:
        there = balances_at(day)
        page = replace(page, left_at_site=any(row.lot.item.kind in MIXED for row in there))
        page.remarks.extend(time_remarks(day, times, now, known=last_blend is not None))
        page.remarks.extend(lot_remarks(day, there))
        kits = {bay.blend.kit_id: bay.blend.kit.name for bay in bays if bay.blend is not None}
        page.remarks.extend(stand_in_remarks(there, kits))
        page.remarks.extend(book_remarks(day, len(mixes), page.planned, now))
    return page


def current_bay(still: Sequence[LayBay], mixes: Sequence[Mix]) -> LayBay:
    """Return where the last mix went while that bay is open, else the first open one."""
    by_pk = {bay.pk: bay for bay in still}
    return next((by_pk[mix.bay_id] for mix in reversed(mixes) if mix.bay_id in by_pk), still[0])


def bay_lines(
    bays: Sequence[LayBay], mixes: Sequence[Mix], current: LayBay | None
) -> list[BayLine]:
    """Return the bays with what was laid in each; a spilt mix is not in it.

    Without a current bay (the day is over) what is not full has no m², or was not laid.
    """
    laid = Counter(mix.bay_id for mix in mixes if mix.state == MixState.LAID)
    words = ("laying", "begun", "next") if current else ("", "no m²", "not laid")
    lines = []
    for bay in bays:
        here = bay == current
        state = words[0 if here else 1] if laid[bay.pk] else words[2]
        if bay.full_at:
            state = "full"
        mass = laid[bay.pk] * blend_mass_g(bay.blend) if bay.blend else 0
        lines.append(
            BayLine(
                bay, laid[bay.pk], kg_per_m2(mass, bay.area_m2), state,
                "ready" if bay.full_at else "", here,
            )
        )  # fmt: skip
    return lines


def planned_mixes(day: LayDay) -> int | None:
    """Return the mixes that are left for this day: kits required less those laid on other days."""
    kits = Requirement.objects.filter(job=day.job, phase="lay", item__kind="kit").aggregate(
        kits=Sum("quantity")
    )["kits"]
    if not kits:
        return None
    return max(int(kits) - Mix.objects.of_job_elsewhere(day.job_id, day.day).count(), 0)


def verdict_of(day: LayDay) -> BaseVerdict | None:
    """Return dew point and margin of the day's readings; None before they were taken."""
    if day.air_c is None or day.surface_c is None or day.humidity_percent is None:
        return None
    return judge_base(Readings(day.air_c, day.surface_c, day.humidity_percent), ())


def times_of(day: LayDay, blend: object) -> Timing | None:
    """Return the times of a blend's kit at the day's readings; None where they are not known."""
    kit = engine_kit(blend.kit) if blend is not None else None  # type: ignore[attr-defined]
    if kit is None or day.air_c is None or day.surface_c is None:
        return None
    return timing.times(kit, float(day.air_c), float(day.surface_c))


def clock_of(page: DayPage, times: Timing | None, now: datetime) -> MixClock | None:
    """Return the clock of the last mix; none where no time is known or it ran out long ago."""
    day, mixes = page.day, page.mixes
    if day.closed_at or not mixes or mixes[-1].state == MixState.SPILT:
        return None
    if times is None or times.working_minutes is None:
        return None
    # Whole minutes downwards: a clock that errs, errs to the safe side.
    minutes = int(times.working_minutes)
    until = after(mixes[-1].started_at, minutes * 60)
    left = int(until.timestamp() - now.timestamp())
    if left < -CLOCK_GOES.total_seconds():
        return None
    hotter = "surface" if (day.surface_c or 0) >= (day.air_c or 0) else "air"
    return MixClock(until.astimezone(LONDON), minutes, times.warm, hotter, left)
