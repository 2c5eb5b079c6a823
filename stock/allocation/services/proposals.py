"""Asking for a proposal, keeping what was reckoned, and taking it over.

A proposal is no reservation: taking it over checks everything again under the locks, and what has
changed meanwhile is refused with a sentence.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Q

from jobs.audit.services import post_event
from jobs.kernel.clock import london_day
from jobs.kernel.enqueue import enqueue
from jobs.kernel.errors import ServiceError
from stock.allocation import queries
from stock.allocation.enums import ProposalMethod, ProposalState
from stock.allocation.models import Proposal, ProposalLine, Requirement, Reservation
from stock.allocation.queries import Horizon, OpenNeed
from stock.allocation.rules import STUCK_AFTER, Change, Plan, bundles
from stock.allocation.rules.joint import given, greedy_plan, judge, lost, valid_present
from stock.allocation.services.requirements import take_off
from stock.ledger.enums import LotStatus
from stock.ledger.models import Lot
from stock.ledger.services import lock_lots

PROPOSE_TASK = "stock.allocation.propose"
DAYS = (14, 28, 42, 90)
ASK_AGAIN = "Ask for a new proposal."


def ask_proposal(*, days: int, by: Any, at: datetime) -> Proposal:
    """Reckon job by job at once, and have a worker reckon all together; return the first.

    Proposals that nobody took over anything of are replaced.
    """
    if days not in DAYS:
        words = ", ".join(str(number) for number in DAYS)
        raise ServiceError(f"Look ahead one of these: {words} days.", field="days")
    horizon = queries.horizon(london_day(at), days)
    return write_asked(horizon, greedy_plan(horizon.problem), days=days, by=by, at=at)


@transaction.atomic(durable=True)
def write_asked(horizon: Horizon, plan: Plan, *, days: int, by: Any, at: datetime) -> Proposal:
    """Write the proposal that is there at once, and the one that a worker will reckon."""
    Proposal.objects.exclude(lines__taken_at__isnull=False).delete()
    asked: dict[str, Any] = {"on": london_day(at), "days": days, "asked_at": at, "asked_by": by}
    first = Proposal(
        method=ProposalMethod.GREEDY, state=ProposalState.READY, finished_at=at, **asked
    )  # fmt: skip
    first.save()
    write_plan(first, horizon, plan)
    if horizon.problem.needs:
        exact = Proposal.objects.create(method=ProposalMethod.EXACT, **asked)
        enqueue(PROPOSE_TASK, exact.pk)
    post_event(verb="stock.propose", subject=first, by=by, at=at, after={"days": days})
    return first


def write_plan(proposal: Proposal, horizon: Horizon, plan: Plan) -> None:
    """Write a plan's lines, figures and shortages on a proposal."""
    problem, sums = horizon.problem, given(plan)
    now = {(row.need_id, row.lot_id): row.quantity for row in problem.present}
    whys = {(pick.need_id, pick.lot_id): pick for pick in reversed(plan.picks)}
    wanted = {need.need_id: need.quantity for need in problem.needs}
    job_of = {need.need_id: need.job_id for need in problem.needs}
    spots = sorted(now.keys() | sums.keys(), key=lambda spot: (job_of[spot[0]], spot))
    numbers = bundles(
        (Change(job_of[n], lot, now.get((n, lot), 0), sums.get((n, lot), 0)) for n, lot in spots),
        queries.free_now(horizon),
    )
    ProposalLine.objects.bulk_create(
        ProposalLine(
            proposal=proposal, requirement_id=n, lot_id=lot, before=now.get((n, lot), 0),
            after=sums.get((n, lot), 0), wanted=wanted[n], bundle=numbers[job_of[n]],
            why=whys[n, lot].why[:400] if (n, lot) in whys else "another lot serves it better",
            substitute=(n, lot) in whys and whys[n, lot].substitute,
        )
        for n, lot in spots
    )  # fmt: skip
    proposal.figures = figures_of(horizon, sums)
    proposal.unmet = [
        {
            "job": job_of[row.need_id], "reference": horizon.needs[row.need_id].job.reference,
            "sentence": row.sentence, "remedy": row.remedy, "offers": list(row.offers),
        }
        for row in plan.unmet
    ]  # fmt: skip
    proposal.save()


