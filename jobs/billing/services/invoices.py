"""Issuing VAT invoices and credit notes: numbered when issued, never changed after."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import QuerySet

from jobs.billing.enums import InvoiceKind, RequestKind
from jobs.billing.models import Invoice, PaymentRequest, Receipt, StagePlan
from jobs.billing.queries import (
    agreed,
    cis_percent,
    left_to_invoice,
    plan_of,
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
from jobs.billing.services.byhand import post_request_less
from jobs.billing.services.switching import NO_CHOICE, Choice, post_choice, settle_vat
from jobs.billing.services.writing import Issue, post_invoice
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO
from jobs.kernel.posting import KeyUsedError
from jobs.kernel.templatetags.firm import day_year
from jobs.work.models import Job


@transaction.atomic(durable=True)
def issue_for_receipt(
    *, receipt_id: int, materials: Decimal = ZERO, simplified: bool = False,
    choice: Choice = NO_CHOICE, key: UUID, by: Any, at: datetime, lock: bool = True,
) -> Invoice:  # fmt: skip
    """Issue the VAT invoice for money that came in; the day it came is the time of supply.

    The VAT is that inside the money, by the VAT fraction of each rate of what is left of the plan.
    The same key again returns the invoice that stands. Refuses (ServiceError) money that was taken
    back or is invoiced already, a job without a plan, particulars that are missing, and a reverse
    charge of which plan and conditions say different things without a `choice`. Where the customer
    kept something back, `materials` is what they truly cost; the difference is shown.
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
    _refuse_extra(request)
    plan = _plan(job)
    reason = post_choice(plan, job, request, choice, receipt.received_on, by=by, at=at)
    kept_back = receipt.cis_deducted
    words = (f"{request.words}, request {request.reference}, "
             f"received {day_year(receipt.received_on)}")  # fmt: skip
    draft = _draft(plan, job, receipt.amount + kept_back, words, request)
    if kept_back:
        _refuse_materials(draft, materials)
    return post_invoice(
        Issue(
            job=job, draft=draft, kind=_kind(draft, simplified=simplified),
            supply_on=receipt.received_on, due_on=None, receipt=receipt,
            cis_percent=cis_percent() if kept_back else None, cis_deduction=kept_back,
            cis_materials=materials if kept_back else ZERO,
            vat_reason=plan.vat_reason, vat_document=plan.vat_document, reverse_reason=reason,
        ),
        key=key, by=by, at=at,
    )  # fmt: skip


def _refuse_materials(draft: InvoiceDraft, materials: Decimal) -> None:
    """Refuse materials beyond the money; what was kept back stands as the customer says."""
    deduct(
        gross=draft.gross, vat=draft.vat, excluded=Excluded(materials=materials),
        percent=cis_percent(),
    )  # fmt: skip


@transaction.atomic(durable=True)
def issue_for_request(
    *, request_id: int, supply_on: date, materials: Decimal = ZERO, simplified: bool = False,
    choice: Choice = NO_CHOICE, key: UUID, by: Any, at: datetime, lock: bool = True,
) -> Invoice:  # fmt: skip
    """Issue the VAT invoice for a request before its money comes, as businesses often want it.

    `materials` is what they truly cost without VAT, for a customer who deducts under CIS. Refuses
    (ServiceError) a request that was withdrawn, that has money or an invoice already, a time of
    supply to come, and a reverse charge that is not decided, as `issue_for_receipt`.
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
    _refuse_extra(request)
    plan = _plan(job)
    reason = post_choice(plan, job, request, choice, supply_on, by=by, at=at)
    words = f"{request.words}, request {request.reference}"
    draft = _draft(plan, job, request.amount, words, request)
    issue = Issue(
        job=job, draft=draft, kind=_kind(draft, simplified=simplified), supply_on=supply_on,
        due_on=max(request.due_on, london_day(at)), request=request, vat_reason=plan.vat_reason,
        vat_document=plan.vat_document, reverse_reason=reason,
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
    credit = post_invoice(
        Issue(
            job=job, draft=draft, kind=InvoiceKind.CREDIT, supply_on=invoice.supply_on,
            due_on=None, credits=invoice, outside_plan=invoice.outside_plan,
            vat_reason=invoice.vat_reason, vat_document=invoice.vat_document,
        ),
        key=key, by=by, at=at,
    )  # fmt: skip
    if invoice.outside_plan:
        post_request_less(credit, by=by, at=at)
    elif (plan := plan_of(job)) is not None and plan.reverse_charge != invoice.reverse_charge:
        # What is left again has the VAT of the plan as it stands now, not that of the invoice.
        settle_vat(plan, words=f"{credit.number} credits {invoice.number}", by=by, at=at)
    return credit


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


def _refuse_extra(request: PaymentRequest) -> None:
    if request.kind == RequestKind.EXTRA:
        raise ServiceError(
            "This money is for an invoice outside the plan that was credited. Take the receipt "
            "back, and write a new invoice if it stays."
        )


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
    plan: StagePlan, job: Job, amount: Decimal, words: str, request: PaymentRequest
) -> InvoiceDraft:
    reverse = plan.reverse_charge
    left = left_to_invoice(plan)
    _refuse_vat_in(amount, left, reverse=reverse)
    rates = split_received(amount, left, reverse_charge=reverse)
    check_evidence({row.rate: row.net for row in rates}, plan.vat_reason, plan.vat_document)
    lines = tuple(one_line(words, row.net, row.rate) for row in rates)
    settles = {rate: row.net for rate, row in left.items() if row.net} == {
        row.rate: row.net for row in rates if row.net
    }
    if request.kind == RequestKind.FINAL and settles and _of_plan(job).exists():
        lines = _final_lines(plan, job, rates)
    return InvoiceDraft(lines, rates, reverse, note=plan.vat_reason)


def _of_plan(job: Job) -> QuerySet[Invoice]:
    rows: QuerySet[Invoice] = job.invoices.filter(outside_plan=False)
    return rows


def _refuse_vat_in(amount: Decimal, left: Mapping[Decimal, RateSum], *, reverse: bool) -> None:
    """Refuse money under the reverse charge that holds VAT which the customer accounts for."""
    net = sum((max(row.net, ZERO) for row in left.values()), ZERO)
    if reverse and 0 < net < amount:
        raise ServiceError(
            f"Under the reverse charge only £{net:,.2f} is left to invoice; £{amount - net:,.2f} "
            "of this money is VAT that the customer accounts for. Give it back: take the receipt "
            "back and record what stays with you.",
            code="more_than_agreed",
        )


def _final_lines(plan: StagePlan, job: Job, rates: tuple[RateSum, ...]) -> tuple[InvoiceLine, ...]:
    """Return the whole as agreed, then what was invoiced before taken off, document by document."""
    whole = agreed(plan)
    lines = []
    earlier = list(_of_plan(job).prefetch_related("rates").order_by("issued_at", "pk"))
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
