"""The statement of payment and deduction as PDF, drawn from a plain sheet, no rows."""

from __future__ import annotations

from django.template.loader import render_to_string

from jobs.kernel.papers import Paper, draw_paper, letter_style
from jobs.subcontract.rules import Statement


def html_of(statement: Statement) -> str:
    """Return the PDF's HTML; what people typed is escaped."""
    return render_to_string("jobs/subcontract/documents/statement.html", {"statement": statement})


def draw(statement: Statement) -> Paper:
    """Draw a statement."""
    return draw_paper(html_of(statement), letter_style())
