"""Addresses of the rooms of quotes."""

from __future__ import annotations

from importlib.util import find_spec

from django.urls import URLPattern, URLResolver, include, path

ROOMS = {
    "prices/": "quotes.pricebook",
    "take-off/": "quotes.takeoff",
    "quotes/": "quotes.quoting",
    "documents/": "quotes.documents",
    "q/": "quotes.acceptance",
    "variations/": "quotes.variations",
    "chasing/": "quotes.chasing",
    "results/": "quotes.results",
}

urlpatterns: list[URLPattern | URLResolver] = [
    path(prefix, include(f"{room}.urls"))
    for prefix, room in ROOMS.items()
    if find_spec(f"{room}.urls") is not None
]
