"""Bells for drawing PDFs."""

from __future__ import annotations

import logging

from celery import shared_task

from jobs.attachments.queries import read_bytes
from jobs.attachments.rules import CheckedFile
from jobs.attachments.services import keep_file, keep_own_file
from jobs.kernel.clock import now
from jobs.kernel.taskrun import recorded
from quotes.documents import queries, services
from quotes.documents.documents import draw, draw_pictures
from quotes.documents.models import Rendering
from quotes.documents.rules import Picture, file_name
from quotes.quoting.models import Revision
from quotes.quoting.queries import sheet_of

log = logging.getLogger(__name__)


def render_one(rendering_id: int) -> bool:
    """Draw one PDF, unless another worker has it; the drawing itself is outside any transaction."""
    row = services.claim_rendering(rendering_id=rendering_id, at=now())
    if row is None:
        return False
    revision = Revision.objects.with_job().select_related("survey").get(pk=row.revision_id)
    sheet = sheet_of(revision)
    try:
        drawn = draw(sheet)
        kept = keep_file(data=drawn.data, name=file_name(sheet))
    except Exception as error:  # a person sees the row; the worker goes on with the next
        log.exception("The PDF of revision %s could not be drawn.", row.revision_id)
        services.fail_rendering(
            rendering_id=rendering_id, error=f"{type(error).__name__}: {error}", at=now()
        )
        return False
    services.keep_rendering(rendering_id=rendering_id, kept=kept, pages=drawn.pages, at=now())
    picture_one(rendering_id)
    return True


def picture_one(rendering_id: int) -> int:
    """Draw the pages of a PDF that is ready as pictures; returns how many were kept.

    They are only a preview: where they cannot be drawn the PDF stands, the sweep tries again a few
    times, and then a person may ask.
    """
    row = services.claim_pictures(rendering_id=rendering_id, at=now())
    if row is None:
        return 0
    try:
        kept = _pages_of(row)
    except Exception as error:  # the PDF itself is there; the worker goes on
        log.exception("The pages of rendering %s could not be drawn.", rendering_id)
        services.fail_pictures(
            rendering_id=rendering_id, error=f"{type(error).__name__}: {error}"
        )  # fmt: skip
        return 0
    return services.keep_pictures(rendering_id=rendering_id, kept=kept, at=now())


def _pages_of(row: Rendering) -> list[tuple[Picture, CheckedFile]]:
    pdf = queries.pdf_drawn(row)
    if pdf is None:
        raise LookupError("The PDF itself is not kept any more.")
    stem = pdf.name.removesuffix(".pdf")
    return [
        (each, keep_own_file(CheckedFile(f"{stem} page {each.number}.png", "image/png", each.data)))
        for each in draw_pictures(read_bytes(pdf))
    ]


@shared_task(name="quotes.documents.render")
def render(rendering_id: int) -> None:
    """Draw one PDF that was asked for."""
    render_one(rendering_id)


@shared_task(name="quotes.documents.pictures")
def pictures(rendering_id: int) -> None:
    """Draw the pages of one PDF as pictures."""
    picture_one(rendering_id)


@shared_task(name="quotes.documents.draw_sent")
def draw_sent(revision_id: int) -> None:
    """Ask for the PDF of a revision that was sent, and draw it."""
    row = services.ask_rendering(revision_id=revision_id, at=now())
    render_one(row.pk)


@shared_task(name="quotes.documents.sweep")
def sweep() -> None:
    """Find the PDFs whose bell was lost, those that a stopped worker left, and pages undrawn."""
    with recorded("quotes.documents.sweep") as say:
        for revision_id in queries.sent_without_drawing():
            services.ask_rendering(revision_id=revision_id, at=now())
        drawn = sum(render_one(pk) for pk in queries.due_renderings(now()))
        pictured = [picture_one(pk) for pk in queries.pictures_due(now())]
        again = f", pages of {sum(map(bool, pictured))} of {len(pictured)}" if pictured else ""
        say(f"{drawn} drawn{again}")
