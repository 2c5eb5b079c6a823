"""All jobs of the horizon with what of their material may move, and the proposal that is shown."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from django.db.models import Q

from jobs.calendar.queries import firm_calendar
from jobs.calendar.rules import WorkingCalendar
from jobs.kernel.compiled import CompiledQuery
from stock.allocation.enums import ProposalMethod, ProposalState
from stock.allocation.models import Proposal, Requirement, Reservation
from stock.allocation.queries.needs import OpenNeed, as_needs, use_day
from stock.allocation.queries.views import (
    items_with_substitutes,
    lot_views,
    rule_need,
    runs_in_hand,
    substitutes_of,
    with_pours,
)
from stock.allocation.rules import STUCK_AFTER, LotView
from stock.allocation.rules.joint import Present, Problem

NEAR_DAYS = 3  # working days before its laying from which a reservation does not move by itself


@dataclass(frozen=True)
class Horizon:
    """The joint problem with the rows it came from."""

    problem: Problem
    needs: Mapping[int, OpenNeed]
    fixed: int

    @property
    def jobs(self) -> int:
        """How many jobs are looked at together."""
        return len({need.job.pk for need in self.needs.values()})


def is_fixed(row: Reservation, need: OpenNeed, near: date) -> bool:
    """Return whether a reservation stays: picked, labelled, pinned, or its laying is near."""
    marked = row.picked_at is not None or row.labelled_at is not None or row.pinned
    return marked or (need.first_day is not None and need.first_day <= near)


def near_day(on: date, calendar: WorkingCalendar | None = None) -> date:
    """Return the last day that counts as near on `on`."""
    return (calendar or firm_calendar()).after(on, NEAR_DAYS)


def reservations_by_need(need_ids: Collection[int]) -> dict[int, list[Reservation]]:
    """Return the reservations of some requirements; one query."""
    found: dict[int, list[Reservation]] = defaultdict(list)
    for row in OF_NEEDS.rows(sorted(need_ids)):
        found[row.requirement_id].append(row)
    return found


OF_NEEDS = CompiledQuery(
    lambda needs: Reservation.objects.filter(requirement_id__in=needs).order_by("pk")
)


def horizon(on: date, days: int) -> Horizon:
    """Return the joint problem of all jobs whose material is used within so many days of `on`.

    A fixed number of queries. What jobs beyond the horizon have reserved stays.
    """
    until = on + timedelta(days=days)
    rows = Requirement.objects.still_wanted().for_needs().order_by("pk")
    needs = {n.requirement.pk: n for n in as_needs(rows) if use_day(n, on) < until}
    near = near_day(on)
    kept = reservations_by_need(needs.keys())
    movable = [
        row for pk, found in kept.items() for row in found if not is_fixed(row, needs[pk], near)
    ]
    moves = {row.pk for row in movable}
    runs = runs_in_hand({need.job.pk for need in needs.values()}, leave_out=moves)
    items = {need.item.pk for need in needs.values()}
    substitutes = substitutes_of(items)
    back: dict[int, int] = defaultdict(int)
    held: dict[int, int] = defaultdict(int)
    for row in movable:
        back[row.lot_id] += row.quantity
        held[row.requirement_id] += row.quantity
    wanted = with_pours(
        replace(found, quantity=found.quantity + held[pk])
        for pk, need in needs.items()
        if (found := rule_need(need, on, runs, substitutes)).quantity + held[pk] > 0
    )
    lots = [
        replace(lot, free=lot.free + back[lot.lot_id], reserved=lot.reserved - back[lot.lot_id])
        for lot in lot_views(items_with_substitutes(items, substitutes))
    ]
    present = tuple(Present(row.requirement_id, row.lot_id, row.quantity) for row in movable)
    known = {lot.lot_id for lot in lots}
    present = tuple(row for row in present if row.lot_id in known)
    fixed = sum(len(found) for found in kept.values()) - len(movable)
    return Horizon(Problem(tuple(wanted), tuple(lots), present, until), needs, fixed)


def free_now(horizon: Horizon) -> dict[int, int]:
    """Return what nobody holds of each lot at present."""
    free = {lot.lot_id: lot.free for lot in horizon.problem.lots}
    for row in horizon.problem.present:
        free[row.lot_id] -= row.quantity
    return free


def lots_of(horizon: Horizon) -> dict[int, LotView]:
    """Return the lots by their number."""
    return {lot.lot_id: lot for lot in horizon.problem.lots}


def shown_proposal() -> Proposal | None:
    """Return the proposal to show: of the latest asking the exact one when it is ready."""
    ready = Proposal.objects.filter(state=ProposalState.READY).select_related("asked_by")
    return ready.order_by("-asked_at", "method").first()


def exact_of(shown: Proposal) -> Proposal | None:
    """Return the exact proposal that was asked for with this one, whatever its state."""
    rows = Proposal.objects.filter(asked_at=shown.asked_at, method=ProposalMethod.EXACT)
    return rows.order_by("-pk").first()


def due_proposals(at: datetime) -> list[int]:
    """Return proposals that no worker has, or that a stopped worker left."""
    left = Q(state=ProposalState.WORKING, claimed_at__lt=at - STUCK_AFTER)
    rows = Proposal.objects.filter(Q(state=ProposalState.DUE) | left).order_by("pk")
    return list(rows.values_list("pk", flat=True))
