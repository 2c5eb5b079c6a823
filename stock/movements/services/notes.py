"""Waste leaves the yard with its note."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from jobs.attachments.rules import CheckedFile
from jobs.attachments.services import keep_file, post_attachment
from jobs.audit.services import post_event
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import KeyUsedError
from stock.ledger.models import Posting
from stock.movements.models import WasteNote, WasteNoteLine
from stock.movements.queries import waste_without_note

SEEN_BY = "jobs.view_yard"


def record_note(*, files: Sequence[tuple[str, bytes]] = (), **values: Any) -> WasteNote:
    """Record a note with its paper (name, bytes); see `post_note`.

    Files are looked into and written first, so that one that is refused records nothing.
    """
    return post_note(kept=[keep_file(data=data, name=name) for name, data in files], **values)


@transaction.atomic(durable=True)
def post_note(
    *, posting_ids: Sequence[int], kind: str, number: str, carrier: str, registration: str,
    taken_to: str, taken_on: date, words: str, kept: Sequence[CheckedFile] = (), key: UUID,
    by: Any, at: datetime,
) -> WasteNote:  # fmt: skip
    """Record the note with which waste left: its number, carrier, registration and way.

    Each posting of waste goes with one note; undone ones and those that went already are refused.
    The same key returns the note that stands.
    """
    # long because: a note is all of what its paper says
    done = WasteNote.objects.filter(key=key).first()
    if done is not None:
        if done.number != number.strip():
            raise KeyUsedError("This page was sent before with another number. Open it again.")
        return done
    # The rows are written once; locking them keeps two notes apart.
    postings = list(
        Posting.objects.filter(pk__in=posting_ids).order_by("pk").select_for_update(no_key=True)
    )
    free = set(waste_without_note().filter(pk__in=posting_ids).values_list("pk", flat=True))
    if not postings or {row.pk for row in postings} != free or len(free) < len(set(posting_ids)):
        raise ServiceError(
            "Choose waste that was booked, not undone, and went with no note yet.",
            field="postings",
        )
    if taken_on > london_day(at):
        raise ServiceError("That day is still to come.", field="taken_on")
    note = WasteNote(
        key=key, kind=kind, number=number.strip(), carrier=carrier.strip(),
        registration=registration.strip(), taken_to=taken_to.strip(), taken_on=taken_on,
        words=words.strip(), by=by, at=at,
    )  # fmt: skip
    note.full_clean()
    note.save()
    WasteNoteLine.objects.bulk_create(WasteNoteLine(note=note, posting=row) for row in postings)
    for file in {one.digest: one for one in kept}.values():
        post_attachment(kept=file, about=note, permission=SEEN_BY, by=by, at=at)
    post_event(
        verb="stock.waste_note", subject=note, by=by, at=at,
        after={"carrier": note.carrier, "postings": [row.pk for row in postings]},
    )  # fmt: skip
    return note


@transaction.atomic(durable=True)
def void_note(*, note_id: int, reason: str, by: Any, at: datetime) -> WasteNote:
    """Void a note that was recorded by mistake; its waste waits for a note again."""
    note = WasteNote.objects.select_for_update(no_key=True).get(pk=note_id)
    reason = reason.strip()[:200]
    if not reason:
        raise ServiceError("Say why it is void.", field="reason")
    if note.voided_at is not None:
        return note
    postings = list(note.lines.values_list("posting_id", flat=True))
    note.lines.all().delete()
    note.voided_at, note.voided_because = at, reason
    note.save(update_fields=["voided_at", "voided_because"])
    post_event(
        verb="stock.void_waste_note", subject=note, by=by, at=at, reason=reason,
        before={"postings": postings},
    )  # fmt: skip
    return note
