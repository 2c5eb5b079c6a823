"""What jobs still need, on which day, and what lies in the yard for it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import Q

from jobs.calendar.queries import phase_days
from jobs.work.models import Job
from stock.allocation.models import Requirement, Reservation
from stock.allocation.rules import DAYS_UNTIL_BOOKED, LotView, Need, Plan, allocate
from stock.catalogue.models import Item
from stock.ledger.enums import PostingKind
from stock.ledger.models import Balance, Lot, Movement
from stock.ledger.rules import YARD


@dataclass(frozen=True)
class OpenNeed:
    """What one job still needs of one item for one colour group and phase.

    `short` is quantity less issued less reserved, in base units. `first_day` and `last_day` are
    the booked days of the phase, None while it is not booked.
    """

    requirement: Requirement
    job: Job
    item: Item
    colour_group: str
    phase: str
    quantity: int
    issued: int
    reserved: int
    short: int
    first_day: date | None
    last_day: date | None


def open_needs(job_ids: Collection[int] | None = None) -> list[OpenNeed]:
    """Return what jobs still lack: not issued and not reserved; of all won jobs, or of these.

    Two queries for any number of jobs.
    """
    rows = Requirement.objects.still_wanted().for_needs().filter(Q(short__gt=0))
    if job_ids is not None:
        rows = rows.filter(job_id__in=job_ids)
    return as_needs(rows.order_by("job_id", "phase", "item_id", "colour_group"))


def job_needs(job_id: int) -> list[OpenNeed]:
    """Return all that a job needs, met or not; two queries."""
    rows = Requirement.objects.for_needs().filter(job_id=job_id)
    return as_needs(rows.order_by("colour_group", "item__kind", "item__name", "phase"))


def as_needs(rows: Iterable[Requirement]) -> list[OpenNeed]:
    """Return requirements with the booked days of their phases."""
    found = list(rows)
    days = phase_days({row.job_id for row in found}) if found else {}
    needs = []
    for row in found:
        annotated: Any = row
        first, last = days.get(row.job_id, {}).get(row.phase, (None, None))
        needs.append(
            OpenNeed(
                row, row.job, row.item, row.colour_group, row.phase, row.quantity, row.issued,
                annotated.reserved, max(annotated.short, 0), first, last,
            )
        )  # fmt: skip
    return needs


def lay_day_of(job_id: int) -> date | None:
    """Return the last day on which the job is booked to be laid; None while it is not booked."""
    days = phase_days([job_id]).get(job_id, {}).get("lay")
    return days[1] if days else None


def use_day(need: OpenNeed, today: date) -> date:
    """Return the day by which the material must be good: the phase's last, or a guess ahead."""
    return need.last_day or today + timedelta(days=DAYS_UNTIL_BOOKED)


def lot_views(item_ids: Collection[int], lots: Mapping[int, Lot] | None = None) -> list[LotView]:
    """Return the lots of some items as the rules see them, each with its nearest place.

    `lots` are locked rows to take the figures from; otherwise they are read.
    """
    if lots is None:
        lots = {lot.pk: lot for lot in Lot.objects.filter(item_id__in=item_ids, on_hand__gt=0)}
    nearest: dict[int, tuple[int, str]] = {}
    for row in (
        Balance.objects.filter(lot_id__in=lots, quantity__gt=0, place__kind__in=YARD)
        .select_related("place")
        .order_by("-place__near", "-place__name")
    ):
        nearest[row.lot_id] = (row.place.near, row.place.name)
    return [
        LotView(
            lot_id=lot.pk, code=lot.code, item_id=lot.item_id, free=lot.free, reserved=lot.reserved,
            expiry=lot.expiry, run=lot.run, held=lot.held_reason,
            near=nearest.get(lot.pk, (999, ""))[0], place=nearest.get(lot.pk, (999, ""))[1],
            received_on=lot.received_on,
        )
        for lot in lots.values()
    ]  # fmt: skip


def rule_need(need: OpenNeed, today: date, runs: Mapping[tuple[int, str], str]) -> Need:
    """Return a need as the rules see it; `runs` says which run a colour group has already."""
    item = need.item
    return Need(
        need_id=need.requirement.pk, item_id=item.pk, name=item.name, quantity=need.short,
        day=use_day(need, today), job_id=need.job.pk, colour_group=need.colour_group,
        margin_days=item.expiry_margin_days, run_matched=item.run_matched,
        run=runs.get((item.pk, need.colour_group), ""), pack_quantity=item.pack_quantity,
        pack_name=item.pack_name,
    )  # fmt: skip


def runs_in_hand(job_id: int) -> dict[tuple[int, str], str]:
    """Return {(item, colour group): run} of run-matched stone that is reserved for a job.

    Where nothing is reserved but some was issued and the job has one colour group for the item,
    the run that went to site counts.
    """
    found = {
        (row.lot.item_id, row.requirement.colour_group): row.lot.run
        for row in Reservation.objects.filter(
            requirement__job_id=job_id, lot__item__run_matched=True
        ).select_related("lot", "requirement")
    }
    issued = Requirement.objects.filter(job_id=job_id, item__run_matched=True, issued__gt=0)
    by_item: dict[int, list[str]] = {}
    for row in issued:
        by_item.setdefault(row.item_id, []).append(row.colour_group)
    sent = issued_runs(job_id) if by_item else {}
    for item_id, groups in by_item.items():
        if len(groups) == 1 and len(sent.get(item_id, ())) == 1:
            found.setdefault((item_id, groups[0]), sent[item_id][0])
    return found


def issued_runs(job_id: int) -> dict[int, list[str]]:
    """Return the runs of run-matched stone that went to a job's site, by item."""
    rows = (
        Movement.objects.filter(
            Q(posting__kind=PostingKind.ISSUE), posting__job_id=job_id, lot__item__run_matched=True
        )
        .order_by("lot__item_id", "lot__run")
        .values_list("lot__item_id", "lot__run")
        .distinct()
    )
    runs: dict[int, list[str]] = {}
    for item_id, run in rows:
        runs.setdefault(item_id, []).append(run)
    return runs


def reservations_of(job_id: int) -> list[Reservation]:
    """Return a job's reservations with lot and item, by item and use-by."""
    rows = Reservation.objects.of_job(job_id).order_by("lot__item__name", "lot__expiry", "lot_id")
    return list(rows)


def preview(job_id: int, today: date) -> Plan:
    """Return what reserving would do for a job now, without writing: which lots, and why not."""
    needs = open_needs([job_id])
    items = {need.item.pk for need in needs}
    runs = runs_in_hand(job_id)
    return allocate([rule_need(need, today, runs) for need in needs], lot_views(items))


@dataclass(frozen=True)
class Dying:
    """Kits of a lot that will be past their date before anything uses them."""

    lot: Lot
    quantity: int
    days: int


def dying(today: date, within: int = 45) -> list[Dying]:
    """Return what expires within so many days and no job holds, the soonest first; one query."""
    rows = (
        Lot.objects.with_free()
        .select_related("item")
        .filter(Q(free_now__gt=0), expiry__lte=today + timedelta(days=within))
        .order_by("expiry", "pk")
    )
    return [Dying(lot, lot.free, (lot.expiry - today).days) for lot in rows if lot.expiry]
