"""Tables that are written once: the database itself refuses UPDATE and DELETE, on both engines.

A model declares `append_only = True`; `post_migrate` installs its triggers again each time,
since SQLite drops them when a later migration rebuilds the table.
"""

from __future__ import annotations

from typing import Any

from django.apps import apps
from django.db import connections, models

MESSAGE = "this table is append-only: write a correcting row"


def append_only_models() -> list[type[models.Model]]:
    """Return every model that declares itself append-only, by the name of its table."""
    found = [model for model in apps.get_models() if getattr(model, "append_only", False)]
    return sorted(found, key=lambda model: model._meta.db_table)


def trigger_names(table: str) -> tuple[str, str]:
    """Return the names of a table's two triggers."""
    return f"{table}_no_update", f"{table}_no_delete"


def install_triggers(using: str = "default") -> None:
    """Create the triggers that are missing; safe to repeat."""
    connection = connections[using]
    present = connection.introspection.table_names()
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute(
                "CREATE OR REPLACE FUNCTION resinwright_append_only() RETURNS trigger AS $$ "
                f"BEGIN RAISE EXCEPTION '{MESSAGE}' USING ERRCODE = '23514'; END $$ "
                "LANGUAGE plpgsql"
            )
        for model in append_only_models():
            table = model._meta.db_table
            if table in present:
                for name, event in zip(trigger_names(table), ("UPDATE", "DELETE"), strict=True):
                    _create(cursor, connection.vendor, table, name, event)


def _create(cursor: Any, vendor: str, table: str, name: str, event: str) -> None:
    if vendor == "sqlite":
        cursor.execute(
            f'CREATE TRIGGER IF NOT EXISTS "{name}" BEFORE {event} ON "{table}" '
            f"BEGIN SELECT RAISE(ABORT, '{MESSAGE}'); END"
        )
    else:
        cursor.execute(f'DROP TRIGGER IF EXISTS "{name}" ON "{table}"')
        cursor.execute(
            f'CREATE TRIGGER "{name}" BEFORE {event} ON "{table}" '
            "FOR EACH ROW EXECUTE FUNCTION resinwright_append_only()"
        )


def remove_triggers(using: str = "default") -> None:
    """Lift the triggers: only for the flush of a transactional test and for an erased database."""
    connection = connections[using]
    with connection.cursor() as cursor:
        for model in append_only_models():
            table = model._meta.db_table
            for name in trigger_names(table):
                on = f' ON "{table}"' if connection.vendor == "postgresql" else ""
                cursor.execute(f'DROP TRIGGER IF EXISTS "{name}"{on}')


def missing_triggers(using: str = "default") -> list[str]:
    """Return the names of triggers that should stand in the database and do not."""
    connection = connections[using]
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")
        else:
            cursor.execute(
                "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled = 'O'"
            )
        have = {row[0] for row in cursor.fetchall()}
    present = connection.introspection.table_names()
    wanted = [
        name
        for model in append_only_models()
        if model._meta.db_table in present
        for name in trigger_names(model._meta.db_table)
    ]
    return [name for name in wanted if name not in have]
