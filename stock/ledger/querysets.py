"""Named reads of lots and movements."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from django.db.models import F, Q, QuerySet

from stock.catalogue.models import Item, Place

if TYPE_CHECKING:
    from stock.ledger.models import KeptBack, Lot, Movement, Posting  # noqa: F401


class LotQuerySet(QuerySet["Lot"]):
    """Reads of lots."""

    def in_stock(self) -> LotQuerySet:
        """Keep lots of which something lies in the yard, a van or at a site."""
        return self.filter(Q(on_hand__gt=0) | Q(at_sites__gt=0))

    def with_free(self) -> LotQuerySet:
        """Add `free_now`: base units on hand that no reservation holds."""
        return self.annotate(free_now=F("on_hand") - F("reserved"))

    def released(self) -> LotQuerySet:
        """Keep lots that may be used."""
        return self.filter(status="released")

    def held(self) -> LotQuerySet:
        """Keep lots that wait for somebody to release them."""
        return self.filter(status="held")

    def use_by_within(self, on: date, days: int) -> LotQuerySet:
        """Keep lots whose use-by day is not later than `days` days after `on`; past ones too."""
        return self.filter(expiry__lte=on + timedelta(days=days))

    def with_word(self, word: str) -> LotQuerySet:
        """Keep lots with a word in code, run, batches or item, or in a place where some lies.

        Items and places are looked up first, apart from the lots: joined to each lot's balances
        of ten years they would cost more than all else.
        """
        item = Item.objects.filter(Q(name__icontains=word) | Q(code__icontains=word))
        places = Place.objects.filter(name__icontains=word, balances__quantity__gt=0)
        own = Q()
        for field in ("code", "run", "batch_a", "batch_b"):
            own |= Q(**{f"{field}__icontains": word})
        return self.filter(
            own | Q(item_id__in=item.values("pk")) | Q(pk__in=places.values("balances__lot_id"))
        )

    def for_yard(self) -> LotQuerySet:
        """Return lots as the yard's list shows them: with their item, first expired first."""
        return self.select_related("item").order_by(F("expiry").asc(nulls_last=True), "pk")


class PostingQuerySet(QuerySet["Posting"]):
    """Reads of postings."""

    def for_list(self) -> PostingQuerySet:
        """Return postings as lists show them, newest first."""
        return self.select_related("job", "by").order_by("-at", "-pk")


class MovementQuerySet(QuerySet["Movement"]):
    """Reads of movements."""

    def for_lot(self, lot: Any) -> MovementQuerySet:
        """Return a lot's movements, newest first, with what a page shows of each."""
        return (
            self.filter(lot=lot)
            .select_related("posting__job", "posting__by", "from_place", "to_place")
            .order_by("-pk")
        )


class KeptBackQuerySet(QuerySet["KeptBack"]):
    """Reads of what is kept back for call-backs."""

    def open(self) -> KeptBackQuerySet:
        """Keep what nobody released."""
        return self.filter(released_at=None)

    def for_list(self) -> KeptBackQuerySet:
        """Return rows with what lists show of them, the earliest day first."""
        return self.select_related("lot__item", "job__site", "kept_by").order_by("until", "pk")