def figures_of(horizon: Horizon, sums: dict[tuple[int, int], int]) -> dict[str, Any]:
    """Return what a plan gains: each figure as it is now and as it would be."""
    problem = horizon.problem
    now = {(row.need_id, row.lot_id): row.quantity for row in valid_present(problem)}
    packs = {need.item_id: need.pack_quantity for need in problem.needs}
    pair: dict[str, Any] = {"jobs": horizon.jobs, "fixed": horizon.fixed}
    for name, found in (("now", now), ("then", sums)):
        score = judge(problem, found)
        pair[name] = {
            "unmet": score.unmet / 1000, "split": score.split, "loss_pence": score.loss // 1000,
            "lost": sum(n / packs.get(lot.item_id, 1) for lot, n in lost(problem, found)),
        }  # fmt: skip
    pair["moves"] = judge(problem, sums).moves
    return pair


# -- the worker's part -----------------------------------------------------------------------------


def claim_proposal(*, proposal_id: int, at: datetime) -> Proposal | None:
    """Claim a proposal for this worker; None where another has it or it is done."""
    free = Q(state=ProposalState.DUE) | Q(
        state=ProposalState.WORKING, claimed_at__lt=at - STUCK_AFTER
    )
    mine = Proposal.objects.filter(free, pk=proposal_id).update(
        state=ProposalState.WORKING, claimed_at=at, done=0
    )
    return Proposal.objects.filter(pk=proposal_id).first() if mine else None


def note_progress(*, proposal_id: int, done: int, parts: int) -> None:
    """Note how far a worker is."""
    Proposal.objects.filter(pk=proposal_id).update(done=done, parts=parts)


@transaction.atomic(durable=True)
def keep_proposal(
    *, proposal_id: int, horizon: Horizon, plan: Plan, proven: bool, bettered: bool, at: datetime
) -> Proposal | None:
    """Keep what a worker reckoned; None where the proposal was replaced or done meanwhile."""
    row = Proposal.objects.select_for_update(no_key=True).filter(pk=proposal_id).first()
    if row is None or row.state != ProposalState.WORKING:
        return None
    row.finished_at, row.proven, row.bettered = at, proven, bettered
    same = Proposal.objects.filter(asked_at=row.asked_at, lines__taken_at__isnull=False)
    if same.exists():
        row.state = ProposalState.FAILED
        row.error = f"Part of the first proposal was taken over meanwhile. {ASK_AGAIN}"
        row.save()
        return row
    row.state = ProposalState.READY
    write_plan(row, horizon, plan)
    return row


@transaction.atomic(durable=True)
def fail_proposal(*, proposal_id: int, error: str, at: datetime) -> None:
    """Record that it could not be reckoned; the first proposal stands."""
    Proposal.objects.filter(pk=proposal_id, state=ProposalState.WORKING).update(
        state=ProposalState.FAILED, finished_at=at, error=error[:300]
    )


# -- taking it over --------------------------------------------------------------------------------


@transaction.atomic(durable=True)
def take_proposal(*, uid: UUID, bundle: int | None = None, by: Any, at: datetime) -> int:
    """Make a proposal's lines reservations, all or those of one bundle; return how many changed.

    All or nothing: where the yard, a need or a day has changed since it was reckoned, nothing is
    written and a sentence says what changed.
    """
    proposal = Proposal.objects.select_for_update(no_key=True).filter(uid=uid).first()
    if proposal is None or proposal.state != ProposalState.READY:
        raise ServiceError("This proposal was replaced by a newer one. Look at that.", code="gone")
    rows = proposal.lines.filter(taken_at=None).order_by("pk")
    lines = list(rows if bundle is None else rows.filter(bundle=bundle))
    if not lines:
        raise ServiceError("This was taken over already.", code="taken")
    needs = lock_needs({line.requirement_id for line in lines})
    changing = [line for line in lines if line.before != line.after]
    lots = lock_lots({line.lot_id for line in lines})
    kept = queries.reservations_by_need(needs.keys())
    check_fresh(lines, needs, lots, kept, at)
    apply_lines(changing, lots, kept, by=by, at=at)
    proposal.lines.filter(pk__in=[line.pk for line in lines]).update(taken_at=at)
    post_changes(changing, needs, lots, by=by, at=at)
    return len(changing)


