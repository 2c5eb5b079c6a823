"""Invoices written by hand, outside the payment plan of their job, each with its own request."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction

from jobs.attachments.models import Attachment
from jobs.attachments.rules import CheckedFile
from jobs.attachments.services import post_attachment
from jobs.audit.services import post_event
from jobs.billing.enums import InvoiceKind, RequestKind
from jobs.billing.models import Invoice, PaymentRequest
from jobs.billing.queries import cis_percent, reverse_verdict
from jobs.billing.rules import (
    Excluded,
    HandLine,
    InvoiceSheet,
    Verdict,
    check_evidence,
    deduct,
    draft_of,
    may_be_simplified,
    nets_of,
)
from jobs.billing.services.writing import Issue, check_issue, post_invoice
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO
from jobs.kernel.posting import KeyUsedError
from jobs.kernel.series import next_reference
from jobs.work.models import Job

SEE = "jobs.see_billing"


@dataclass(frozen=True)
class HandInvoice:
    """What was typed of an invoice outside the plan."""

    lines: tuple[HandLine, ...]
    supply_on: date
    due_on: date
    simplified: bool = False
    vat_reason: str = ""
    vat_document: UUID | None = None
    note: str = ""
    # What materials truly cost without VAT, for a customer who deducts under CIS.
    materials: Decimal = ZERO


def show_by_hand(job: Job, typed: HandInvoice, *, at: datetime) -> tuple[InvoiceSheet, Verdict]:
    """Return what an invoice by hand would say, and why it is or is not under reverse charge.

    Nothing is written. Refuses (ServiceError) all that issuing refuses.
    """
    issue, verdict = _issue_of(job, typed, at)
    return check_issue(issue, london_day(at)), verdict


@transaction.atomic(durable=True)
def issue_by_hand(*, job_id: int, typed: HandInvoice, key: UUID, by: Any, at: datetime) -> Invoice:
    """Issue an invoice outside the plan and the request by which its money comes in.

    The conditions at the time of supply decide the reverse charge. The same key again returns the
    invoice that stands. Refuses (ServiceError) lines that do not add up, a rate without its reason
    and document, particulars that are missing, a supply to come and a due day that has gone.
    """
    Job.objects.select_for_update(no_key=True).get(pk=job_id)
    job: Job = Job.objects.select_related("customer", "site").get(pk=job_id)
    done: Invoice | None = Invoice.objects.filter(key=key).first()
    if done is not None:
        if done.job_id != job.pk:
            raise KeyUsedError("This page was sent before for something else. Open it again.")
        return done
    issue, _ = _issue_of(job, typed, at)
    check_issue(issue, london_day(at))
    request = PaymentRequest.objects.create(
        reference=next_reference("R", london_day(at)), job=job, kind=RequestKind.EXTRA,
        words=issue.draft.lines[0].words[:200], amount=issue.draft.gross, due_on=typed.due_on,
        issued_at=at,
    )  # fmt: skip
    post_event(
        verb="request_payment", subject=request, by=by, at=at, after={"amount": request.amount}
    )
    return post_invoice(issue.asked_by(request), key=key, by=by, at=at)


@transaction.atomic(durable=True)
def keep_evidence(*, job_id: int, kept: CheckedFile, by: Any, at: datetime) -> Attachment:
    """Keep the document that shows why a job is not at the standard rate of VAT."""
    return post_attachment(
        kept=kept, about=Job.objects.get(pk=job_id), permission=SEE,
        caption="why not the standard rate of VAT", by=by, at=at,
    )  # fmt: skip


def post_request_less(credit: Invoice, *, by: Any, at: datetime) -> None:
    """Take what was credited off the request of an invoice outside the plan.

    A request for which nothing is left and nothing came in is withdrawn.
    """
    invoice = credit.credits
    if invoice is None or not invoice.outside_plan or invoice.request_id is None:
        return
    request = PaymentRequest.objects.select_for_update(no_key=True).get(pk=invoice.request_id)
    before, left = request.amount, max(request.amount + credit.gross, request.received)
    if left > 0:
        request.amount = left
        request.save(update_fields=["amount"])
    else:
        request.withdrawn_at = at
        request.save(update_fields=["withdrawn_at"])
    post_event(
        verb="lower_request", subject=request, by=by, at=at, reason=credit.number,
        before={"amount": before}, after={"amount": left},
    )  # fmt: skip


def _issue_of(job: Job, typed: HandInvoice, at: datetime) -> tuple[Issue, Verdict]:
    today = london_day(at)
    if typed.supply_on > today:
        raise ServiceError("That day has not come yet.", field="supply_on")
    if typed.due_on < today:
        raise ServiceError("That day has gone; give today or a day to come.", field="due_on")
    verdict = _verdict(job, typed.lines, typed.supply_on)
    reason = typed.vat_reason.strip()
    note = " ".join(part for part in (reason, typed.note.strip()) if part)
    draft = draft_of(typed.lines, reverse_charge=verdict.applies, note=note)
    check_evidence(nets_of(typed.lines), reason, typed.vat_document)
    if typed.simplified and not may_be_simplified(draft.gross, reverse_charge=verdict.applies):
        raise ServiceError(
            "The short form is for up to £250.00 with VAT, and not for the reverse charge.",
            field="simplified",
        )
    kind = InvoiceKind.SIMPLIFIED if typed.simplified else InvoiceKind.INVOICE
    issue = Issue(
        job=job, draft=draft, kind=kind, supply_on=typed.supply_on, due_on=typed.due_on,
        outside_plan=True, vat_reason=reason, vat_document=typed.vat_document,
    )  # fmt: skip
    customer = job.customer
    if customer.reports_under_cis and not customer.is_consumer:
        issue = issue.with_cis(
            deduct(
                gross=draft.gross, vat=draft.vat, excluded=Excluded(materials=typed.materials),
                percent=cis_percent(),
            )
        )  # fmt: skip
    return issue, verdict


def _verdict(job: Job, lines: Sequence[HandLine], supply_on: date) -> Verdict:
    """Return that of the highest rate; work at no rate but zero has its own reasons."""
    rate = max((line.rate for line in lines), default=Decimal(20))
    return reverse_verdict(job.customer, rate, supply_on)
