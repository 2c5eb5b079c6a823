"""Needs and lots as the rules see them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import F, Q, QuerySet

from jobs.kernel.compiled import CompiledQuery
from jobs.surveys.queries import measured_surveys, sheet_of
from stock.allocation.models import Requirement, Reservation, StoodIn
from stock.allocation.queries.needs import OpenNeed, use_day
from stock.allocation.rules import LotView, Need, Plan, RunKey, allocate
from stock.catalogue.models import Substitute
from stock.ledger.enums import PostingKind
from stock.ledger.models import Balance, Lot, Movement
from stock.ledger.rules import YARD

Surface = tuple[int, int, str]  # job, item, colour group
PENCE = 100


@dataclass(frozen=True)
class InHand:
    """The run of which a colour group has some already, reserved or issued, and how much."""

    item_id: int
    run: str
    quantity: int


def lot_views(item_ids: Collection[int], lots: Mapping[int, Lot] | None = None) -> list[LotView]:
    """Return the lots of some items as the rules see them, each with its nearest place.

    `lots` are locked rows to take the figures from; otherwise they are read.
    """
    if lots is None:
        rows = Lot.objects.filter(item_id__in=item_ids, on_hand__gt=0).select_related("item")
        lots = {lot.pk: lot for lot in rows}
    nearest: dict[int, tuple[int, str]] = {}
    for lot_id, near, name in PLACES_OF_LOTS.rows(list(lots)):
        nearest[lot_id] = (near, name)
    return [
        LotView(
            lot_id=lot.pk, code=lot.code, item_id=lot.item_id, free=lot.free, reserved=lot.reserved,
            expiry=lot.expiry, run=lot.run, held=lot.held_reason,
            near=nearest.get(lot.pk, (999, ""))[0], place=nearest.get(lot.pk, (999, ""))[1],
            received_on=lot.received_on, item_name=lot.item.name, value=value_of(lot),
        )
        for lot in lots.values()
    ]  # fmt: skip


def places_of_lots(lot_ids: Sequence[int]) -> QuerySet[Any, Any]:
    """Return where lots lie in the yard: lot, how near, and name, the nearest last."""
    rows = Balance.objects.filter(lot_id__in=lot_ids, quantity__gt=0, place__kind__in=YARD)
    rows = rows.order_by("-place__near", "-place__name")
    return rows.values_list("lot_id", "place__near", "place__name")


PLACES_OF_LOTS = CompiledQuery(places_of_lots)


def value_of(lot: Lot) -> int:
    """Return what a base unit of a lot cost, in thousandths of a penny."""
    worth: int = round(Decimal(lot.cost) * PENCE * 1000 / lot.received)
    return worth


def rule_need(
    need: OpenNeed,
    today: date,
    runs: Mapping[Surface, InHand],
    substitutes: Mapping[int, tuple[int, ...]],
) -> Need:
    """Return a need as the rules see it; `runs` says which run a colour group has already."""
    item = need.item
    there = runs.get((need.job.pk, item.pk, need.colour_group))
    return Need(
        need_id=need.requirement.pk, item_id=item.pk, name=item.name, quantity=need.short,
        day=use_day(need, today), job_id=need.job.pk, colour_group=need.colour_group,
        margin_days=item.expiry_margin_days, run_matched=item.run_matched,
        run=there.run if there else "", run_item=there.item_id if there else 0,
        in_hand=there.quantity if there else 0, pack_quantity=item.pack_quantity,
        pack_name=item.pack_name, pack_mass_g=item.pack_mass_g,
        substitutes=substitutes.get(item.pk, ()), booked=need.last_day is not None,
        job_name=need.job.reference,
    )  # fmt: skip


def substitutes_of(item_ids: Collection[int]) -> dict[int, tuple[int, ...]]:
    """Return the items that may stand in for each of these, the first first; one query.

    Only what is counted in the same unit: a substitute stands in mass for mass, kit for kit.
    """
    found: dict[int, tuple[int, ...]] = {}
    for item_id, stand_in in STAND_INS.rows(sorted(item_ids)):
        found[item_id] = (*found.get(item_id, ()), stand_in)
    return found


STAND_INS = CompiledQuery(
    lambda items: Substitute.objects.filter(
        item_id__in=items, stand_in__archived_at=None, stand_in__base_unit=F("item__base_unit")
    ).values_list("item_id", "stand_in_id")
)


def items_with_substitutes(
    item_ids: Collection[int], substitutes: Mapping[int, tuple[int, ...]]
) -> set[int]:
    """Return the items and all that may stand in for them."""
    return set(item_ids).union(*substitutes.values())


def runs_in_hand(job_ids: Collection[int], leave_out: Iterable[int] = ()) -> dict[Surface, InHand]:
    """Return the run of run-matched stone that colour groups of some jobs have already.

    By reservations, but for those of `leave_out`. Where nothing is reserved but some was issued,
    and the job has one colour group for the item, the run that went to site counts.
    """
    found: dict[Surface, InHand] = {}
    rows = (
        Reservation.objects.filter(
            requirement__job_id__in=job_ids, requirement__item__run_matched=True
        )
        .exclude(pk__in=list(leave_out))
        .select_related("lot", "requirement")
        .order_by("pk")
    )
    for row in rows:
        need, lot = row.requirement, row.lot
        surface = (need.job_id, need.item_id, need.colour_group)
        there = found.get(surface, InHand(lot.item_id, lot.run, 0))
        found[surface] = InHand(lot.item_id, lot.run, there.quantity + row.quantity)
    add_issued(found, job_ids)
    return found


def add_issued(found: dict[Surface, InHand], job_ids: Collection[int]) -> None:
    """Add what was issued of run-matched stone to what colour groups have in hand."""
    issued = list(
        Requirement.objects.filter(job_id__in=job_ids, item__run_matched=True, issued__gt=0)
    )
    if not issued:
        return
    groups: dict[tuple[int, int], list[Requirement]] = defaultdict(list)
    for row in issued:
        groups[row.job_id, row.item_id].append(row)
    sent = issued_runs({row.job_id for row in issued})
    stood_in = stand_ins_issued(row.pk for row in issued)
    for (job_id, item_id), needs in groups.items():
        surfaces = {(row.job_id, row.item_id, row.colour_group) for row in needs}
        fits = {item_id}.union(*(stood_in.get(row.pk, ()) for row in needs))
        runs = [run for run in sent.get(job_id, ()) if run[0] in fits]
        for surface in surfaces:
            quantity = sum(row.issued for row in needs if row.colour_group == surface[2])
            if surface in found:
                there = found[surface]
                found[surface] = InHand(there.item_id, there.run, there.quantity + quantity)
            elif len(surfaces) == 1 and len(runs) == 1:
                found[surface] = InHand(*runs[0], quantity)


def stand_ins_issued(requirement_ids: Iterable[int]) -> dict[int, set[int]]:
    """Return the items that were issued in place of what requirements ask for; one query.

    By what was recorded then, whatever the catalogue allows today.
    """
    found: dict[int, set[int]] = defaultdict(set)
    rows = StoodIn.objects.filter(requirement_id__in=list(requirement_ids), quantity__gt=0)
    for requirement_id, item_id in rows.values_list("requirement_id", "lot__item_id"):
        found[requirement_id].add(item_id)
    return found


def issued_runs(job_ids: Collection[int]) -> dict[int, list[RunKey]]:
    """Return the runs of run-matched stone that went to jobs' sites."""
    rows = (
        Movement.objects.filter(
            Q(posting__kind=PostingKind.ISSUE), posting__job_id__in=job_ids,
            lot__item__run_matched=True,
        )
        .order_by("posting__job_id", "lot__item_id", "lot__run")
        .values_list("posting__job_id", "lot__item_id", "lot__run")
        .distinct()
    )  # fmt: skip
    runs: dict[int, list[RunKey]] = defaultdict(list)
    for job_id, item_id, run in rows:
        runs[job_id].append((item_id, run))
    return runs


