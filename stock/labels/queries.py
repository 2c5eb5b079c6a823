"""What stands on the labels of lots and places, as plain values."""

from __future__ import annotations

from collections.abc import Sequence
from uuid import UUID

from django.conf import settings
from django.db.models import Q, QuerySet
from django.urls import reverse

from stock.allocation.models import Reservation
from stock.catalogue.models import Place
from stock.labels.rules import Layout, LotLabel, PlaceLabel, words_for
from stock.ledger.models import Lot
from stock.ledger.rules import pack_words

# The line that says whose it is takes about so many letters of the words' room.
FOR_LINE = 40


def own_places() -> QuerySet[Place]:
    """Return bays and vans that are in use: the places that labels are stuck on."""
    return Place.objects.own().filter(archived_at=None).order_by("kind", "near", "name", "pk")


def find_lots(codes: Sequence[str]) -> dict[str, Lot]:
    """Return lots by what was typed or scanned: a code, a uid, or a link to it; one query."""
    keys = {text: text.rstrip("/").rsplit("/", 1)[-1].strip().upper() for text in codes}
    uids = {}
    for key in keys.values():
        try:
            uids[UUID(key)] = key
        except ValueError:
            continue
    rows = Lot.objects.filter(Q(code__in=keys.values()) | Q(uid__in=uids)).select_related("item")
    found: dict[str, Lot] = {}
    for lot in rows:
        found[lot.code] = lot
        if lot.uid in uids:
            found[uids[lot.uid]] = lot
    return {text: found[key] for text, key in keys.items() if key in found}


def lot_url(lot: Lot) -> str:
    """Return the whole address that a lot's code opens."""
    return f"{settings.BASE_URL}{reverse('labels:open_lot', args=[lot.uid])}"


def place_url(place: Place) -> str:
    """Return the whole address that a place's code opens."""
    return f"{settings.BASE_URL}{reverse('labels:open_place', args=[place.pk])}"


def lot_label(lot: Lot, layout: Layout, kept_for: str = "") -> LotLabel:
    """Return what stands on a lot's label; no query where the item is there."""
    item = lot.item
    batches = " / ".join(filter(None, [lot.batch_a, lot.batch_b]))
    origin = f"Run {lot.run}" if lot.run else f"Batch {batches}" if batches else ""
    return LotLabel(
        url=lot_url(lot), code=lot.code, item=item.name, origin=origin, use_by=lot.expiry,
        words=words_for(
            item.storage_note, item.hazard_note, most=layout.words - (FOR_LINE if kept_for else 0)
        ),
        held=lot.status == "held", kept_for=kept_for,
    )  # fmt: skip


def kept_label(row: Reservation, layout: Layout) -> LotLabel:
    """Return the label of a lot with whose it is and how much; no query where all is there."""
    item, requirement = row.lot.item, row.requirement
    group = f", {requirement.colour_group}" if requirement.colour_group else ""
    much = pack_words(row.quantity, item.pack_quantity, item.pack_name)
    return lot_label(row.lot, layout, f"{requirement.job.reference}{group}: {much}")


def place_label(place: Place) -> PlaceLabel:
    """Return what stands on a place's label."""
    return PlaceLabel(place_url(place), place.name, place.get_kind_display())
