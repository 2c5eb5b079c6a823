"""Writing an invoice that was drafted: checked whole, then numbered, then its rows."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from jobs.audit.services import post_event
from jobs.billing.enums import InvoiceKind
from jobs.billing.models import (
    Invoice,
    InvoicePaper,
    IssuedLine,
    IssuedRate,
    PaymentRequest,
    Receipt,
)
from jobs.billing.queries import customer_party, firm_party
from jobs.billing.rules import (
    WORDING,
    Deduction,
    InvoiceDraft,
    InvoiceSheet,
    Party,
    check_vat_number,
    disagreements,
    missing_particulars,
)
from jobs.kernel.clock import london_day
from jobs.kernel.enqueue import enqueue
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO, round_vat
from jobs.kernel.posting import assert_in_transaction
from jobs.kernel.series import next_reference
from jobs.work.models import Job

DRAW_TASK = "jobs.billing.draw"
PREFIX = {InvoiceKind.CREDIT: "CN"}


@dataclass(frozen=True)
class Issue:
    """One invoice about to be issued: what it says and what it follows."""

    job: Job
    draft: InvoiceDraft
    kind: InvoiceKind
    supply_on: date
    due_on: date | None
    receipt: Receipt | None = None
    request: PaymentRequest | None = None
    credits: Invoice | None = None
    cis_percent: Decimal | None = None
    cis_materials: Decimal = ZERO
    cis_deduction: Decimal = ZERO
    outside_plan: bool = False
    vat_reason: str = ""
    vat_document: UUID | None = None
    reverse_reason: str = ""

    def with_cis(self, found: Deduction) -> Issue:
        """Return it with what the customer will keep back."""
        return replace(
            self, cis_percent=found.percent, cis_materials=found.excluded, cis_deduction=found.tax
        )

    def asked_by(self, request: PaymentRequest) -> Issue:
        """Return it with the request by which its money comes in."""
        return replace(self, request=request)

    @property
    def reverse_vat(self) -> Decimal:
        """What the customer is to account for."""
        if not self.draft.reverse_charge:
            return ZERO
        return sum((round_vat(row.net, row.rate) for row in self.draft.rates), ZERO)


def post_invoice(issue: Issue, *, key: UUID, by: Any, at: datetime) -> Invoice:
    """Write an invoice in the caller's transaction and ask for its PDF.

    Its number is taken last, so that whatever is refused leaves no gap. Refuses (ServiceError)
    figures that do not add up and particulars that are missing.
    """
    assert_in_transaction()
    day = london_day(at)
    sheet = check_issue(issue, day)
    supplier, customer = sheet.supplier, sheet.customer
    draft, job = issue.draft, issue.job
    invoice = Invoice.objects.create(
        number=next_reference(PREFIX.get(issue.kind, "INV"), day),
        kind=issue.kind, job=job, receipt=issue.receipt, request=issue.request,
        credits=issue.credits, supply_on=issue.supply_on, issued_on=day, due_on=issue.due_on,
        supplier_name=supplier.name, supplier_address=supplier.address,
        supplier_vat_number=supplier.vat_number, supplier_utr=supplier.utr,
        customer_name=customer.name, customer_address=customer.address,
        customer_vat_number=customer.vat_number, consumer=job.customer.is_consumer,
        job_words=f"{job.reference} {job.title}", order_number=job.customer_order_number,
        reverse_charge=draft.reverse_charge, net=draft.net, vat=draft.vat, gross=draft.gross,
        reverse_vat=issue.reverse_vat, cis_percent=issue.cis_percent,
        cis_materials=issue.cis_materials, cis_deduction=issue.cis_deduction, note=draft.note[:300],
        outside_plan=issue.outside_plan, vat_reason=issue.vat_reason[:200],
        vat_document=issue.vat_document, reverse_reason=issue.reverse_reason[:300],
        key=key, issued_at=at, by=by,
    )  # fmt: skip
    _write_rows(invoice, draft)
    paper = InvoicePaper.objects.create(invoice=invoice, asked_at=at)
    enqueue(DRAW_TASK, paper.pk)
    verb = "issue_credit" if invoice.is_credit else "issue_invoice"
    post_event(verb=verb, subject=invoice, by=by, at=at, after={"gross": invoice.gross})
    return invoice


def _parties(issue: Issue) -> tuple[Party, Party]:
    credited = issue.credits
    if credited is None:
        return firm_party(), customer_party(issue.job)
    # A credit note has the particulars of the invoice that it takes back.
    return (
        Party(
            credited.supplier_name, credited.supplier_address, credited.supplier_vat_number,
            credited.supplier_utr,
        ),
        Party(credited.customer_name, credited.customer_address, credited.customer_vat_number),
    )  # fmt: skip


def sheet_of_issue(issue: Issue, day: date) -> InvoiceSheet:
    """Return what an invoice will say; its number is given when it is issued."""
    draft, job = issue.draft, issue.job
    supplier, customer = _parties(issue)
    return InvoiceSheet(
        number="to be given", kind=issue.kind, title=issue.kind.label, supply_on=issue.supply_on,
        issued_on=day, due_on=issue.due_on, supplier=supplier, customer=customer,
        job=f"{job.reference} {job.title}", order_number=job.customer_order_number,
        lines=draft.lines, rates=draft.rates, net=draft.net, vat=draft.vat, gross=draft.gross,
        reverse_charge=WORDING if draft.reverse_charge else "", reverse_vat=issue.reverse_vat,
        cis_percent=issue.cis_percent, cis_materials=issue.cis_materials,
        cis_deduction=issue.cis_deduction, note=draft.note,
        credits=issue.credits.number if issue.credits else "",
    )  # fmt: skip


def check_issue(issue: Issue, day: date) -> InvoiceSheet:
    """Return what an invoice will say; ServiceError with what is wrong or missing."""
    sheet = sheet_of_issue(issue, day)
    if wrong := disagreements(sheet):
        raise ServiceError(f"The invoice does not add up: {'; '.join(wrong)}.")
    if issue.credits is not None:
        return sheet
    if missing := missing_particulars(sheet):
        raise ServiceError(
            f"The invoice cannot be issued yet; it lacks {', '.join(missing)}.", code="particulars"
        )
    check_vat_number(sheet.supplier.vat_number)
    customer_, wants = issue.job.customer, issue.job.customer.wants_order_number
    if wants and not issue.job.customer_order_number:
        raise ServiceError(f"{customer_.name} wants their order number on it; add it to the job.")
    return sheet


def _write_rows(invoice: Invoice, draft: InvoiceDraft) -> None:
    IssuedLine.objects.bulk_create(
        IssuedLine(
            invoice=invoice, position=position, words=line.words[:300], quantity=line.quantity,
            unit=line.unit, unit_price=line.unit_price, net=line.net, rate=line.rate,
        )
        for position, line in enumerate(draft.lines)
    )  # fmt: skip
    IssuedRate.objects.bulk_create(
        IssuedRate(
            invoice=invoice, rate=row.rate, net=row.net, vat=row.vat, gross=row.net + row.vat
        )
        for row in draft.rates
    )
