"""Deciding the reverse charge at the time of supply, where plan and conditions differ.

The conditions at the time of supply decide; whoever issues the invoice confirms it, or keeps to the
plan, with a reason that is kept. A plan that is departed from follows with all that is not invoiced
yet, so that agreed stays invoiced plus left. No tax advice.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from jobs.audit.services import post_event
from jobs.billing.models import Invoice, PaymentRequest, PlanChange, PlanStage, StagePlan
from jobs.billing.queries import (
    agreed,
    asked_and_left,
    asked_for,
    invoiced,
    left_to_invoice,
    plan_verdict,
)
from jobs.billing.rules import RateSum, invoices_less, left_under, vat_under
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO
from jobs.kernel.posting import assert_in_transaction
from jobs.work.models import Job


@dataclass(frozen=True)
class Choice:
    """What was decided where plan and conditions differ; `reverse` None: nothing was decided."""

    reverse: bool | None = None
    reason: str = ""


NO_CHOICE = Choice()


def post_choice(
    plan: StagePlan, job: Job, request: PaymentRequest, choice: Choice, supply_on: date,
    *, by: Any, at: datetime,
) -> str:  # fmt: skip
    """Settle whether the reverse charge applies to what a request's invoice is for.

    Returns the reason of the decision, '' where plan and conditions agree and there is nothing to
    decide. `plan` and `request` follow the decision in place. Refuses (ServiceError) a difference
    without decision or reason, and the reverse charge where a condition bars it.
    """
    assert_in_transaction()
    verdict = plan_verdict(job.customer, left_to_invoice(plan), supply_on)
    if verdict is None or verdict.applies == plan.reverse_charge:
        return ""
    said = "was agreed, but" if plan.reverse_charge else "was not agreed, but it applies:"
    if choice.reverse is None:
        raise ServiceError(
            f"The reverse charge {said} {'; '.join(verdict.reasons)}. Decide which it is.",
            field="reverse", code="reverse_charge",
        )  # fmt: skip
    reason = choice.reason.strip()
    if not reason:
        raise ServiceError("Say why it is decided so.", field="reverse_reason")
    if choice.reverse and verdict.barred:
        raise ServiceError(
            f"The reverse charge cannot be: {'; '.join(verdict.barred)}.",
            field="reverse", code="reverse_charge",
        )  # fmt: skip
    post_event(
        verb="decide_reverse_charge", subject=plan, by=by, at=at, reason=reason,
        before={"plan": plan.reverse_charge, "conditions": verdict.applies},
        after={"reverse_charge": choice.reverse},
    )  # fmt: skip
    if choice.reverse != plan.reverse_charge:
        _switch(plan, request, reverse_charge=choice.reverse, words=reason, by=by, at=at)
    return reason


def _switch(
    plan: StagePlan, request: PaymentRequest, *, reverse_charge: bool, words: str, by: Any,
    at: datetime,
) -> None:  # fmt: skip
    before = request.amount
    request.amount, _ = asked_and_left(plan, request, reverse_charge=reverse_charge)
    if request.amount != before:
        request.save(update_fields=["amount"])
        post_event(
            verb="change_request", subject=request, by=by, at=at, reason=words,
            before={"amount": before}, after={"amount": request.amount},
        )  # fmt: skip
    plan.reverse_charge = reverse_charge
    plan.save(update_fields=["reverse_charge"])
    settle_vat(plan, words=words, by=by, at=at, apart=request)


def settle_vat(
    plan: StagePlan, *, words: str, by: Any, at: datetime, apart: PaymentRequest | None = None
) -> None:
    """Let the VAT of a plan be that invoiced plus that on what is left, as the plan now stands.

    Stages that are not invoiced take the VAT of the decision on their net, the last of them the
    remainder; the requests of those for which nothing came in follow, but for that set `apart`.
    Written as changes.
    """
    assert_in_transaction()
    before, done = agreed(plan), invoiced(plan.job_id)
    left = left_under(invoices_less(before, done), reverse_charge=plan.reverse_charge)
    wanted = {rate: row.vat + (done[rate].vat if rate in done else ZERO)
              for rate, row in left.items()}  # fmt: skip
    stages = _open_stages(plan)
    for stage in stages:
        for share in stage.shares.all():
            row = vat_under(
                RateSum(share.rate, share.net, ZERO), reverse_charge=plan.reverse_charge
            )
            share.vat = row.vat
            share.save(update_fields=["vat"])
    now = agreed(plan)
    for rate, vat in sorted(wanted.items()):
        old = before[rate].vat if rate in before else ZERO
        if missing := vat - (now[rate].vat if rate in now else ZERO):
            _give(stages[-1], rate, missing)
        if vat != old:
            PlanChange.objects.create(
                plan=plan, words=f"VAT: {words}"[:200], rate=rate, net=ZERO, vat=vat - old, at=at,
                by=by,
            )  # fmt: skip
    others = [row for row in stages if apart is None or row.request_id != apart.pk]
    _follow(plan, others, by=by, at=at)


def _open_stages(plan: StagePlan) -> list[PlanStage]:
    """Return the stages that no standing invoice is for; the last stage always is among them."""
    standing = Invoice.objects.all().standing().filter(job_id=plan.job_id)
    used = set(standing.values_list("request_id", flat=True))
    used |= set(standing.values_list("receipt__request_id", flat=True))
    stages = list(plan.stages.select_related("request").order_by("position"))
    return [
        stage for stage in stages if stage.request_id not in used or stage.request_id is None
    ] or stages[-1:]


def _give(stage: PlanStage, rate: Decimal, vat: Decimal) -> None:
    share, _ = stage.shares.get_or_create(rate=rate, defaults={"net": ZERO, "vat": ZERO})
    share.vat += vat
    share.save(update_fields=["vat"])


def _follow(plan: StagePlan, stages: Sequence[PlanStage], *, by: Any, at: datetime) -> None:
    """Let open requests ask for what their stages come to now; the last of all for the rest."""
    everything_asked = not plan.stages.filter(request=None).exists()
    last = plan.stages.order_by("-position").first()
    for stage in stages:
        request = stage.request
        if request is None or request.withdrawn_at is not None or request.received:
            continue
        amount = sum((row.gross for row in _rows(stage)), ZERO)
        if everything_asked and last is not None and stage.pk == last.pk:
            whole = sum((row.gross for row in agreed(plan).values()), ZERO)
            amount = whole - (asked_for(plan.job_id) - request.amount)
        if amount > 0 and amount != request.amount:
            post_event(
                verb="change_request", subject=request, by=by, at=at,
                before={"amount": request.amount}, after={"amount": amount},
            )  # fmt: skip
            PaymentRequest.objects.filter(pk=request.pk).update(amount=amount)


def _rows(stage: PlanStage) -> list[RateSum]:
    return [RateSum(*row) for row in stage.shares.values_list("rate", "net", "vat")]
