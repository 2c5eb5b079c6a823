"""What a job's surface is made of, bay by bay: lots, batches, storage, the day's figures."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from jobs.work.models import Job
from stock.catalogue.enums import PlaceKind
from stock.conditions.models import ExcursionLot
from stock.laying.enums import MixState
from stock.laying.models import LayBay, LayDay
from stock.laying.queries import LaidLot, lots_of_job
from stock.ledger.models import Lot, Movement
from stock.tracing.queries.lots import came_from
from stock.tracing.queries.recall import words
from stock.tracing.queries.storage import LayIn, excursions_by_lot, storage_of
from stock.tracing.rules import number_words


@dataclass(frozen=True)
class InBay:
    """So much of one lot in a bay, by which mixes."""

    lot: Lot
    quantity: int
    mixes: str

    @property
    def words(self) -> str:
        """How much, in packs."""
        return words(self.lot.item, self.quantity)


@dataclass(frozen=True)
class BayTrace:
    """One bay and what it is made of."""

    bay: LayBay
    parts: list[InBay]


@dataclass(frozen=True)
class DayTrace:
    """One lay day with its figures and its bays."""

    day: LayDay
    bays: list[BayTrace] = field(default_factory=list)


@dataclass(frozen=True)
class LotTrace:
    """One lot of a surface: how much, how it came, where it lay and what went beyond its limits."""

    laid: LaidLot
    line: Any
    stays: list[LayIn]
    excursions: list[ExcursionLot]

    @property
    def lot(self) -> Lot:
        """The lot."""
        return self.laid.lot

    @property
    def words(self) -> str:
        """How much of it is in the surface."""
        return words(self.lot.item, self.laid.quantity)


@dataclass(frozen=True)
class JobTrace:
    """All that a job's surface is made of."""

    job: Job
    days: list[DayTrace]
    lots: list[LotTrace]
    unlogged: list[InBay]


def job_trace(job: Job, *, now: datetime) -> JobTrace:
    """Return what a job's surface is made of; a fixed number of queries."""
    laid = lots_of_job(job.pk)
    lots = [row.lot for row in laid]
    lines, stays, beyond = came_from(lots), storage_of(lots, now=now), excursions_by_lot(lots)
    in_bays = parts_of_bays(job.pk, lots)
    days = {
        day.pk: DayTrace(day)
        for day in LayDay.objects.filter(job=job).select_related("lead").order_by("day")
    }
    for bay in LayBay.objects.filter(lay_day__in=days).select_related("blend").order_by("pk"):
        days[bay.lay_day_id].bays.append(BayTrace(bay, in_bays.get(bay.pk, [])))
    logged: dict[int, int] = defaultdict(int)
    for parts in in_bays.values():
        for part in parts:
            logged[part.lot.pk] += part.quantity
    return JobTrace(
        job=job,
        days=list(days.values()),
        lots=[
            LotTrace(row, lines.get(row.lot.pk), stays.get(row.lot.pk, []), beyond[row.lot.pk])
            for row in laid
        ],
        unlogged=[
            InBay(row.lot, row.quantity - logged[row.lot.pk], "")
            for row in laid
            if row.quantity > logged[row.lot.pk]
        ],
    )


def parts_of_bays(job_id: int, lots: Sequence[Lot]) -> dict[int, list[InBay]]:
    """Return {bay id: what it is made of, by lot}: one query."""
    by_pk = {lot.pk: lot for lot in lots}
    rows = Movement.objects.filter(
        to_place__kind=PlaceKind.LAID, posting__mix__state=MixState.LAID, posting__job_id=job_id
    ).order_by("posting__mix__number")
    laid: dict[tuple[int, int], int] = defaultdict(int)
    numbers: dict[tuple[int, int], list[int]] = defaultdict(list)
    for bay_id, lot_id, number, quantity in rows.values_list(
        "posting__mix__bay_id", "lot_id", "posting__mix__number", "quantity"
    ):
        laid[bay_id, lot_id] += quantity
        numbers[bay_id, lot_id].append(number)
    found: dict[int, list[InBay]] = defaultdict(list)
    for (bay_id, lot_id), quantity in laid.items():
        mixes = number_words(numbers[bay_id, lot_id])
        found[bay_id].append(InBay(by_pk[lot_id], quantity, mixes))
    place = {lot.pk: number for number, lot in enumerate(lots)}
    for parts in found.values():
        parts.sort(key=lambda part: place[part.lot.pk])
    return found
