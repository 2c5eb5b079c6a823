"""The PDF of an invoice: drawn from a plain sheet, no rows."""

from __future__ import annotations

from django.template.loader import render_to_string

from jobs.billing.queries import how_to_pay
from jobs.billing.rules import InvoiceSheet
from jobs.kernel.papers import Paper, draw_paper, letter_style


def html_of(sheet: InvoiceSheet) -> str:
    """Return the PDF's HTML; what people typed is escaped."""
    context = {"sheet": sheet, "how_to_pay": how_to_pay()}
    return render_to_string("jobs/billing/documents/invoice.html", context)


def draw(sheet: InvoiceSheet) -> Paper:
    """Draw an invoice."""
    return draw_paper(html_of(sheet), letter_style())
