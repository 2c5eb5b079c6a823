"""The demo's money after the quote: VAT invoices that follow it, the rest asked for and paid."""

from __future__ import annotations

from datetime import date, timedelta

from config.demo.world import World, at, key
from jobs.billing.models import PaymentRequest, PlanStage
from jobs.billing.services import ask_stage, issue_for_receipt, record_receipt
from jobs.work.models import Job

# Who has not paid yet, though it is due: what an overdue request looks like.
SLOW_PAYER = "Bracken Court"


def pay(world: World, job: Job, request: PaymentRequest, day: date) -> None:
    """The money of a request comes in by transfer, and the VAT invoice follows it."""
    receipt = record_receipt(
        request_id=request.pk, amount=request.amount, received_on=day, paid_by="transfer",
        note=job.reference, key=key("receipt", request.reference), by=world.users["office"],
        at=at(day, 11, 15),
    )  # fmt: skip
    issue_for_receipt(
        receipt_id=receipt.pk, key=key("invoice", request.reference),
        by=world.users["accountant"], at=at(day, 15, 40),
    )  # fmt: skip


def pay_deposit(world: World, job: Job, day: date) -> None:
    """The deposit comes in."""
    pay(world, job, PaymentRequest.objects.get(job=job, kind="deposit", withdrawn_at=None), day)


def ask_rest(world: World, job: Job, day: date) -> None:
    """Ask for what the job still owes once it is handed over."""
    for stage in PlanStage.objects.filter(plan__job=job, request=None).order_by("position"):
        ask_stage(
            stage_id=stage.pk, due_on=day + timedelta(days=job.customer.terms_days),
            by=world.users["office"], at=at(day, 12),
        )  # fmt: skip


def pay_rest(world: World, job: Job, day: date) -> None:
    """Everything that was asked for is paid, but by one who takes his time."""
    if job.customer.name == SLOW_PAYER:
        return
    for request in PaymentRequest.objects.filter(job=job, withdrawn_at=None, received=0):
        pay(world, job, request, day)
