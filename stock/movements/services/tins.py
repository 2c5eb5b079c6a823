"""Orphan tins: a part without its other one is no kit; two that fit make one again."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction
from django.db.models import QuerySet

from jobs.audit.models import Event
from jobs.audit.services import post_event
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO
from jobs.kernel.posting import KeyUsedError, assert_in_transaction
from stock.catalogue.enums import ItemKind
from stock.catalogue.models import Item, Place
from stock.ledger.enums import PostingKind
from stock.ledger.models import Balance, Lot, Posting
from stock.ledger.rules import YARD
from stock.ledger.services import lock_lots, post_lot
from stock.movements.enums import Part
from stock.movements.models import Tin
from stock.movements.services.yard import post_waste


@transaction.atomic(durable=True)
def keep_tin(
    *, lot_id: int, place_id: int, part: str, count: int, why: str, key: UUID, by: Any, at: datetime
) -> Tin:
    """Break up so many kits of which one part cannot be used, and keep the other part's tins.

    The kits are waste, with the reason; the tins cost nothing any more. The same key keeps once.
    """
    done = find_tin(key, part, count)
    if done is not None:
        return done
    lot = lock_lots({lot_id})[lot_id]
    if lot.item.kind != ItemKind.KIT:
        raise ServiceError(f"{lot.code} is no kit; only a kit has two parts.", code="kind")
    other = Part.B if part == Part.A else Part.A
    post_waste(
        lot_id=lot_id, place_id=place_id, quantity=count, key=uuid5(key, "kits"),
        reason=f"part {other} cannot be used: {why.strip()}; part {part} kept" if why.strip()
        else "", day=london_day(at), by=by, at=at,
    )  # fmt: skip
    batch, expiry = (lot.batch_a, lot.expiry_a) if part == Part.A else (lot.batch_b, lot.expiry_b)
    return post_tin(
        item=lot.item, part=part, batch=batch, expiry=expiry, place_id=place_id, count=count,
        why=why, lot=lot, key=key, by=by, at=at,
    )  # fmt: skip


@transaction.atomic(durable=True)
def add_tin(
    *, item_id: int, part: str, batch: str, expiry: date | None, place_id: int, count: int,
    why: str, key: UUID, by: Any, at: datetime,
) -> Tin:  # fmt: skip
    """Note tins that came without their other part; they count as no kit."""
    done = find_tin(key, part, count)
    if done is not None:
        return done
    item = Item.objects.get(pk=item_id)
    if item.kind != ItemKind.KIT:
        raise ServiceError(f"{item} is no kit; only a kit has two parts.", field="item")
    return post_tin(
        item=item, part=part, batch=batch, expiry=expiry, place_id=place_id, count=count, why=why,
        lot=None, key=key, by=by, at=at,
    )  # fmt: skip


def find_tin(key: UUID, part: str, count: int) -> Tin | None:
    """Return the tins that this key made; with other figures it raises KeyUsedError."""
    done = Tin.objects.filter(key=key).first()
    if done is not None and (done.part, done.count) != (part, count):
        raise KeyUsedError("This page was sent before with other figures. Open it again.")
    return done


def post_tin(
    *, item: Item, part: str, batch: str, expiry: date | None, place_id: int, count: int,
    why: str, lot: Lot | None, key: UUID, by: Any, at: datetime,
) -> Tin:  # fmt: skip
    """Write the tins and their event."""
    if not why.strip():
        raise ServiceError("Say why they have no other part.", field="why")
    tin = Tin(
        key=key, item=item, part=Part(part), batch=batch.strip(), expiry=expiry,
        place_id=place_id, count=count, left=count, why=why.strip()[:200], lot=lot, at=at, by=by,
    )  # fmt: skip
    tin.full_clean()
    tin.save()
    post_event(
        verb="stock.keep_tin", subject=tin, by=by, at=at, reason=tin.why, after={"count": count}
    )
    return tin


@transaction.atomic(durable=True)
def pair_tins(
    *, tin_id: int, other_id: int, count: int, place_id: int, key: UUID, by: Any, at: datetime
) -> Lot:
    """Make kits of tins of part A and part B of one item: a lot of its own, at no cost.

    Refused for tins of one part, of two items, past their date, and for more than there are. The
    data sheet says whether batches may be mixed; the lot carries both.
    """
    tins = {
        tin.part: tin
        for tin in Tin.objects.filter(pk__in=[tin_id, other_id])
        .select_related("item")
        .order_by("pk")
        .select_for_update(of=("self",), no_key=True)
    }
    standing = Lot.objects.filter(movements__posting__key=key).first()
    if standing is not None:
        return standing
    check_pair(tins, count, london_day(at))
    a, b = tins[Part.A], tins[Part.B]
    place = Place.objects.get(pk=place_id, kind__in=YARD)
    lot = post_lot(
        item=a.item, quantity=count, cost=ZERO, place=place, received_on=london_day(at), key=key,
        batch_a=a.batch, expiry_a=a.expiry, batch_b=b.batch, expiry_b=b.expiry, by=by, at=at,
    )  # fmt: skip
    for tin in (a, b):
        take_tins(tin, count, verb="stock.pair_tin", reason=paired_words(lot), by=by, at=at)
    return lot


def is_pairing(posting: Posting) -> bool:
    """Return whether a posting made kits of single tins."""
    if posting.kind != PostingKind.RECEIVE or posting.reverses_id is not None:
        return False
    return paired_tins(Lot.objects.get(movements__posting=posting)).exists()


def paired_tins(lot: Lot) -> QuerySet[Tin]:
    """Return the tins that a lot's kits were made of, by the words of their pairing."""
    events = Event.objects.filter(
        verb="stock.pair_tin", subject_type=Tin._meta.label_lower, reason=paired_words(lot)
    )
    return Tin.objects.filter(pk__in=events.values("subject_id")).order_by("pk")


