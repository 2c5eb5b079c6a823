"""Jobs whose money is agreed, asked for, received and invoiced, made through the services."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

from django.db import transaction

from jobs.attachments.services import keep_file
from jobs.billing import services
from jobs.billing.models import Invoice, PaymentRequest, PlanStage, Receipt, StagePlan
from jobs.billing.rules import HandLine, Stage
from jobs.work.models import Job
from tests.factories import AT, DAY, make_customer, make_job, make_site

D = Decimal
QUARTER = (Stage("Deposit", percent=D(25), deposit=True), Stage("When laid", percent=D(75)))
ADDRESS = {"address": "4 Mill Lane\nOrrford", "postcode": "OR9 4AB"}
# A builder who is registered, reports payments and has confirmed nothing: reverse charge.
CONTRACTOR = {
    "kind": "builder", "vat_number": "GB999999973", "reports_under_cis": True, **ADDRESS,
}  # fmt: skip


def household(**fields: Any) -> Job:
    """A won job of a household with its address."""
    return make_job(make_site(make_customer(**ADDRESS | fields)), stage="won")


def contractor(**fields: Any) -> Job:
    return make_job(make_site(make_customer(**CONTRACTOR | fields)), stage="won")


def plan(
    job: Job, nets: Mapping[int, str] | None = None, stages: Sequence[Stage] = QUARTER, **more: Any
) -> StagePlan:
    """Agree £1,000 before VAT at 20 %, a quarter of it as deposit, unless told otherwise."""
    agreed = {D(rate): D(net) for rate, net in (nets or {20: "1000.00"}).items()}
    with transaction.atomic():
        return services.post_stage_plan(
            job=job, net_by_rate=agreed, stages=stages, by=None, at=AT, **more
        )


def ask(job: Job, position: int = 0) -> PaymentRequest:
    stage = PlanStage.objects.get(plan__job=job, position=position)
    return services.ask_stage(
        stage_id=stage.pk, due_on=DAY + timedelta(days=14), by=None, at=AT
    )  # fmt: skip


def pay(request: PaymentRequest, amount: Decimal | str | None = None, **more: Any) -> Receipt:
    values: dict[str, Any] = {"received_on": DAY, "paid_by": "transfer", "key": uuid4()}
    request.refresh_from_db()
    return services.record_receipt(
        request_id=request.pk, amount=D(amount) if amount else request.amount - request.received,
        by=None, at=AT, **values | more,
    )  # fmt: skip


def invoice_money(receipt: Receipt, **more: Any) -> Invoice:
    values: dict[str, Any] = {"key": uuid4(), "by": None, "at": AT}
    return services.issue_for_receipt(receipt_id=receipt.pk, **values | more)


def invoice_request(request: PaymentRequest, **more: Any) -> Invoice:
    values: dict[str, Any] = {"key": uuid4(), "by": None, "at": AT, "supply_on": DAY}
    return services.issue_for_request(request_id=request.pk, **values | more)


def write_by_hand(job: Job, typed: services.HandInvoice | None = None, **more: Any) -> Invoice:
    """An invoice outside the plan: £100 before VAT unless told otherwise."""
    line = HandLine("Sweeping the yard", D(1), "visit", D("100.00"), D(20))
    typed = typed or services.HandInvoice((line,), DAY, DAY + timedelta(days=14))
    values: dict[str, Any] = {"key": uuid4(), "by": None, "at": AT}
    return services.issue_by_hand(job_id=job.pk, typed=typed, **values | more)


def credit(invoice: Invoice, nets: Mapping[int, str] | None = None, **more: Any) -> Invoice:
    values: dict[str, Any] = {"key": uuid4(), "by": None, "at": AT, "reason": "agreed"}
    parts = None if nets is None else {D(rate): D(net) for rate, net in nets.items()}
    return services.issue_credit(invoice_id=invoice.pk, nets=parts, **values | more)


def deposit_invoiced(job: Job | None = None) -> Invoice:
    """A job whose deposit of £300.00 came in and is invoiced."""
    job = job or household()
    plan(job)
    return invoice_money(pay(ask(job)))


def before_money(job: Job | None = None, due_on: date | None = None) -> Invoice:
    """A job whose first stage is invoiced before its money."""
    job = job or contractor(end_user_confirmed=True)
    plan(job)
    request = ask(job)
    if due_on is not None:
        PaymentRequest.objects.filter(pk=request.pk).update(due_on=due_on)
    return invoice_request(request)


def draw(invoice: Invoice) -> None:
    """Draw the PDF as the worker does."""
    from jobs.billing.tasks import draw_one

    assert draw_one(invoice.paper.pk)


def drawn_quickly(invoice: Invoice) -> None:
    """Keep a PDF of five bytes as that of the invoice, where what it shows does not matter."""
    kept = keep_file(data=b"%PDF-", name=f"{invoice.number}.pdf")
    services.keep_paper(paper_id=invoice.paper.pk, kept=kept, pages=1, at=AT)
