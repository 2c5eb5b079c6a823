"""Bells for drawing and mailing variations."""

from __future__ import annotations

import logging

from celery import shared_task

from jobs.attachments.services import keep_file
from jobs.kernel.clock import now
from jobs.kernel.taskrun import recorded
from quotes.variations import queries, services
from quotes.variations.documents import draw as draw_sheet
from quotes.variations.documents import file_name

log = logging.getLogger(__name__)


def draw_one(variation_id: int) -> bool:
    """Draw one PDF, unless another worker has it; the drawing itself is outside any transaction."""
    variation = services.claim_drawing(variation_id=variation_id, at=now())
    if variation is None:
        return False
    sheet = queries.sheet_of(variation, now())
    try:
        kept = keep_file(data=draw_sheet(sheet).data, name=file_name(sheet))
    except Exception as error:  # a person sees the row; the worker goes on with the next
        log.exception("The PDF of variation %s could not be drawn.", variation_id)
        services.fail_drawing(
            variation_id=variation_id, error=f"{type(error).__name__}: {error}", at=now()
        )
        return False
    services.keep_pdf(variation_id=variation_id, kept=kept, at=now())
    return True


@shared_task(name="quotes.variations.draw")
def draw(variation_id: int) -> None:
    """Draw the PDF of one variation that was sent."""
    draw_one(variation_id)


@shared_task(name="quotes.variations.deliver")
def deliver(variation_id: int) -> None:
    """Mail one sent variation, unless it was mailed or is not ready."""
    services.deliver_variation(variation_id=variation_id, at=now())


@shared_task(name="quotes.variations.sweep")
def sweep() -> None:
    """Find the variations whose bell was lost, and those that a stopped worker left."""
    with recorded("quotes.variations.sweep") as say:
        drawn = sum(draw_one(pk) for pk in queries.to_draw(now()))
        mailed = [
            services.deliver_variation(variation_id=pk, at=now()) for pk in queries.to_deliver()
        ]
        say(f"{drawn} drawn, {sum(link is not None for link in mailed)} mailed")
