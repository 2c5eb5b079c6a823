"""The PDF of an invoice, drawn by a worker and kept once, and the message that takes it along."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.conf import settings
from django.db import transaction
from django.db.models import Q

from jobs.attachments.rules import CheckedFile
from jobs.attachments.services import post_attachment
from jobs.audit.services import post_event
from jobs.billing.enums import PaperState
from jobs.billing.models import Invoice, InvoicePaper
from jobs.billing.queries import how_to_pay, message_of, occasion_of, pdf_of
from jobs.billing.queries.invoices import STUCK_AFTER
from jobs.billing.services.writing import DRAW_TASK
from jobs.kernel.enqueue import enqueue
from jobs.kernel.errors import ServiceError
from jobs.kernel.templatetags.firm import day_year, money
from jobs.outbox.services import post_message

SEE = "jobs.see_billing"


@transaction.atomic(durable=True)
def ask_paper(*, invoice_id: int, by: Any, at: datetime) -> InvoicePaper:
    """Ask again for a PDF that could not be drawn; one that is ready stays as it is."""
    del by
    paper = InvoicePaper.objects.select_for_update(no_key=True).get(invoice_id=invoice_id)
    if paper.state == PaperState.FAILED:
        paper.state, paper.error, paper.asked_at = PaperState.DUE, "", at
        paper.save(update_fields=["state", "error", "asked_at"])
    if paper.state == PaperState.DUE:
        enqueue(DRAW_TASK, paper.pk)
    return paper


def claim_paper(*, paper_id: int, at: datetime) -> InvoicePaper | None:
    """Claim a drawing for this worker; None where another has it or it is done."""
    free = Q(state=PaperState.DUE) | Q(state=PaperState.RENDERING, claimed_at__lt=at - STUCK_AFTER)
    mine = InvoicePaper.objects.filter(free, pk=paper_id).update(
        state=PaperState.RENDERING, claimed_at=at
    )
    return InvoicePaper.objects.select_related("invoice").get(pk=paper_id) if mine else None


@transaction.atomic(durable=True)
def keep_paper(*, paper_id: int, kept: CheckedFile, pages: int, at: datetime) -> InvoicePaper:
    """Keep the PDF that was drawn, with its hash; a second one that was drawn changes nothing."""
    paper = InvoicePaper.objects.select_for_update(no_key=True).get(pk=paper_id)
    if paper.state == PaperState.READY:
        return paper
    invoice = Invoice.objects.get(pk=paper.invoice_id)
    attachment = post_attachment(
        kept=kept, about=invoice, permission=SEE, caption=invoice.get_kind_display(), by=None, at=at
    )
    paper.state, paper.finished_at, paper.pages, paper.error = PaperState.READY, at, pages, ""
    paper.attachment_uid, paper.digest = attachment.uid, attachment.digest
    paper.save()
    return paper


@transaction.atomic(durable=True)
def fail_paper(*, paper_id: int, error: str, at: datetime) -> None:
    """Record that it could not be drawn; a person sees it and may ask again."""
    InvoicePaper.objects.filter(pk=paper_id, state=PaperState.RENDERING).update(
        state=PaperState.FAILED, finished_at=at, error=error[:300]
    )


@transaction.atomic(durable=True)
def send_invoice(*, invoice_id: int, to: str, by: Any, at: datetime) -> Invoice:
    """Send an invoice to its customer with its PDF, once; asked twice it goes once.

    Refuses (ServiceError) an invoice whose PDF is not drawn yet.
    """
    rows = Invoice.objects.select_for_update(no_key=True, of=("self",))
    invoice: Invoice = rows.get(pk=invoice_id)
    if message_of(invoice) is not None:
        return invoice
    pdf = pdf_of(invoice)
    if pdf is None:
        raise ServiceError("Its PDF is not drawn yet. Look again in a moment.")
    named = f"{invoice.kind_words} {invoice.number}"
    head = f"{named} of {day_year(invoice.issued_on)} for {invoice.job_words} is attached"
    said = [f"{head}: {money(invoice.gross)}."]
    if invoice.receipt_id:
        said.append("It is for money that we have received; nothing is to be paid.")
    elif invoice.due_on is not None:
        left = invoice.gross - invoice.cis_deduction
        said.append(f"Please pay {money(left)} by {day_year(invoice.due_on)}.{how_to_pay()}")
    post_message(
        occasion=occasion_of(invoice), audience="customer", to=to,
        subject=f"{named}, {invoice.job_words}",
        body="\n\n".join([*said, settings.FIRM_NAME]), about=invoice.job, attachments=[pdf.uid],
        at=at,
    )  # fmt: skip
    post_event(verb="send_invoice", subject=invoice, by=by, at=at)
    return invoice


def post_erasure(customer_id: int) -> list[str]:
    """Say what of a customer this room keeps when the customer is erased, and why."""
    count = Invoice.objects.filter(job__customer_id=customer_id).count()
    if not count:
        return []
    many = "s" if count > 1 else ""
    return [
        f"Kept: {count} invoice{many} with name and address, which VAT law wants for six years."
    ]
