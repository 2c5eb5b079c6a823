"""Bells for drawing the PDFs of invoices."""

from __future__ import annotations

import logging

from celery import shared_task

from jobs.attachments.services import keep_file
from jobs.billing import services
from jobs.billing.documents import draw as draw_sheet
from jobs.billing.queries import due_papers, sheet_of
from jobs.kernel.clock import now
from jobs.kernel.taskrun import recorded

log = logging.getLogger(__name__)
# A backlog is worked off in parts, so that nobody's quote waits behind it.
MOST_A_SWEEP = 10


def draw_one(paper_id: int) -> bool:
    """Draw one PDF, unless another worker has it; the drawing itself is outside any transaction."""
    paper = services.claim_paper(paper_id=paper_id, at=now())
    if paper is None:
        return False
    sheet = sheet_of(paper.invoice)
    try:
        drawn = draw_sheet(sheet)
        kept = keep_file(data=drawn.data, name=f"{sheet.number}.pdf")
    except Exception as error:  # a person sees the row; the worker goes on with the next
        log.exception("The PDF of %s could not be drawn.", sheet.number)
        services.fail_paper(paper_id=paper_id, error=f"{type(error).__name__}: {error}", at=now())
        return False
    services.keep_paper(paper_id=paper_id, kept=kept, pages=drawn.pages, at=now())
    return True


@shared_task(name="jobs.billing.draw")
def draw(paper_id: int) -> None:
    """Draw the PDF of one invoice that was issued."""
    draw_one(paper_id)


@shared_task(name="jobs.billing.sweep")
def sweep() -> None:
    """Find the PDFs whose bell was lost, and those that a stopped worker left."""
    with recorded("jobs.billing.sweep") as say:
        drawn = sum(draw_one(pk) for pk in due_papers(now())[:MOST_A_SWEEP])
        say(f"{drawn} drawn")
