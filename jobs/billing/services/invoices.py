"""Issuing VAT invoices and credit notes: numbered when issued, never changed after."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction

from jobs.billing.enums import InvoiceKind, RequestKind
from jobs.billing.models import Invoice, PaymentRequest, Receipt, StagePlan
from jobs.billing.queries import (
    agreed,
    cis_percent,
    left_to_invoice,
    plan_of,
    reverse_verdict,
    standing_of,
)
from jobs.billing.rules import (
    Excluded,
    InvoiceDraft,
    InvoiceLine,
    RateSum,
    check_evidence,
    credit_of,
    deduct,
    may_be_simplified,
    one_line,
    split_received,
)
from jobs.billing.services.writing import Issue, post_invoice
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO
from jobs.kernel.posting import KeyUsedError
from jobs.kernel.templatetags.firm import day_year
from jobs.work.models import Job


@transaction.atomic(durable=True)
def issue_for_receipt(
    *, receipt_id: int, simplified: bool = False, key: UUID, by: Any, at: datetime,
    lock: bool = True,
) -> Invoice:  # fmt: skip
    """Issue the VAT invoice for money that came in; the day it came is the time of supply.

    The VAT is that inside the money, by the VAT fraction of each rate of what is left of the plan.
    The same key again returns the invoice that stands. Refuses (ServiceError) money that was taken
    back or is invoiced already, a job without a plan, and particulars that are missing.
    `lock` is for the test that shows what the lock is for.
    """
    receipt = Receipt.objects.select_related("request").get(pk=receipt_id)
    job = _locked(receipt.request.job_id, lock=lock)
    if done := _done(key, receipt=receipt):
        return done
    request = PaymentRequest.objects.get(pk=receipt.request_id)
    if receipt.amount <= 0 or Receipt.objects.filter(reverses=receipt).exists():
        raise ServiceError("This money was taken back; there is nothing to invoice.")
    _refuse_second(request, receipt)
    plan = _plan(job)
    kept_back = receipt.cis_deducted
    words = (
        f"{request.words}, request {request.reference}, received {day_year(receipt.received_on)}"
    )
    draft = _draft(plan, job, receipt.amount + kept_back, words, request, at)
    return post_invoice(
        Issue(
            job=job, draft=draft, kind=_kind(draft, simplified=simplified),
            supply_on=receipt.received_on, due_on=None, receipt=receipt,
            cis_percent=cis_percent() if kept_back else None, cis_deduction=kept_back,
        ),
        key=key, by=by, at=at,
    )  # fmt: skip


@transaction.atomic(durable=True)
def issue_for_request(
    *, request_id: int, supply_on: date, materials: Decimal = ZERO, simplified: bool = False,
    key: UUID, by: Any, at: datetime, lock: bool = True,
) -> Invoice:  # fmt: skip
    """Issue the VAT invoice for a request before its money comes, as businesses often want it.

    `materials` is what they truly cost without VAT, for a customer who deducts under CIS. Refuses
    (ServiceError) a request that was withdrawn, that has money or an invoice already, and a time of
    supply to come.
    """
    request = PaymentRequest.objects.get(pk=request_id)
    job = _locked(request.job_id, lock=lock)
    request.refresh_from_db()
    if done := _done(key, request=request):
        return done
    if request.withdrawn_at is not None:
        raise ServiceError("This request was withdrawn.")
    if request.received:
        raise ServiceError("Money came in for this request: issue the invoice for the money.")
    if supply_on > london_day(at):
        raise ServiceError("That day has not come yet.", field="supply_on")
    _refuse_second(request, None)
    plan = _plan(job)
    words = f"{request.words}, request {request.reference}"
    draft = _draft(plan, job, request.amount, words, request, at)
    issue = Issue(
        job=job, draft=draft, kind=_kind(draft, simplified=simplified), supply_on=supply_on,
        due_on=max(request.due_on, london_day(at)), request=request,
    )  # fmt: skip
    customer = job.customer
    if customer.reports_under_cis and not customer.is_consumer:
        found = deduct(
            gross=draft.gross, vat=draft.vat, excluded=Excluded(materials=materials),
            percent=cis_percent(),
        )  # fmt: skip
        issue = issue.with_cis(found)
    return post_invoice(issue, key=key, by=by, at=at)


@transaction.atomic(durable=True)
def issue_credit(
    *, invoice_id: int, nets: Mapping[Decimal, Decimal] | None = None, reason: str, key: UUID,
    by: Any, at: datetime, lock: bool = True,
) -> Invoice:  # fmt: skip
    """Issue a credit note for what stands of an invoice, or for net amounts by rate of it.

    Refuses (ServiceError) a credit note as the thing credited, more than stands, and no reason.
    """
    invoice = Invoice.objects.get(pk=invoice_id)
    job = _locked(invoice.job_id, lock=lock)
    if done := _done(key, credits=invoice):
        return done
    if invoice.is_credit:
        raise ServiceError("A credit note is not credited; issue a new invoice.")
    if not reason.strip():
        raise ServiceError("Say why it is credited.", field="reason")
    rates = credit_of(standing_of(invoice), nets, reverse_charge=invoice.reverse_charge)
    lines = tuple(
        one_line(f"Credit for {invoice.number}: {reason.strip()}"[:300], row.net, row.rate)
        for row in rates
    )
    draft = InvoiceDraft(lines, rates, invoice.reverse_charge, note=reason.strip()[:300])
    return post_invoice(
        Issue(
            job=job, draft=draft, kind=InvoiceKind.CREDIT, supply_on=invoice.supply_on,
            due_on=None, credits=invoice,
        ),
        key=key, by=by, at=at,
    )  # fmt: skip


def _locked(job_id: int, *, lock: bool) -> Job:
    """Return the job, locked: its invoices are issued one after another."""
    if lock:
        Job.objects.select_for_update(no_key=True).get(pk=job_id)
    job: Job = Job.objects.select_related("customer", "site").get(pk=job_id)
    return job


def _done(key: UUID, **source: Any) -> Invoice | None:
    done = Invoice.objects.filter(key=key).first()
    if done is not None and any(getattr(done, name) != row for name, row in source.items()):
        raise KeyUsedError("This page was sent before for something else. Open it again.")
    return done


def _refuse_second(request: PaymentRequest, receipt: Receipt | None) -> None:
    standing = Invoice.objects.all().standing()
    found = standing.filter(request=request).first()
    if found is None and receipt is not None:
        found = standing.filter(receipt=receipt).first()
    if found is not None:
        raise ServiceError(f"{found.number} was issued for this already.", code="invoiced_already")


def _plan(job: Job) -> StagePlan:
    plan = plan_of(job)
    if plan is None:
        raise ServiceError(
            "Write the payment plan first: what was agreed before VAT, and at which rate."
        )
    return plan


def _kind(draft: InvoiceDraft, *, simplified: bool) -> InvoiceKind:
    if not simplified:
        return InvoiceKind.INVOICE
    if not may_be_simplified(draft.gross, reverse_charge=draft.reverse_charge):
        raise ServiceError(
            "The short form is for up to £250.00 with VAT, and not for the reverse charge.",
            field="simplified",
        )
    return InvoiceKind.SIMPLIFIED


def _draft(
    plan: StagePlan, job: Job, amount: Decimal, words: str, request: PaymentRequest, at: datetime
) -> InvoiceDraft:
    reverse = plan.reverse_charge
    left = left_to_invoice(plan)
    rates = split_received(amount, left, reverse_charge=reverse)
    check_evidence({row.rate: row.net for row in rates}, plan.vat_reason, plan.vat_document)
    if reverse:
        _check_reverse(job, rates, at)
    lines = tuple(one_line(words, row.net, row.rate) for row in rates)
    settles = {rate: row.net for rate, row in left.items() if row.net} == {
        row.rate: row.net for row in rates if row.net
    }
    if request.kind == RequestKind.FINAL and settles and job.invoices.exists():
        lines = _final_lines(plan, job, rates)
    return InvoiceDraft(lines, rates, reverse, note=plan.vat_reason)


def _check_reverse(job: Job, rates: tuple[RateSum, ...], at: datetime) -> None:
    for row in rates:
        verdict = reverse_verdict(job.customer, row.rate, london_day(at))
        if row.rate and not verdict.applies:
            raise ServiceError(
                "The reverse charge was agreed, but " + "; ".join(verdict.reasons) + ".",
                code="reverse_charge",
            )


def _final_lines(plan: StagePlan, job: Job, rates: tuple[RateSum, ...]) -> tuple[InvoiceLine, ...]:
    """Return the whole as agreed, then what was invoiced before taken off, document by document."""
    whole = agreed(plan)
    lines = []
    earlier = list(job.invoices.prefetch_related("rates").order_by("issued_at", "pk"))
    for row in sorted({*(each.rate for each in rates), *whole}, reverse=True):
        if row in whole and whole[row].net:
            lines.append(one_line(f"{job.title}, as agreed", whole[row].net, row))
        for document in earlier:
            net = sum((each.net for each in document.rates.all() if each.rate == row), ZERO)
            if net:
                word = "Less invoiced by" if net > 0 else "Back for credit note"
                day = day_year(document.issued_on)
                lines.append(one_line(f"{word} {document.number} of {day}", -net, row))
    return tuple(lines)
