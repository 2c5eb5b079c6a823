"""Lay days of the demo: base accepted, mixes logged, bays full, bags back in the evening."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from typing import Any

from config.demo.stories import Story
from config.demo.world import World, at


def lay_days(world: World, story: Story, job: Any, first: date, last: date) -> Iterator[datetime]:
    """Yield the moments of the lay days and do what happens then."""
    yield at(first, 8)
