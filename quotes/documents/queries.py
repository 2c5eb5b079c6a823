"""Reads of drawings."""

from __future__ import annotations

from datetime import datetime

from jobs.attachments.models import Attachment
from quotes.documents.enums import RenderState
from quotes.documents.models import Rendering
from quotes.documents.rules import STUCK_AFTER
from quotes.quoting.models import Revision


def pdf_of(revision: Revision) -> Attachment | None:
    """Return the PDF of a revision that was sent, or None while it is not drawn."""
    if revision.pdf_uid is None:
        return None
    return Attachment.objects.filter(uid=revision.pdf_uid, removed_at=None).first()


def due_renderings(at: datetime) -> list[int]:
    """Return what waits to be drawn, and what a worker that stopped has left, oldest first."""
    due = Rendering.objects.filter(state=RenderState.DUE)
    stuck = Rendering.objects.filter(
        state=RenderState.RENDERING, claimed_at__lt=at - STUCK_AFTER
    )  # fmt: skip
    return list((due | stuck).order_by("asked_at").values_list("pk", flat=True))


def sent_without_drawing() -> list[int]:
    """Return the sent revisions whose PDF nobody has asked for: their bell was lost."""
    rows = Revision.objects.filter(state="sent", pdf_uid=None, renderings=None)
    return list(rows.order_by("sent_at").values_list("pk", flat=True))
