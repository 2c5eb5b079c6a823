"""Fixtures for every test; what a machine can show is decided in tests/environment.py."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from django.test import Client, TransactionTestCase
from hypothesis import HealthCheck
from hypothesis import settings as hypothesis_settings

from jobs.kernel.appendonly import remove_triggers
from jobs.kernel.clock import LONDON
from tests.factories import make_user

pytest_plugins = ["tests.environment"]

# A busy machine is slow to make examples and to try them; that is no finding.
hypothesis_settings.register_profile(
    "suite", deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
hypothesis_settings.load_profile("suite")

_flush = TransactionTestCase._fixture_teardown  # type: ignore[attr-defined]


def _flush_without_triggers(self: TransactionTestCase) -> None:
    # A flush deletes rows, which append-only tables refuse; post_migrate installs them again.
    remove_triggers()
    _flush(self)


TransactionTestCase._fixture_teardown = _flush_without_triggers  # type: ignore[attr-defined]


@pytest.fixture(autouse=True)
def own_folders(settings: Any, tmp_path: Path) -> None:
    """No test writes into the folders of a firm."""
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.EMAIL_FILE_PATH = str(tmp_path / "mail")
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    settings.CELERY_BROKER_URL = "memory://"


@pytest.fixture
def at() -> datetime:
    """Thursday 14 May 2026, nine in the morning in London."""
    return datetime(2026, 5, 14, 9, 0, tzinfo=LONDON)


@pytest.fixture
def owner(db: None) -> Any:
    return make_user("owner")


@pytest.fixture
def office(db: None) -> Any:
    return make_user("office")


@pytest.fixture
def storeman(db: None) -> Any:
    return make_user("storeman")


@pytest.fixture
def accountant(db: None) -> Any:
    return make_user("accountant")


@pytest.fixture
def crew(db: None) -> Any:
    """The crew lead's log-in."""
    return make_user("crew")


@pytest.fixture
def stranger(db: None) -> Any:
    """Somebody who can log in and holds no role."""
    return make_user()


@pytest.fixture
def client_for() -> Callable[[Any], Client]:
    """Return a browser in which the given user is logged in."""

    def log_in(user: Any) -> Client:
        client = Client()
        client.force_login(user, backend="allauth.account.auth_backends.AuthenticationBackend")
        return client

    return log_in
