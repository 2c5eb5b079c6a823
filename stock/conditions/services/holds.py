"""Holding a lot, or part of it, for what somebody saw: with the cause, words and photos."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction

from jobs.attachments.rules import CheckedFile
from jobs.attachments.services import keep_file, post_attachment
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import claim_key, finish_key
from stock.catalogue.models import Place
from stock.conditions.enums import HoldCause
from stock.ledger.models import Lot
from stock.ledger.services import lock_lots, post_hold, post_split

PERMISSION = "jobs.view_yard"
KIND = "stock.conditions.hold"


def hold_with_photos(
    *, lot_id: int, cause: str, words: str, place: Place | None, quantity: int | None,
    files: Sequence[tuple[str, bytes]], key: UUID, by: Any, at: datetime,
) -> Lot:  # fmt: skip
    """Hold a lot, or `quantity` of it in `place` as a lot of its own, with photos (name, bytes).

    The photos are looked into and written before the transaction; one that is refused holds
    nothing. The same key again returns the lot that was held.
    """
    kept = [keep_file(data=data, name=name) for name, data in files]
    return post_hold_with_photos(
        lot_id=lot_id, cause=HoldCause(cause), words=" ".join(words.split()), place=place,
        quantity=quantity, kept=kept, key=key, by=by, at=at,
    )  # fmt: skip


@transaction.atomic(durable=True)
def post_hold_with_photos(
    *, lot_id: int, cause: HoldCause, words: str, place: Place | None, quantity: int | None,
    kept: Sequence[CheckedFile], key: UUID, by: Any, at: datetime,
) -> Lot:  # fmt: skip
    """Write the hold and its photos together."""
    inputs = {
        "lot": lot_id, "cause": cause.value, "words": words, "quantity": quantity,
        "place": place.pk if place else None, "photos": [file.digest for file in kept],
    }  # fmt: skip
    done = claim_key(key=key, kind=KIND, inputs=inputs, at=at)
    if done is not None:
        return Lot.objects.get(pk=int(done.result or 0))
    if cause == HoldCause.OTHER and not words:
        raise ServiceError("Say what was seen.", field="words")
    reason = cause.label + (f": {words}" if words else "")
    if quantity is not None and place is not None:
        lot = post_split(
            lot_id=lot_id, quantity=quantity, place=place, held_reason=reason[:200],
            day=london_day(at), key=uuid5(key, "split"), by=by, at=at,
        )  # fmt: skip
    else:
        lot = post_hold(lot=lock_lots({lot_id})[lot_id], reason=reason, by=by, at=at)
    post_photos(lot, kept, caption=reason, by=by, at=at)
    finish_key(key=key, result=lot.pk)
    return lot


def post_photos(
    lot: Lot, kept: Sequence[CheckedFile], *, caption: str, by: Any, at: datetime
) -> None:  # fmt: skip
    """Attach kept photos to a lot, each once."""
    for file in {one.digest: one for one in kept}.values():
        post_attachment(
            kept=file, about=lot, permission=PERMISSION, caption=caption, by=by, at=at
        )  # fmt: skip
