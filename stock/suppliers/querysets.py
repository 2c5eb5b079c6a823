"""Named reads of suppliers and their prices."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from django.db.models import Count, QuerySet

if TYPE_CHECKING:
    from stock.suppliers.models import Supplier, SupplierPrice  # noqa: F401


class SupplierQuerySet(QuerySet["Supplier"]):
    """Reads of suppliers."""

    def current(self) -> SupplierQuerySet:
        """Leave out suppliers that were put away."""
        return self.filter(archived_at=None)

    def for_list(self) -> SupplierQuerySet:
        """Return suppliers with how many items they have a price for."""
        return self.annotate(items=Count("prices__item", distinct=True)).order_by("name", "pk")


class SupplierPriceQuerySet(QuerySet["SupplierPrice"]):
    """Reads of prices; a price holds until the next one of its item and pack break."""

    def on(self, day: date) -> SupplierPriceQuerySet:
        """Keep prices that have begun by a day."""
        return self.filter(valid_from__lte=day)

    def for_list(self) -> SupplierPriceQuerySet:
        """Return prices with their items, the latest of each first."""
        return self.select_related("item").order_by(
            "item__name", "item_id", "from_packs", "-valid_from"
        )
