"""Asking for a PDF, claiming the work, and keeping what was drawn."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import F, Q

from jobs.attachments.rules import CheckedFile
from jobs.attachments.services import post_attachment
from jobs.kernel.enqueue import enqueue
from quotes.documents import queries
from quotes.documents.enums import RenderState
from quotes.documents.models import PagePicture, Rendering
from quotes.documents.rules import STUCK_AFTER, Picture, digest_of_sheet
from quotes.quoting.models import Revision
from quotes.quoting.queries import sheet_of

RENDER_TASK = "quotes.documents.render"
PICTURES_TASK = "quotes.documents.pictures"
# Mails the link once the PDF of a sent revision is kept.
DELIVER_TASK = "quotes.acceptance.deliver"
# Held by those who write, send or cost quotes, and by nobody else.
SEE = "jobs.see_billing"


@transaction.atomic(durable=True)
def ask_rendering(*, revision_id: int, at: datetime, by: Any = None) -> Rendering:
    """Ask for the PDF of a revision as it stands; the same state of it is drawn once.

    A drawing that failed is tried again, and pictures of its pages are.
    """
    del by
    revision = Revision.objects.with_job().select_related("survey").get(pk=revision_id)
    row, made = Rendering.objects.get_or_create(
        revision=revision,
        inputs_digest=digest_of_sheet(sheet_of(revision)),
        defaults={"asked_at": at},
    )
    if not made and row.state == RenderState.FAILED:
        row.state, row.error, row.asked_at = RenderState.DUE, "", at
        row.save(update_fields=["state", "error", "asked_at"])
    if row.state == RenderState.DUE:
        enqueue(RENDER_TASK, row.pk)
    elif row.state == RenderState.READY and not row.pictures.exists():
        row.pictures_tries, row.pictures_tried_at, row.pictures_error = 0, None, ""
        row.save(update_fields=["pictures_tries", "pictures_tried_at", "pictures_error"])
        enqueue(PICTURES_TASK, row.pk)
    return row


def claim_rendering(*, rendering_id: int, at: datetime) -> Rendering | None:
    """Claim a drawing for this worker; None where another has it or it is done."""
    free = Q(state=RenderState.DUE) | Q(
        state=RenderState.RENDERING, claimed_at__lt=at - STUCK_AFTER
    )
    mine = Rendering.objects.filter(free, pk=rendering_id).update(
        state=RenderState.RENDERING, claimed_at=at
    )
    return Rendering.objects.get(pk=rendering_id) if mine else None


@transaction.atomic(durable=True)
def keep_rendering(
    *, rendering_id: int, kept: CheckedFile, pages: int, at: datetime
) -> Rendering:  # fmt: skip
    """Record the PDF that was drawn; that of a sent revision becomes its own, with its hash.

    A second worker that drew the same finds it done and changes nothing.
    """
    row = Rendering.objects.select_for_update(no_key=True).get(pk=rendering_id)
    if row.state == RenderState.READY:
        return row
    revision = Revision.objects.select_for_update(no_key=True, of=("self",)).get(
        pk=row.revision_id
    )  # fmt: skip
    attachment = post_attachment(
        kept=kept, about=revision, permission=SEE, caption="the quote", by=None, at=at
    )
    row.state, row.finished_at, row.pages = RenderState.READY, at, pages
    row.attachment_uid, row.error = attachment.uid, ""
    row.save()
    frozen = not revision.is_draft
    if frozen and revision.pdf_uid is None and row.inputs_digest == _digest(revision):
        revision.pdf_uid, revision.pdf_digest = attachment.uid, attachment.digest
        revision.save(update_fields=["pdf_uid", "pdf_digest"])
        enqueue(DELIVER_TASK, revision.pk)
    return row


def claim_pictures(*, rendering_id: int, at: datetime) -> Rendering | None:
    """Claim the drawing of a PDF's pages; None where another has it, or it was tried enough."""
    mine = queries.free_for_pictures(at).filter(pk=rendering_id).values("pk")
    claimed = Rendering.objects.filter(pk__in=mine).update(
        pictures_tried_at=at, pictures_tries=F("pictures_tries") + 1
    )
    return Rendering.objects.get(pk=rendering_id) if claimed else None


@transaction.atomic(durable=True)
def fail_pictures(*, rendering_id: int, error: str) -> None:
    """Record why the pages could not be drawn; it is tried again until it was tried enough."""
    Rendering.objects.filter(pk=rendering_id, pictures=None).update(pictures_error=error[:300])


@transaction.atomic(durable=True)
def keep_pictures(
    *, rendering_id: int, kept: Sequence[tuple[Picture, CheckedFile]], at: datetime
) -> int:
    """Record the pages of a drawn PDF as pictures, once; returns how many are new."""
    row = Rendering.objects.select_for_update(no_key=True).get(pk=rendering_id)
    if row.state != RenderState.READY or row.pictures.exists():
        return 0
    for picture, file in kept:
        attachment = post_attachment(
            kept=file, about=row, permission=SEE, caption=f"page {picture.number}", by=None, at=at
        )
        PagePicture.objects.create(
            rendering=row, number=picture.number, attachment_uid=attachment.uid,
            width=picture.width, height=picture.height,
        )  # fmt: skip
    row.pictures_error = ""
    row.save(update_fields=["pictures_error"])
    return len(kept)


def _digest(revision: Revision) -> str:
    return digest_of_sheet(sheet_of(revision))


@transaction.atomic(durable=True)
def fail_rendering(*, rendering_id: int, error: str, at: datetime) -> None:
    """Record that it could not be drawn; a person sees it and may ask again."""
    Rendering.objects.filter(pk=rendering_id, state=RenderState.RENDERING).update(
        state=RenderState.FAILED, finished_at=at, error=error[:300]
    )
