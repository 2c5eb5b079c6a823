"""Named reads of suppliers and their prices."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from django.db.models import Count, OuterRef, QuerySet, Subquery

if TYPE_CHECKING:
    from stock.suppliers.models import ChannelCharge, Supplier, SupplierPrice  # noqa: F401


class SupplierQuerySet(QuerySet["Supplier"]):
    """Reads of suppliers."""

    def current(self) -> SupplierQuerySet:
        """Leave out suppliers that were put away."""
        return self.filter(archived_at=None)

    def for_list(self) -> SupplierQuerySet:
        """Return suppliers with how many items they have a price for."""
        return self.annotate(items=Count("prices__item", distinct=True)).order_by("name", "pk")


class ChannelChargeQuerySet(QuerySet["ChannelCharge"]):
    """Reads of charges; those of a channel hold until its next ones begin."""

    def holding(self, day: date) -> ChannelChargeQuerySet:
        """Keep of each channel the charges that hold on a day; none where none have begun."""
        begun = self.model.objects.filter(channel=OuterRef("channel"), valid_from__lte=day)
        latest = begun.order_by("-valid_from").values("valid_from")[:1]
        return self.filter(valid_from=Subquery(latest))

    def of_channel(self, channel_id: int, day: date) -> ChannelCharge | None:
        """Return what a channel charges on a day; None where nothing holds yet."""
        return self.filter(channel=channel_id).holding(day).first()


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

    def of_item(self, item: Any) -> SupplierPriceQuerySet:
        """Keep an item's prices from suppliers in use, with them, the latest of each first."""
        rows = self.filter(item=item, supplier__archived_at=None).select_related("supplier")
        return rows.order_by("supplier__name", "supplier_id", "from_packs", "-valid_from")

    def latest_of_each(self) -> list[SupplierPrice]:
        """Return the first row of each supplier, item and pack break, in the order they come."""
        found: dict[tuple[int, int, int], SupplierPrice] = {}
        for row in self:
            found.setdefault((row.supplier_id, row.item_id, row.from_packs), row)
        return list(found.values())
