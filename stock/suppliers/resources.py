"""Suppliers' prices as a sheet: one row a price, from its day and its number of packs on."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any, ClassVar

from django.db.models import QuerySet

from jobs.kernel.sheetfields import Day, Figure, Known, Whole, Words, column
from jobs.kernel.sheets import SheetResource
from stock.catalogue.models import Item
from stock.suppliers.models import Supplier, SupplierPrice
from stock.suppliers.services import post_price


class PriceResource(SheetResource):
    """Prices of packs; the same supplier, item, day and packs again puts a price right."""

    supplier = column("Supplier", "supplier", Known(Supplier, "name", what="supplier"))
    item = column("Item code", "item", Known(Item, "code", what="item with the code"))
    valid_from = column("Holds from", "valid_from", Day())
    from_packs = column("From packs", "from_packs", Whole(least=1, most=1_000_000, default=1))
    pack_price = column("A pack, £", "pack_price", Figure(places=4, most=999_999))
    supplier_code = column("Their code", "supplier_code", Words(most=30))

    needed = ("Supplier", "Item code", "Holds from", "From packs", "A pack, £")
    about: ClassVar[dict[str, str]] = {
        "Supplier": "as it is named in the book",
        "Holds from": "until the next price of the item and the number of packs",
        "From packs": "1, or the packs from which a lower price holds",
        "A pack, £": "without VAT and carriage",
    }

    class Meta:
        model = SupplierPrice
        fields = ("supplier", "item", "valid_from", "from_packs", "pack_price", "supplier_code")
        import_order = fields
        export_order = fields
        import_id_fields = ("supplier", "item", "valid_from", "from_packs")

    def get_queryset(self) -> QuerySet[SupplierPrice]:
        """Return every price, by supplier and item."""
        found: QuerySet[SupplierPrice] = SupplierPrice.objects.select_related(
            "supplier", "item"
        ).order_by("supplier__name", "item__name", "item_id", "from_packs", "valid_from")
        return found

    def name_of(self, instance: Any) -> str:
        """Return what the preview calls a price."""
        return f"{instance.item} from {instance.supplier}"

    def write(
        self, instance: Any, *, new: bool, row: Mapping[str, str], by: Any, at: datetime,  # noqa: ARG002
    ) -> None:  # fmt: skip
        """Write the price."""
        made = post_price(
            supplier_id=instance.supplier_id, item=instance.item, valid_from=instance.valid_from,
            from_packs=instance.from_packs, pack_price=instance.pack_price,
            supplier_code=instance.supplier_code, by=by, at=at,
        )  # fmt: skip
        instance.pk = made.pk
