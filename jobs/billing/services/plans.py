"""The payment plan of a job: stages that add up to what was agreed, and asking for them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction

from jobs.attachments.rules import CheckedFile
from jobs.attachments.services import post_attachment
from jobs.audit.services import post_event
from jobs.billing.enums import RequestKind, VatCode
from jobs.billing.models import PaymentRequest, PlanChange, PlanShare, PlanStage, StagePlan
from jobs.billing.queries import agreed, asked_for, plan_of, reverse_verdict
from jobs.billing.rules import RateSum, Stage, StageSum, code_of, share_stages
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO, round_vat
from jobs.kernel.posting import assert_in_transaction
from jobs.kernel.series import next_reference
from jobs.work.models import Job

SEE = "jobs.see_billing"


def post_stage_plan(
    *,
    job: Job,
    net_by_rate: Mapping[Decimal, Decimal],
    stages: Sequence[Stage],
    by: Any,
    at: datetime,
    reverse_charge: bool | None = None,
    vat_reason: str = "",
    vat_document: UUID | None = None,
) -> StagePlan:
    """Write how a job is to be paid, in the caller's transaction.

    `net_by_rate` is the agreed net by the true rate in per cent, under reverse charge too: the rate
    is then shown, and no VAT is asked for. `stages` as `rules.share_stages` takes them; none is one
    stage for all. `reverse_charge` None: decided from the customer's standing. `vat_reason` and
    `vat_document` (an attachment's uid) are for any rate but the standard one.
    A standing deposit request becomes that of the deposit stage. Refuses (ServiceError) a plan that
    does not add up, and a second plan once something was asked for or invoiced by the first.
    """
    assert_in_transaction()
    job = Job.objects.select_for_update(no_key=True, of=("self",)).get(pk=job.pk)
    rates = {Decimal(rate): net for rate, net in net_by_rate.items()}
    for rate in rates:
        code_of(rate)
    plan = _emptied(job, at)
    plan.reverse_charge = _decided(job, rates, at) if reverse_charge is None else reverse_charge
    plan.vat_reason, plan.vat_document = vat_reason.strip()[:200], vat_document
    plan.save()
    sums = share_stages(rates, stages)
    for position, each in enumerate(sums):
        _write_stage(plan, position, each, last=position == len(sums) - 1)
    _take_deposit(plan, job)
    post_event(
        verb="write_payment_plan", subject=plan, by=by, at=at,
        after={"net": sum(rates.values(), ZERO), "stages": len(sums)},
    )  # fmt: skip
    return plan


def _take_deposit(plan: StagePlan, job: Job) -> None:
    deposit = PaymentRequest.objects.filter(
        job=job, kind=RequestKind.DEPOSIT, withdrawn_at=None
    ).first()
    if deposit is not None:
        first = plan.stages.filter(kind=RequestKind.DEPOSIT).order_by("position")[:1]
        PlanStage.objects.filter(pk__in=[row.pk for row in first]).update(request=deposit)


def _emptied(job: Job, at: datetime) -> StagePlan:
    plan = plan_of(job)
    if plan is None:
        return StagePlan(job=job, made_at=at)
    asked = plan.stages.exclude(request=None).exclude(kind=RequestKind.DEPOSIT).exists()
    if asked or job.invoices.filter(outside_plan=False).exists() or plan.changes.exists():
        raise ServiceError(
            "Something was asked for, changed or invoiced by this plan; a variation changes it now."
        )
    plan.stages.all().delete()
    plan.version += 1
    return plan


def _decided(job: Job, rates: Mapping[Decimal, Decimal], at: datetime) -> bool:
    return any(
        net and reverse_verdict(job.customer, rate, london_day(at)).applies
        for rate, net in rates.items()
    )


def _write_stage(plan: StagePlan, position: int, each: StageSum, *, last: bool) -> PlanStage:
    kind = RequestKind.FINAL if last else RequestKind.STAGE
    if each.stage.deposit:
        kind = RequestKind.DEPOSIT
    stage = PlanStage.objects.create(
        plan=plan, position=position, kind=kind, words=each.stage.words[:200],
        percent=each.stage.percent,
    )  # fmt: skip
    PlanShare.objects.bulk_create(
        PlanShare(
            stage=stage, rate=row.rate, net=row.net, vat=ZERO if plan.reverse_charge else row.vat
        )
        for row in each.by_rate
    )
    return stage


@transaction.atomic(durable=True)
def write_plan(
    *, job_id: int, net_by_rate: Mapping[Decimal, Decimal], stages: Sequence[Stage], by: Any,
    at: datetime,
) -> StagePlan:  # fmt: skip
    """Write the payment plan of a job by hand; as `post_stage_plan`.

    Why a rate is not the standard one is kept from the plan that stood, while there is such a rate.
    """
    job = Job.objects.get(pk=job_id)
    if not any(net_by_rate.values()):
        raise ServiceError("Give what was agreed before VAT.")
    if min(net_by_rate.values()) < 0:
        raise ServiceError("What was agreed cannot be below nothing.")
    other = any(
        net and code_of(rate) in VatCode.NEEDS_DOCUMENT for rate, net in net_by_rate.items()
    )
    before = plan_of(job) if other else None
    return post_stage_plan(
        job=job, net_by_rate=net_by_rate, stages=stages, by=by, at=at,
        vat_reason=before.vat_reason if before else "",
        vat_document=before.vat_document if before else None,
    )  # fmt: skip


def _stage_to_change(plan: StagePlan, words: str) -> PlanStage:
    """Return the last stage that was not asked for; where all were, a new one."""
    stage = plan.stages.filter(request=None).order_by("-position").first()
    return stage or PlanStage.objects.create(
        plan=plan, position=plan.stages.count(), kind=RequestKind.FINAL, words=words[:200]
    )


def post_variation_to_plan(
    *, job: Job, net_by_rate: Mapping[Decimal, Decimal], words: str, by: Any, at: datetime
) -> StagePlan | None:
    """Add what a signed variation changes (below nought: less) to the plan of its job.

    VAT of each rate is that on the new total, half up; where a part was invoiced the other way of
    the reverse charge, it is that on the change alone. The change goes to the last stage that was
    not asked for; where all were, a new last stage takes it. None where the job has no plan.
    """
    assert_in_transaction()
    job = Job.objects.select_for_update(no_key=True, of=("self",)).get(pk=job.pk)
    plan = plan_of(job)
    if plan is None:
        return None
    before = agreed(plan)
    stage = _stage_to_change(plan, words)
    other_way = job.invoices.filter(outside_plan=False).exclude(reverse_charge=plan.reverse_charge)
    mixed = other_way.exists()
    for rate, net in sorted((Decimal(rate), net) for rate, net in net_by_rate.items()):
        code_of(rate)
        known = before.get(rate, RateSum(rate, ZERO, ZERO))
        taxed, kept = (net, known.vat) if mixed else (known.net + net, ZERO)
        total = kept + (ZERO if plan.reverse_charge else round_vat(taxed, rate))
        share, _ = PlanShare.objects.get_or_create(
            stage=stage, rate=rate, defaults={"net": ZERO, "vat": ZERO}
        )
        share.net += net
        share.vat += total - known.vat
        share.save(update_fields=["net", "vat"])
        PlanChange.objects.create(
            plan=plan, words=words[:200], rate=rate, net=net, vat=total - known.vat, at=at, by=by
        )
    post_event(
        verb="vary_payment_plan", subject=plan, by=by, at=at, reason=words,
        after={"net": sum(net_by_rate.values(), ZERO)},
    )  # fmt: skip
    return plan


@transaction.atomic(durable=True)
def ask_stage(*, stage_id: int, due_on: date, by: Any, at: datetime) -> PaymentRequest:
    """Ask the customer for a stage of the plan; asked twice it is the request that stands.

    The last stage asks for what is left of the whole, so that all requests come to what was agreed.
    Refuses (ServiceError) a day that has gone, and a stage that comes to nothing.
    """
    job_id = PlanStage.objects.values_list("plan__job_id", flat=True).get(pk=stage_id)
    job = Job.objects.select_for_update(no_key=True).get(pk=job_id)
    stage = PlanStage.objects.select_related("plan", "request").get(pk=stage_id)
    if stage.request is not None:
        return stage.request
    if due_on < london_day(at):
        raise ServiceError("That day has gone; give today or a day to come.", field="due_on")
    amount = _amount_of(stage, job)
    if amount <= 0:
        raise ServiceError("Nothing is left to ask for in this stage.")
    if stage.kind == RequestKind.DEPOSIT and _has_deposit(job):
        raise ServiceError("A deposit was asked for already; withdraw it first.")
    request = PaymentRequest.objects.create(
        reference=next_reference("R", london_day(at)), job=job, kind=stage.kind,
        words=stage.words, amount=amount, due_on=due_on, issued_at=at,
    )  # fmt: skip
    stage.request = request
    stage.save(update_fields=["request"])
    post_event(verb="request_payment", subject=request, by=by, at=at, after={"amount": amount})
    return request


def _amount_of(stage: PlanStage, job: Job) -> Decimal:
    others = PlanStage.objects.filter(plan=stage.plan, request=None).exclude(pk=stage.pk)
    if others.exists():
        return sum((row.net + row.vat for row in stage.shares.all()), ZERO)
    whole = sum((row.gross for row in agreed(stage.plan).values()), ZERO)
    return whole - asked_for(job.pk)


def _has_deposit(job: Job) -> bool:
    return PaymentRequest.objects.filter(
        job=job, kind=RequestKind.DEPOSIT, withdrawn_at=None
    ).exists()


@transaction.atomic(durable=True)
def show_vat_evidence(
    *, job_id: int, reason: str, kept: CheckedFile | None, by: Any, at: datetime
) -> StagePlan:
    """Keep why a job is not at the standard rate, and the document that shows it."""
    Job.objects.select_for_update(no_key=True).get(pk=job_id)
    plan = StagePlan.objects.get(job_id=job_id)
    before = {"vat_reason": plan.vat_reason, "vat_document": plan.vat_document}
    plan.vat_reason = reason.strip()[:200]
    if kept is not None:
        attachment = post_attachment(
            kept=kept, about=plan, permission=SEE, caption="why not the standard rate of VAT",
            by=by, at=at,
        )  # fmt: skip
        plan.vat_document = attachment.uid
    plan.save(update_fields=["vat_reason", "vat_document"])
    post_event(
        verb="show_vat_evidence", subject=plan, by=by, at=at, before=before,
        after={"vat_reason": plan.vat_reason, "vat_document": plan.vat_document},
    )  # fmt: skip
    return plan