def pours_of(job_ids: Collection[int]) -> dict[tuple[int, str], tuple[tuple[str, int], ...]]:
    """Return the pours of each colour group with the share of the volume each takes, in litres.

    By job and name of the colour group; at most three queries for any number of jobs.
    """
    shares: dict[tuple[int, str], dict[str, float]] = defaultdict(dict)
    for job_id, survey in measured_surveys(job_ids).items() if job_ids else ():
        for area in survey.areas.all():
            litres = (sheet_of(area).size.area_m2 or 0.0) * float(area.depth_mm)
            group = shares[job_id, area.group_name]
            group[area.pour_name] = group.get(area.pour_name, 0.0) + litres
    return {
        surface: tuple((name, round(litres)) for name, litres in pours.items() if litres >= 1)
        for surface, pours in shares.items()
    }


def job_plan(
    needs: Sequence[OpenNeed],
    today: date,
    lots: Mapping[int, Lot] | None = None,
    substitutes: Mapping[int, tuple[int, ...]] | None = None,
) -> Plan:
    """Return what reserving does for the open needs of a job: which lots, why, and why not.

    `lots` are the locked rows of its items; otherwise they are read, and nothing is written. The
    pours are looked up only where stone has no run, since only an offer names them.
    """
    items = {need.item.pk for need in needs}
    if substitutes is None:
        substitutes = substitutes_of(items)
    stone = [need for need in needs if need.item.run_matched]
    runs = runs_in_hand([stone[0].job.pk]) if stone else {}
    views = lot_views(items_with_substitutes(items, substitutes), lots)
    plain = [rule_need(need, today, runs, substitutes) for need in needs]
    plan = allocate(plain, views)
    matched = {need.requirement.pk for need in stone}
    if not any(row.need_id in matched for row in plan.unmet):
        return plan
    return allocate(with_pours(plain), views)


def with_pours(needs: Iterable[Need]) -> list[Need]:
    """Return needs with the pours of run-matched stone, at whose edge its run may change."""
    found = list(needs)
    pours = pours_of({need.job_id for need in found if need.run_matched})
    return [
        replace(need, parts=pours.get((need.job_id, need.colour_group), ()))
        if need.run_matched
        else need
        for need in found
    ]
