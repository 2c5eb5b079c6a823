"""Holding all that is left of a lot, run or batch at once."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction

from jobs.kernel.errors import ServiceError
from stock.ledger.enums import LotStatus
from stock.ledger.models import Lot
from stock.ledger.services import lock_lots, post_hold
from stock.tracing.queries import lots_like, subject_words


@transaction.atomic(durable=True)
def hold_like(*, lot_id: int, share: str, reason: str, by: Any, at: datetime) -> list[Lot]:
    """Hold every lot of a lot's run or batch of which something is left; return those held now.

    What is held already keeps its reason; what lies at sites is held too, so that no crew lays it.
    Refused where nothing is left to hold.
    """
    lot = Lot.objects.select_related("item").filter(pk=lot_id).first()
    if lot is None:
        raise ServiceError("This lot is not in the book.", code="lot")
    reason = " ".join(reason.split())
    if not reason:
        raise ServiceError("Say why it is held.", field="reason")
    locked = lock_lots({one.pk for one in lots_like(lot, share)})
    fresh = [
        one
        for one in locked.values()
        if one.status != LotStatus.HELD and (one.on_hand or one.at_sites)
    ]
    if not fresh:
        raise ServiceError(
            f"Nothing of {subject_words(lot, share)} is left that is not held.", code="nothing"
        )
    for one in fresh:
        post_hold(lot=one, reason=reason, by=by, at=at)
    return fresh
