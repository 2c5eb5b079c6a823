"""Inside the yard: waste, transfer and count."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction

from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO, round_line
from jobs.kernel.posting import assert_in_transaction
from stock.allocation.services import post_free
from stock.catalogue.enums import PlaceKind
from stock.catalogue.models import Place
from stock.ledger.enums import PostingKind
from stock.ledger.models import Balance, Lot, Posting
from stock.ledger.queries import find_posting, place
from stock.ledger.rules import COUNTED, YARD
from stock.ledger.services import Row, lock_lots, post_free_kept, post_movements, words
from stock.movements.rules import COUNT_LIMIT


@transaction.atomic(durable=True)
def waste_stock(
    *, lot_id: int, place_id: int, quantity: int, reason: str, key: UUID, day: date, by: Any,
    at: datetime,
) -> Posting:  # fmt: skip
    """Book part of a lot as waste, with the reason; see `post_waste`."""
    return post_waste(
        lot_id=lot_id, place_id=place_id, quantity=quantity, reason=reason, key=key, day=day,
        by=by, at=at,
    )  # fmt: skip


def post_waste(
    *, lot_id: int, place_id: int, quantity: int, reason: str, key: UUID, day: date, by: Any,
    at: datetime,
) -> Posting:  # fmt: skip
    """Book waste from a bay, van or site, in the caller's transaction.

    What was issued stays on its job; what lay in the yard is the yard's loss. Reservations that
    rested on it are freed, the last made first.
    """
    assert_in_transaction()
    if not reason.strip():
        raise ServiceError("Say why it is waste and where it went.", field="reason")
    spot = Place.objects.get(pk=place_id)
    inputs = {"lot": lot_id, "place": place_id, "quantity": quantity}
    lot = lock_lots({lot_id})[lot_id]
    done = find_posting(key=key, kind=PostingKind.WASTE, inputs=inputs)
    if done is not None:
        return done
    if spot.kind in YARD:
        free_for(lot, quantity, by=by, at=at, reason=f"wasted: {reason.strip()}")
    return post_movements(
        key=key, kind=PostingKind.WASTE, day=day, by=by, at=at, inputs=inputs,
        rows=[Row(lot_id, quantity, place_id, place(PlaceKind.WASTE).pk)], job_id=spot.job_id,
        reason=reason.strip()[:200],
    )  # fmt: skip


def free_for(lot: Lot, leaving: int, *, by: Any, at: datetime, reason: str) -> None:
    """Free what is reserved of a locked lot beyond what stays when so much leaves.

    What is kept back for call-backs gives way first.
    """
    over = lot.reserved - (lot.on_hand - leaving)
    if over > 0:
        over -= post_free_kept(lot=lot, quantity=over, by=by, at=at, reason=reason)
    if over > 0:
        post_free(lot=lot, quantity=over, by=by, at=at, reason=reason)


@transaction.atomic(durable=True)
def transfer_stock(
    *, lot_id: int, from_place_id: int, to_place_id: int, quantity: int, key: UUID, day: date,
    by: Any, at: datetime,
) -> Posting:  # fmt: skip
    """Move part of a lot between bays and vans."""
    return post_movements(
        key=key, kind=PostingKind.TRANSFER, day=day, by=by, at=at,
        rows=[Row(lot_id, quantity, from_place_id, to_place_id)],
    )  # fmt: skip


# -- count ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Difference:
    """A lot of which more or less was counted than the book holds."""

    lot: Lot
    booked: int
    counted: int

    @property
    def change(self) -> int:
        """What the count adds (or takes away)."""
        return self.counted - self.booked

    @property
    def value(self) -> Decimal:
        """The worth of the difference at the lot's cost, without sign."""
        return round_line(abs(self.change) * self.lot.cost / self.lot.received)


@dataclass(frozen=True)
class CountResult:
    """What a count found; no posting where it agrees with the book."""

    posting: Posting | None
    differences: list[Difference]


@transaction.atomic(durable=True)
def count_place(
    *, place_id: int, counted: Mapping[int, int], key: UUID, by: Any, at: datetime,
    may_approve: bool = False, lock: bool = True,
) -> CountResult:  # fmt: skip
    """Book a count of a place: what was seen of each lot, given blind, in base units.

    Lots that are not given stay as they are. Differences worth more than COUNT_LIMIT together need
    one who may approve them. Reservations that rested on what is missing are freed.
    """
    spot = Place.objects.filter(pk=place_id, kind__in=COUNTED).first()
    if spot is None:
        raise ServiceError("Bays, vans and sites are counted; this place is not.", code="place")
    if any(quantity < 0 for quantity in counted.values()):
        raise ServiceError("A count is 0 or more.", code="negative")
    lots = lock_lots(set(counted), lock=lock)
    inputs = {"place": place_id, "counted": sorted(counted.items())}
    done = find_posting(key=key, kind=PostingKind.COUNT, inputs=inputs)
    if done is not None:
        return CountResult(done, [])
    booked = dict(
        Balance.objects.filter(place=spot, lot_id__in=counted).values_list("lot_id", "quantity")
    )
    differences = [
        Difference(lots[pk], booked.get(pk, 0), quantity)
        for pk, quantity in sorted(counted.items())
        if quantity != booked.get(pk, 0)
    ]
    if not differences:
        return CountResult(None, [])
    worth = sum((row.value for row in differences), ZERO)
    if worth > COUNT_LIMIT and not may_approve:
        named = ", ".join(row.lot.code for row in differences[:5])
        raise ServiceError(
            f"The count differs from the book by £{worth} ({named}). Above £{COUNT_LIMIT} somebody "
            "who may approve counts must book it: count again, then call him.",
            code="approve",
        )
    posting = post_count(spot, differences, key=key, inputs=inputs, by=by, at=at)
    return CountResult(posting, differences)


def post_count(
    spot: Place, differences: list[Difference], *, key: UUID, inputs: Mapping[str, object], by: Any,
    at: datetime,
) -> Posting:  # fmt: skip
    """Book the differences of a count against the place for count differences."""
    adjustment = place(PlaceKind.ADJUSTMENT)
    rows = []
    for row in differences:
        if row.change > 0:
            rows.append(Row(row.lot.pk, row.change, adjustment.pk, spot.pk))
            continue
        rows.append(Row(row.lot.pk, -row.change, spot.pk, adjustment.pk))
        if spot.kind in YARD:
            free_for(
                row.lot, -row.change, by=by, at=at, reason=f"not found when {spot} was counted"
            )
    found = [f"{row.lot.code} {words(row.lot, row.counted)}" for row in differences]
    return post_movements(
        key=key, kind=PostingKind.COUNT, rows=rows, day=london_day(at), by=by, at=at, inputs=inputs,
        reason=f"counted {spot}: {', '.join(found)}"[:200], job_id=spot.job_id,
    )  # fmt: skip
