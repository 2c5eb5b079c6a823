"""Django checks of what import-linter cannot see: ties between models, and the triggers.

Loaded by the app's start, so that `manage.py check`, and every command that checks, runs them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django.apps import AppConfig, apps
from django.core.checks import CheckMessage, Error, Tags, register
from django.db.models import PROTECT, ForeignKey, ManyToManyField, Model

from jobs.kernel.appendonly import missing_triggers

# From low to high, as the contract of the layers has them.
APPS = ("jobs", "stock", "quotes")

Relation = ForeignKey[Any, Any] | ManyToManyField[Any, Any]


def reaches_down(model: type[Model], field: Relation) -> bool:
    """Return whether a field ties a model of ours to a model of a lower app."""
    app, other = model._meta.app_label, field.related_model._meta.app_label
    return app in APPS and other in APPS and APPS.index(other) < APPS.index(app)


def complaints_of(model: type[Model]) -> Iterable[CheckMessage]:
    """Yield an error for each tie to a lower app that reaches back or deletes."""
    for field in model._meta.get_fields():
        if not isinstance(field, ForeignKey | ManyToManyField) or not reaches_down(model, field):
            continue
        if field.remote_field.related_name != "+":
            yield Error(
                f"{field.name} ties to a lower app, so it needs related_name='+'.",
                hint="A lower app must not reach a higher one, not even by a reverse name.",
                obj=field,
                id="resinwright.E001",
            )
        if isinstance(field, ForeignKey) and field.remote_field.on_delete is not PROTECT:
            yield Error(
                f"{field.name} ties to a lower app, so it needs on_delete=PROTECT.",
                hint="What a lower app deletes must not take rows of a higher one with it.",
                obj=field,
                id="resinwright.E002",
            )


@register(Tags.models)
def check_ties_to_lower_apps(
    app_configs: Sequence[AppConfig] | None, **_: Any
) -> list[CheckMessage]:
    """Check every tie of ours; see `complaints_of`."""
    configs = app_configs if app_configs is not None else list(apps.get_app_configs())
    found: list[CheckMessage] = []
    for config in configs:
        for model in config.get_models(include_auto_created=False):
            found.extend(complaints_of(model))
    return found


@register(Tags.database)
def check_append_only_triggers(
    *, databases: Sequence[str] | None = None, **_: Any
) -> list[CheckMessage]:
    """Check that the database refuses to change what is written once; with --database only."""
    return [
        Error(
            f"The trigger {name} is missing from the database '{alias}'.",
            hint="Run 'manage.py migrate': it installs the triggers again.",
            id="resinwright.E003",
        )
        for alias in databases or ()
        for name in missing_triggers(alias)
    ]
