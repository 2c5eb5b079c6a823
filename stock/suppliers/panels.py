"""Who sells an item and for how much, on its page."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

from jobs.kernel.clock import london_day, now
from jobs.kernel.panels import panel
from stock.suppliers.models import SupplierPrice

MONEY = ("jobs.place_order", "jobs.manage_suppliers", "jobs.see_margin", "jobs.manage_prices")


@panel("item", 20, "jobs.view_yard")
def item_prices(request: HttpRequest, item: Any) -> tuple[str, dict[str, Any]] | None:
    """What a pack costs today, by supplier and number of packs: one query."""
    if not any(request.user.has_perm(name) for name in MONEY):
        return None
    rows = SupplierPrice.objects.on(london_day(now())).of_item(item)
    return "stock/suppliers/item_panel.html", {"item": item, "prices": rows.latest_of_each()}
