"""A database of its own for what is timed with rows: a temporary SQLite file, made once."""

from __future__ import annotations

import atexit
import os
import tempfile
from functools import cache
from pathlib import Path


class NoMigrations:
    """Every app's tables straight from its models, as the tests make them."""

    def __contains__(self, app: str) -> bool:
        return True

    def __getitem__(self, app: str) -> None:
        return None


@cache
def own_database() -> Path:
    """Start Django on an empty database of this process, and return its folder."""
    folder = tempfile.TemporaryDirectory(prefix="resinwright-bench-")
    atexit.register(folder.cleanup)
    path = Path(folder.name)
    os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
    os.environ["DATABASE_URL"] = f"sqlite:///{path / 'bench.sqlite3'}"

    import django
    from django.conf import settings
    from django.core.management import call_command

    django.setup()
    settings.MIGRATION_MODULES = NoMigrations()
    settings.ALLOWED_HOSTS = ["testserver"]
    settings.MEDIA_ROOT = path / "media"
    settings.CELERY_BROKER_URL = "memory://"
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    call_command("migrate", run_syncdb=True, verbosity=0)
    return path