def paired_words(lot: Lot) -> str:
    """Say which lot tins went into; `paired_tins` finds them by it."""
    return f"paired into {lot.code}"


def post_unpair(lot: Lot, posting: Posting, *, reason: str, by: Any, at: datetime) -> None:
    """Put the tins of a locked lot's kits back on the list; the caller counters its posting."""
    assert_in_transaction()
    spot = posting.movements.get()
    check_untouched(lot, spot.to_place_id, spot.quantity)
    for tin in paired_tins(lot).select_for_update(no_key=True):
        take_tins(tin, -spot.quantity, verb="stock.unpair_tin", reason=reason, by=by, at=at)


def post_kits_back(posting: Posting, lot_id: int, *, reason: str, by: Any, at: datetime) -> None:
    """Take the tins that were kept of broken-up kits off the list, since the kits are whole again.

    Does nothing for waste that broke up no kit. Refuses once a tin was paired or scrapped.
    """
    assert_in_transaction()
    for tin in Tin.objects.select_for_update(no_key=True).filter(lot_id=lot_id).order_by("pk"):
        if uuid5(tin.key, "kits") != posting.key:
            continue
        if tin.left < tin.count:
            raise ServiceError(
                f"{tin.count - tin.left} of the tins that were kept, {tin}, were paired or "
                "scrapped. Undo the pairing first.",
                code="moved",
            )
        take_tins(tin, tin.left, verb="stock.untake_tin", reason=reason, by=by, at=at)


def check_untouched(lot: Lot, place_id: int, quantity: int) -> None:
    """Refuse unless all of a locked lot lies where it came in, free and whole."""
    if lot.reserved:
        raise ServiceError(
            f"Some of {lot.code} is reserved or kept back. Release that first.", code="reserved"
        )
    there = Balance.objects.filter(lot=lot, place_id=place_id).values_list("quantity", flat=True)
    if sum(there) != quantity or lot.parts.exists():
        raise ServiceError(
            f"Something of {lot.code} has moved already: it was issued, moved, split, wasted or "
            "counted. Undo that first, or correct it by a count.",
            code="moved",
        )


def check_pair(tins: dict[str, Tin], count: int, today: date) -> None:
    """Refuse what makes no kit."""
    if set(tins) != {Part.A.value, Part.B.value}:
        raise ServiceError("A kit is made of a tin of part A and one of part B.", field="other")
    a, b = tins[Part.A], tins[Part.B]
    if a.item_id != b.item_id:
        raise ServiceError(f"{a.item} and {b.item} do not make a kit together.", field="other")
    for tin in (a, b):
        if not 0 < count <= tin.left:
            raise ServiceError(f"There are {tin.left} of {tin}.", field="count")
        if tin.expiry is None or tin.expiry < today:
            raise ServiceError(f"{tin} is past its date or has none. Scrap it.", code="date")


@transaction.atomic(durable=True)
def scrap_tin(*, tin_id: int, reason: str, by: Any, at: datetime) -> Tin:
    """Take the tins that are left off the list, with where they went."""
    tin = Tin.objects.select_for_update(no_key=True).get(pk=tin_id)
    if not reason.strip():
        raise ServiceError("Say why, and where it went.", field="reason")
    if tin.left:
        take_tins(tin, tin.left, verb="stock.scrap_tin", reason=reason.strip(), by=by, at=at)
    return tin


def take_tins(tin: Tin, count: int, *, verb: str, reason: str, by: Any, at: datetime) -> None:
    """Lower what is left of locked tins."""
    before = tin.left
    tin.left -= count
    tin.save(update_fields=["left"])
    post_event(
        verb=verb, subject=tin, by=by, at=at, reason=reason, before={"left": before},
        after={"left": tin.left},
    )  # fmt: skip
