"""Writing how a draft is to be paid: its own stages, or a ready plan."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from jobs.audit.services import post_event
from jobs.billing.rules import Stage
from jobs.kernel.money import ZERO
from quotes.pricebook.models import FirmRates
from quotes.quoting.models import Revision
from quotes.quoting.rules import check_plan, kept_plan, planned_stages, ready_plan
from quotes.quoting.services.drafts import lock_draft

WHOLE = Decimal(100)
# Where neither the quote nor the firm's rates say: common practice, no source.
USUAL_DEPOSIT = Decimal(25)


@transaction.atomic(durable=True)
def plan_payment(
    *, revision_id: int, stages: Sequence[Stage], by: Any, at: datetime, version: int | None = None
) -> Revision:
    """Write the stages in which a draft is paid: the deposit first where there is one, the last
    with neither share nor amount.

    Refuses (ServiceError at the stage's field) a plan that leaves nothing for the last stage, one
    of too many stages, and a stage without words, share or amount.
    """
    revision = lock_draft(revision_id, version)
    check_plan(stages, revision.net)
    return _write(revision, stages, by, at)


@transaction.atomic(durable=True)
def choose_ready_plan(*, revision_id: int, key: str, by: Any, at: datetime) -> Revision:
    """Write a ready plan; its deposit is the quote's, else the firm's usual one."""
    revision = lock_draft(revision_id)
    rates = FirmRates.objects.on(revision.priced_on)
    usual = rates.deposit_percent if rates else ZERO
    deposit = next(
        (each for each in (revision.deposit_percent, usual) if ZERO < each < WHOLE), USUAL_DEPOSIT
    )
    return _write(revision, ready_plan(key).stages(deposit), by, at)


def _write(revision: Revision, stages: Sequence[Stage], by: Any, at: datetime) -> Revision:
    before = planned_stages(revision.deposit_percent, revision.payment_plan)
    head = stages[0]
    revision.deposit_percent = (head.percent or ZERO) if head.deposit else ZERO
    revision.payment_plan = kept_plan(stages)
    revision.version += 1
    revision.save(update_fields=["deposit_percent", "payment_plan", "version"])
    post_event(
        verb="plan payment", subject=revision, by=by, at=at,
        before={"stages": [_said(stage) for stage in before]},
        after={"stages": [_said(stage) for stage in stages]},
    )  # fmt: skip
    return revision


def _said(stage: Stage) -> str:
    share = f" {stage.percent.normalize():f} %" if stage.percent is not None else ""
    return f"{stage.words}{share}" + (f" £{stage.amount}" if stage.amount is not None else "")
