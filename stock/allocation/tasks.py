"""Bells for reckoning all jobs of the horizon together."""

from __future__ import annotations

import logging
from functools import partial

from celery import shared_task

from jobs.kernel.clock import now
from jobs.kernel.taskrun import recorded
from stock.allocation import queries, services
from stock.allocation.rules.exact import exact_plan

log = logging.getLogger(__name__)


def propose_one(proposal_id: int) -> bool:
    """Reckon one proposal, unless another worker has it; the solver runs outside transactions."""
    row = services.claim_proposal(proposal_id=proposal_id, at=now())
    if row is None:
        return False
    try:
        horizon = queries.horizon(row.on, row.days)
        exact = exact_plan(
            horizon.problem,
            tell=lambda done, parts: services.note_progress(
                proposal_id=proposal_id, done=done, parts=parts
            ),
        )
    except Exception as error:  # the first proposal stands, and a person sees the row
        log.exception("Proposal %s could not be reckoned.", proposal_id)
        services.fail_proposal(
            proposal_id=proposal_id, error=f"{type(error).__name__}: {error}", at=now()
        )
        return False
    keep = partial(services.keep_proposal, proposal_id=proposal_id, horizon=horizon)
    kept = keep(plan=exact.plan, proven=exact.proven, bettered=exact.bettered, at=now())
    return kept is not None


@shared_task(name="stock.allocation.propose")
def propose(proposal_id: int) -> None:
    """Reckon one proposal that was asked for."""
    propose_one(proposal_id)


@shared_task(name="stock.allocation.sweep")
def sweep() -> None:
    """Find the proposals whose bell was lost, and those that a stopped worker left."""
    due = queries.due_proposals(now())
    if due:
        with recorded("stock.allocation.sweep") as say:
            say(f"{sum(propose_one(pk) for pk in due)} reckoned")
