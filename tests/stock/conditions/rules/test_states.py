"""The word for a place."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from stock.conditions.rules.states import place_state
from tests.factories import AT

USUAL: dict[str, Any] = {
    "now": AT, "latest_at": AT - timedelta(hours=6), "latest_c": 20.0, "low": 5.0, "high": 25.0,
    "gap_hours": 6, "is_open": False,
}  # fmt: skip


@pytest.mark.parametrize(
    ("change", "state"),
    [
        ({}, ("ready", "within limits")),
        ({"latest_c": 25.1}, ("look", "above the limit")),
        ({"latest_c": 25.0}, ("ready", "within limits")),
        ({"latest_c": 4.9}, ("look", "below the limit")),
        ({"latest_c": 4.9, "low": None}, ("ready", "within limits")),
        ({"latest_at": AT - timedelta(hours=6, seconds=1)}, ("look", "no fresh reading")),
        ({"latest_at": None, "latest_c": None}, ("look", "no reading yet")),
        ({"low": None, "high": None}, ("", "no limits here")),
        ({"is_open": True}, ("stop", "excursion open")),
    ],
)
def test_the_first_thing_that_matters_is_the_word(
    change: dict[str, Any], state: tuple[str, str]
) -> None:
    assert place_state(**USUAL | change) == state
