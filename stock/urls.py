"""Addresses of the rooms of stock."""

from __future__ import annotations

from importlib.util import find_spec

from django.urls import URLPattern, URLResolver, include, path

ROOMS = {
    "yard/": "stock.ledger",
    "items/": "stock.catalogue",
    "allocation/": "stock.allocation",
    "movements/": "stock.movements",
    "suppliers/": "stock.suppliers",
    "orders/": "stock.ordering",
    "reorder/": "stock.reorder",
    "lay/": "stock.laying",
    "labels/": "stock.labels",
    "conditions/": "stock.conditions",
    "claims/": "stock.claims",
    "trace/": "stock.tracing",
    "valuation/": "stock.valuation",
}

urlpatterns: list[URLPattern | URLResolver] = [
    path(prefix, include(f"{room}.urls"))
    for prefix, room in ROOMS.items()
    if find_spec(room) is not None and find_spec(f"{room}.urls") is not None
]