def lock_needs(requirement_ids: set[int]) -> dict[int, OpenNeed]:
    """Lock all requirements of the jobs concerned in pk order; return those asked for, afresh."""
    jobs = Requirement.objects.filter(pk__in=requirement_ids).values_list("job_id", flat=True)
    locked = Requirement.objects.filter(job_id__in=set(jobs)).order_by("pk")
    list(locked.select_for_update(no_key=True))
    rows = Requirement.objects.for_needs().filter(pk__in=requirement_ids).order_by("pk")
    return {need.requirement.pk: need for need in queries.as_needs(rows)}


def check_fresh(
    lines: Sequence[ProposalLine],
    needs: dict[int, OpenNeed],
    lots: dict[int, Lot],
    kept: dict[int, list[Reservation]],
    at: datetime,
) -> None:
    """Refuse a proposal whose needs, reservations or lots are not what they were."""
    on = london_day(at)
    near = queries.near_day(on)
    by_need: dict[int, list[ProposalLine]] = defaultdict(list)
    for line in lines:
        by_need[line.requirement_id].append(line)
    for pk, mine in by_need.items():
        need = needs[pk]
        movable = [row for row in kept[pk] if not queries.is_fixed(row, need, near)]
        have = {row.lot_id: row.quantity for row in movable}
        short = need.quantity - need.issued - need.reserved
        changed = short + sum(have.values()) != mine[0].wanted or need.requirement.closed_at
        if changed or have != {line.lot_id: line.before for line in mine if line.before}:
            refuse(f"what {need.job.reference} needs or holds of {need.item} has changed")
        for line in mine:
            lot = lots[line.lot_id]
            if line.after and lot.status == LotStatus.HELD:
                refuse(f"{lot.code} is held now: {lot.held_reason}")
            if line.after and not is_in_date(lot, need, on):
                refuse(f"{lot.code} is no longer in date for {need.job.reference}")
    gains: dict[int, int] = defaultdict(int)
    for line in lines:
        gains[line.lot_id] += line.after - line.before
    for lot_id, gain in gains.items():
        if gain > lots[lot_id].free:
            refuse(f"not enough of {lots[lot_id].code} is free any more")


def is_in_date(lot: Lot, need: OpenNeed, on: Any) -> bool:
    """Return whether a lot is good for a need's day of use, with its margin."""
    view = queries.rule_need(need, on, {}, {})
    return lot.expiry is None or lot.expiry >= view.good_until


def refuse(what: str) -> None:
    """Refuse a proposal that has gone stale."""
    raise ServiceError(
        f"This proposal is out of date: {what}. Nothing was changed. {ASK_AGAIN}", code="stale"
    )


def apply_lines(
    lines: Iterable[ProposalLine],
    lots: dict[int, Lot],
    kept: dict[int, list[Reservation]],
    *,
    by: Any,
    at: datetime,
) -> None:
    """Give up what lines give up, then take what they take; requirements and lots are locked."""
    rows = {(row.requirement_id, row.lot_id): row for found in kept.values() for row in found}
    for line in sorted(lines, key=lambda line: line.after - line.before):
        lot, row = lots[line.lot_id], rows.get((line.requirement_id, line.lot_id))
        if row is not None and line.after < line.before:
            take_off(row, line.before - line.after, lot)
            continue
        lot.reserved += line.after - line.before
        lot.save(update_fields=["reserved"])
        if row is None:
            row = Reservation(requirement_id=line.requirement_id, lot=lot, quantity=0, made_at=at)
            row.made_by = by
        row.quantity += line.after - line.before
        row.save()


def post_changes(
    lines: Iterable[ProposalLine],
    needs: dict[int, OpenNeed],
    lots: dict[int, Lot],
    *,
    by: Any,
    at: datetime,
) -> None:
    """Write for each job what of its reservations changed."""
    by_job: dict[int, list[ProposalLine]] = defaultdict(list)
    for line in lines:
        by_job[needs[line.requirement_id].job.pk].append(line)
    for mine in by_job.values():
        post_event(
            verb="stock.take_proposal", subject=needs[mine[0].requirement_id].job, by=by, at=at,
            before={lots[line.lot_id].code: line.before for line in mine},
            after={lots[line.lot_id].code: line.after for line in mine},
        )  # fmt: skip
