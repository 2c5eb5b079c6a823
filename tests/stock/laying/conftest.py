"""A crew lead with a day of his own, and a clock that stands at nine on it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from jobs.kernel import clock
from tests.factories import AT
from tests.stock.laying.world import Site, make_site_with


@pytest.fixture
def on_the_day(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every request comes at nine on the lay day."""
    monkeypatch.setattr(clock, "now", lambda: AT)


@pytest.fixture
def site(crew: Any) -> Site:
    """A job booked today for the crew lead's own crew, with material for three mixes."""
    return make_site_with(3, by=crew)


@pytest.fixture
def phone(on_the_day: None, crew: Any, client_for: Callable[[Any], Client]) -> Client:
    """The crew lead's phone."""
    return client_for(crew)


@pytest.fixture
def yard(on_the_day: None, storeman: Any, client_for: Callable[[Any], Client]) -> Client:
    """The storeman's screen."""
    return client_for(storeman)
