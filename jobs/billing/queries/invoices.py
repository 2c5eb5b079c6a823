"""Invoices as sheets, and what stands of them."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal

from django.conf import settings

from jobs.attachments.models import Attachment
from jobs.billing.enums import PaperState
from jobs.billing.models import Invoice, InvoicePaper, IssuedRate
from jobs.billing.rules import (
    WORDING,
    InvoiceLine,
    InvoiceSheet,
    Party,
    RateSum,
    sums_by_rate,
)
from jobs.customers.models import Customer
from jobs.kernel.errors import ServiceError
from jobs.outbox.models import Message
from jobs.work.models import Job

STUCK_AFTER = timedelta(minutes=5)


def occasion_of(invoice: Invoice) -> str:
    """Return the occasion of an invoice's message: one for each invoice."""
    return f"invoice:{invoice.pk}"


def firm_party() -> Party:
    """Return our particulars as they are set."""
    return Party(
        settings.FIRM_NAME, settings.FIRM_ADDRESS, settings.FIRM_VAT_NUMBER, settings.FIRM_UTR
    )


def cis_percent() -> Decimal:
    """Return what contractors keep back from us, in per cent, as it is set."""
    try:
        return Decimal(settings.FIRM_CIS_PERCENT)
    except ArithmeticError as error:
        raise ServiceError("RESINWRIGHT_FIRM_CIS_PERCENT must be 20, 30 or 0.") from error


def customer_party(job: Job) -> Party:
    """Return a customer's particulars; a household without an address of its own has its site's."""
    customer: Customer = job.customer
    address, postcode = customer.address.strip(), customer.postcode
    if not address and customer.is_consumer:
        address, postcode = job.site.address.strip(), job.site.postcode
    lines = [*address.splitlines(), postcode] if address else []
    return Party(
        customer.name, "\n".join(line for line in lines if line.strip()), customer.vat_number
    )


def sheet_of(invoice: Invoice) -> InvoiceSheet:
    """Return an invoice as it was issued, from its own rows alone: two queries."""
    lines = tuple(
        InvoiceLine(row.words, row.quantity, row.unit, row.unit_price, row.net, row.rate)
        for row in invoice.lines.all()
    )
    rates = tuple(RateSum(row.rate, row.net, row.vat) for row in invoice.rates.all())
    paid = invoice.gross - invoice.cis_deduction if invoice.receipt_id else Decimal("0.00")
    return InvoiceSheet(
        number=invoice.number, kind=invoice.kind, title=invoice.get_kind_display(),
        supply_on=invoice.supply_on, issued_on=invoice.issued_on, due_on=invoice.due_on,
        supplier=Party(
            invoice.supplier_name, invoice.supplier_address, invoice.supplier_vat_number,
            invoice.supplier_utr,
        ),
        customer=Party(
            invoice.customer_name, invoice.customer_address, invoice.customer_vat_number
        ),
        job=invoice.job_words, order_number=invoice.order_number, lines=lines, rates=rates,
        net=invoice.net, vat=invoice.vat, gross=invoice.gross,
        reverse_charge=WORDING if invoice.reverse_charge else "",
        reverse_vat=invoice.reverse_vat, cis_percent=invoice.cis_percent,
        cis_materials=invoice.cis_materials, cis_deduction=invoice.cis_deduction, paid=paid,
        credits=invoice.credits.number if invoice.credits else "", note=invoice.note,
    )  # fmt: skip


def standing_of(invoice: Invoice) -> dict[Decimal, RateSum]:
    """Return what stands of an invoice by rate: itself and its credit notes."""
    rows = IssuedRate.objects.filter(invoice__pk=invoice.pk) | IssuedRate.objects.filter(
        invoice__credits=invoice
    )
    return sums_by_rate([RateSum(row.rate, row.net, row.vat) for row in rows])


def pdf_of(invoice: Invoice) -> Attachment | None:
    """Return the kept PDF of an invoice, None while it is not drawn."""
    paper = InvoicePaper.objects.filter(invoice=invoice, state=PaperState.READY).first()
    if paper is None or paper.attachment_uid is None:
        return None
    return Attachment.objects.filter(uid=paper.attachment_uid, removed_at=None).first()


def message_of(invoice: Invoice) -> Message | None:
    """Return the message that takes an invoice to its customer, None before it was asked for."""
    return Message.objects.filter(occasion=occasion_of(invoice)).first()


def due_papers(at: datetime) -> list[int]:
    """Return the PDFs to be drawn, and those that a worker that stopped has left."""
    due = InvoicePaper.objects.filter(state=PaperState.DUE)
    stuck = InvoicePaper.objects.filter(
        state=PaperState.RENDERING, claimed_at__lt=at - STUCK_AFTER
    )  # fmt: skip
    return list((due | stuck).order_by("asked_at").values_list("pk", flat=True))


def records_of(customer_id: int) -> dict[str, object]:
    """Return what this room knows of a customer, as plain values."""
    invoices = Invoice.objects.filter(job__customer_id=customer_id).order_by("pk")
    names = ("number", "issued_on", "customer_name", "customer_address", "gross")
    return {"invoices": [{name: getattr(row, name) for name in names} for row in invoices]}
