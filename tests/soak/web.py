"""The whole program over its addresses and forms: hostile requests by every role.

An answer of 500, an exception that Django logs for a request, and a page that shows a script back
unescaped are failures; each is kept with the request and the traceback.
"""

from __future__ import annotations

import os
import random
import shutil
import tempfile
import time

from tests.soak.report import Report


def run(seconds: float, seed: int) -> Report:
    """Ask until the time is up, on a database and a folder of its own, which are removed after."""
    folder = tempfile.mkdtemp(prefix="resinwright-soak-")
    os.environ["RESINWRIGHT_VAR"] = folder
    os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
    try:
        return _on_own_database(seconds, seed)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _on_own_database(seconds: float, seed: int) -> Report:
    import django

    django.setup()
    from django.apps import apps
    from django.conf import settings
    from django.test.utils import (
        setup_databases,
        setup_test_environment,
        teardown_databases,
        teardown_test_environment,
    )

    from jobs.kernel.appendonly import remove_triggers
    from tests.soak.prober import hunt
    from tests.soak.webworld import make_world

    # Tables straight from the models, as in the suite: the run is about pages, and sets up sooner.
    settings.MIGRATION_MODULES = dict.fromkeys(app.label for app in apps.get_app_configs())
    setup_test_environment()
    databases = setup_databases(verbosity=0, interactive=False, serialized_aliases=set())
    try:
        world = make_world()
        end = time.monotonic() + seconds
        return hunt(world, random.Random(seed), lambda _: time.monotonic() < end)
    finally:
        remove_triggers()
        teardown_databases(databases, verbosity=0)
        teardown_test_environment()
