"""The middle app: the yard, orders and the lay day."""

from __future__ import annotations

from django.apps import AppConfig

from jobs.apps import load_room_parts

ROOMS = (
    "catalogue", "ledger", "suppliers", "movements", "allocation", "conditions", "labels",
    "ordering", "claims", "reorder", "laying", "tracing", "valuation",
)  # fmt: skip


class StockConfig(AppConfig):
    name = "stock"

    def ready(self) -> None:
        load_room_parts("stock", ROOMS)
