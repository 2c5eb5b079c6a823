"""A posting on its way: what was asked, and what is refused before it is written."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from jobs.kernel.errors import ServiceError
from stock.catalogue.enums import PlaceKind
from stock.catalogue.models import Place
from stock.ledger.enums import LotStatus, PostingKind
from stock.ledger.models import Balance, Lot, Posting
from stock.ledger.rules import ends_fit, pack_words


@dataclass(frozen=True)
class Row:
    """So many base units of one lot from one place to another."""

    lot_id: int
    quantity: int
    from_place_id: int
    to_place_id: int


@dataclass
class Draft:
    """A posting on its way: what was asked, with the locked lots and the places."""

    kind: str
    rows: list[Row]
    job_id: int | None
    day: date
    reverses: Posting | None
    lots: dict[int, Lot]
    places: dict[int, Place]


def check_rows(draft: Draft) -> None:
    """Refuse rows that go nowhere, between wrong places, or use what may not be used."""
    if not draft.rows:
        raise ServiceError("There is nothing to book.", code="empty")
    needs_job = draft.kind in {PostingKind.ISSUE, PostingKind.RETURN, PostingKind.LAY}
    if needs_job and draft.job_id is None:
        raise ServiceError("Say for which job.", code="job")
    for row in draft.rows:
        lot = draft.lots[row.lot_id]
        start, end = draft.places.get(row.from_place_id), draft.places.get(row.to_place_id)
        if start is None or end is None:
            raise ServiceError("One of these places is not in the book.", code="place")
        if row.quantity <= 0:
            raise ServiceError(f"How much of {lot.code} moves must be more than 0.", code="none")
        counter = draft.reverses is not None
        if start == end or not ends_fit(draft.kind, start.kind, end.kind, counter=counter):
            raise ServiceError(
                f"{PostingKind(draft.kind).label.capitalize()} does not go from {start} to {end}.",
                code="ends",
            )
        for spot in (start, end):
            if needs_job and spot.kind == PlaceKind.SITE and spot.job_id != draft.job_id:
                raise ServiceError(f"{spot} is another job's site.", code="site")
        if draft.kind == PostingKind.ISSUE and draft.reverses is None:
            check_usable(lot, draft.day)


def check_usable(lot: Lot, day: date) -> None:
    """Refuse to issue a lot that is held or past its date; the day printed on it is still good."""
    if lot.status == LotStatus.HELD:
        raise ServiceError(
            f"{lot.code} is held: {lot.held_reason}. Release it or take another lot.", code="held"
        )
    if lot.expiry is not None and lot.expiry < day:
        raise ServiceError(
            f"{lot.code} was to be used by {lot.expiry:%d %b %Y} and cannot be issued on "
            f"{day:%d %b %Y}. Reserve again to get another lot.",
            code="out_of_date",
        )


def ends_of(row: Row) -> tuple[tuple[int, int], tuple[int, int]]:
    """Return the places of a row with what each gains."""
    return (row.from_place_id, -row.quantity), (row.to_place_id, row.quantity)


def check_left(draft: Draft, touched: Mapping[tuple[int, int], Balance]) -> None:
    """Refuse to leave less than nothing in a place, or less on hand than is reserved."""
    for (lot_id, place_id), balance in touched.items():
        if balance.quantity < 0:
            refuse_short(draft, lot_id, place_id, balance.quantity)
    for lot in draft.lots.values():
        if lot.on_hand < lot.reserved:
            missing = words(lot, lot.reserved - lot.on_hand)
            raise ServiceError(
                f"{missing} of {lot.code} would be missing from what is reserved for jobs. "
                "Release the reservation first.",
                code="reserved",
            )


def refuse_short(draft: Draft, lot_id: int, place_id: int, left: int) -> None:
    """Say that a place holds less than was asked for."""
    lot = draft.lots[lot_id]
    asked = sum(
        row.quantity for row in draft.rows if row.lot_id == lot_id and row.from_place_id == place_id
    )
    raise ServiceError(
        f"{words(lot, max(asked + left, 0))} of {lot.code} {'lies' if asked + left == 1 else 'lie'}"
        f" in {draft.places[place_id]}; {words(lot, asked)} cannot leave it.",
        code="short",
    )


def words(lot: Lot, quantity: int) -> str:
    """Write a quantity of a lot in its packs."""
    return pack_words(quantity, lot.item.pack_quantity, lot.item.pack_name)
