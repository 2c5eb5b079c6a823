"""The top app: materials engine, price book, quotes and acceptance."""

from __future__ import annotations

from django.apps import AppConfig
from django.db.models.signals import post_migrate

from jobs.apps import after_migrate, load_room_parts

ROOMS = (
    "pricebook",
    "takeoff",
    "quoting",
    "documents",
    "acceptance",
    "variations",
    "chasing",
    "results",
)


class QuotesConfig(AppConfig):
    name = "quotes"

    def ready(self) -> None:
        load_room_parts("quotes", ROOMS)
        # The top app is the last of ours: every table and permission is there by then.
        post_migrate.connect(after_migrate, sender=self)
