"""Waste that was booked, and the notes with which it left."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet

from stock.ledger.enums import PostingKind
from stock.ledger.models import Posting
from stock.ledger.rules import pack_words


def waste_for_list() -> QuerySet[Posting]:
    """Return postings of waste that stand, the newest first, with note, lots and places."""
    return (
        Posting.objects.filter(kind=PostingKind.WASTE, reverses=None, reversed_by=None)
        .select_related("job", "by", "waste_line__note")
        .prefetch_related("movements__lot__item", "movements__from_place")
        .order_by("-at", "-pk")
    )


def waste_without_note() -> QuerySet[Posting]:
    """Keep waste that went with no note yet."""
    return waste_for_list().filter(waste_line=None)


def waste_words(posting: Any) -> str:
    """Return what a posting of waste was: '2 bags of L-2026-0004, Stone'."""
    return "; ".join(
        f"{pack_words(row.quantity, row.lot.item.pack_quantity, row.lot.item.pack_name)} of "
        f"{row.lot.code}, {row.lot.item}"
        for row in posting.movements.all()
    )
