"""Reads of drawings."""

from __future__ import annotations

from datetime import datetime

from django.db.models import Q, QuerySet

from jobs.attachments.models import Attachment
from quotes.documents.enums import RenderState
from quotes.documents.models import Rendering
from quotes.documents.rules import (
    PICTURE_TRIES,
    PICTURES_A_SWEEP,
    STUCK_AFTER,
    Version,
    blends_in_words,
)
from quotes.engine.version import ENGINE_VERSION
from quotes.quoting.models import Quote, Revision
from quotes.quoting.queries import sheet_of
from quotes.takeoff.queries import take_off


def pdf_of(revision: Revision) -> Attachment | None:
    """Return the PDF of a revision that was sent, or None while it is not drawn."""
    if revision.pdf_uid is None:
        return None
    return Attachment.objects.filter(uid=revision.pdf_uid, removed_at=None).first()


def pdf_drawn(row: Rendering) -> Attachment | None:
    """Return the PDF of a drawing that is ready, None while it is not."""
    if row.state != RenderState.READY or row.attachment_uid is None:
        return None
    return Attachment.objects.filter(uid=row.attachment_uid, removed_at=None).first()


def newest_ready(revision: Revision) -> Rendering | None:
    """Return the drawing of a revision that its page leads to: its own PDF's, else the latest."""
    ready = revision.renderings.filter(state=RenderState.READY)
    own = ready.filter(attachment_uid=revision.pdf_uid) if revision.pdf_uid else ready
    return own.order_by("-asked_at", "-pk").first()


def versions(quote: Quote) -> list[Revision]:
    """Return all revisions of a quote, the first first."""
    rows = Revision.objects.with_job().select_related("survey").filter(quote=quote)
    return list(rows.order_by("number"))


def version_of(revision: Revision, *, sees_margin: bool) -> Version:
    """Return a revision as it is compared: frozen once sent, worked out afresh for a draft."""
    if revision.snapshot and not revision.is_draft:
        document, engine = revision.snapshot["document"], revision.engine_version
    else:
        document, engine = take_off(revision.survey).document, ENGINE_VERSION
    costs: dict[str, object] = {}
    if sees_margin:
        costs = {
            "direct cost": revision.direct, "overhead": revision.overhead,
            "floor": revision.floor, "margin": revision.net - revision.floor,
        }  # fmt: skip
    return Version(
        number=revision.number, state=revision.get_state_display(), sheet=sheet_of(revision),
        blends=blends_in_words(document), engine=engine, costs=costs,
    )  # fmt: skip


def due_renderings(at: datetime) -> list[int]:
    """Return what waits to be drawn, and what a worker that stopped has left, oldest first."""
    due = Rendering.objects.filter(state=RenderState.DUE)
    stuck = Rendering.objects.filter(
        state=RenderState.RENDERING, claimed_at__lt=at - STUCK_AFTER
    )  # fmt: skip
    return list((due | stuck).order_by("asked_at").values_list("pk", flat=True))


def failed_of_sent() -> list[Rendering]:
    """Return the drawings that failed of revisions that were sent and wait for their PDF."""
    rows = Rendering.objects.filter(
        state=RenderState.FAILED, revision__state="sent", revision__pdf_uid=None
    )
    found = rows.select_related("revision__quote__job").order_by("finished_at", "pk")
    return list(found.defer("revision__snapshot", "revision__terms"))


def free_for_pictures(at: datetime) -> QuerySet[Rendering]:
    """Return the ready PDFs without pictures of which a worker may try to draw the pages now."""
    rows = Rendering.objects.filter(
        state=RenderState.READY, pictures=None, pictures_tries__lt=PICTURE_TRIES
    )
    return rows.filter(
        Q(pictures_tried_at=None) | Q(pictures_tried_at__lt=at - STUCK_AFTER)
    )  # fmt: skip


def pictures_due(at: datetime) -> list[int]:
    """Return the PDFs whose pages are to be drawn: those whose bell was lost or whose try failed.

    Each is tried `PICTURE_TRIES` times by itself, some minutes apart; the newest come first.
    """
    rows = free_for_pictures(at).order_by("-asked_at", "-pk")
    return list(rows.values_list("pk", flat=True)[:PICTURES_A_SWEEP])


def sent_without_drawing() -> list[int]:
    """Return the sent revisions whose PDF nobody has asked for: their bell was lost."""
    rows = Revision.objects.filter(state="sent", pdf_uid=None, renderings=None)
    return list(rows.order_by("sent_at").values_list("pk", flat=True))
