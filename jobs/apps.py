"""The lowest app: kernel, people, customers, jobs, calendar, cost and billing."""

from __future__ import annotations

from importlib import import_module
from importlib.util import find_spec
from typing import Any

from django.apps import AppConfig

ROOMS = (
    "kernel", "audit", "outbox", "accounts", "attachments", "customers", "sites", "work", "surveys",
    "people", "calendar", "messages", "weather", "costing", "billing",
    "subcontract", "today",
)  # fmt: skip


def load_room_parts(app: str, rooms: tuple[str, ...]) -> None:
    """Import each room's checks and panels, so that they register."""
    for room in rooms:
        for part in ("checks", "panels", "exports", "personal"):
            if find_spec(f"{app}.{room}") and find_spec(f"{app}.{room}.{part}"):
                import_module(f"{app}.{room}.{part}")


def after_migrate(using: str = "default", **_: Any) -> None:
    """Install triggers and roles again after every migrate; both are safe to repeat."""
    from jobs.accounts.services import install_roles  # noqa: PLC0415 - models load first
    from jobs.kernel.appendonly import install_triggers  # noqa: PLC0415

    install_triggers(using)
    install_roles()


class JobsConfig(AppConfig):
    name = "jobs"

    def ready(self) -> None:
        load_room_parts("jobs", ROOMS)
        if find_spec("jobs.kernel.system_checks"):
            import_module("jobs.kernel.system_checks")
