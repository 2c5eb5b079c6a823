"""What the parts of the demo share: the day, the people, the things, and keys that never change."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import UUID, uuid5

from jobs.calendar.rules import WorkingCalendar
from jobs.kernel.clock import at_wall

# Every key of the demo is made from a name under this one, so that the figures never change.
ROOT = UUID("5a1c7f52-41f4-4d0b-9e0a-3b6f0c9d2e17")


@dataclass
class World:
    """The demo firm while it is being built; `on` is its present day."""

    on: date
    calendar: WorkingCalendar
    users: dict[str, Any] = field(default_factory=dict)
    people: dict[str, list[Any]] = field(default_factory=dict)
    crews: list[Any] = field(default_factory=list)
    resources: dict[str, Any] = field(default_factory=dict)
    items: dict[str, Any] = field(default_factory=dict)
    blends: dict[str, Any] = field(default_factory=dict)
    suppliers: dict[str, Any] = field(default_factory=dict)
    work: dict[str, Any] = field(default_factory=dict)
    places: dict[str, Any] = field(default_factory=dict)

    @property
    def limit(self) -> datetime:
        """Nothing after this moment has happened yet: half past six of the present day."""
        return at_wall(self.on, time(6, 30))

    def working(self, offset: int) -> date:
        """Return the working day so many working days from the present one (0: it or the next)."""
        if offset >= 0:
            return self.calendar.after(self.calendar.on_or_after(self.on), offset)
        return self.calendar.before(self.on, -offset)

    def days_ago(self, count: int) -> date:
        """Return the working day nearest before so many days ago."""
        return self.calendar.on_or_before(self.on - timedelta(days=count))


def key(*parts: object) -> UUID:
    """Return the key of a write of the demo: the same for the same parts."""
    return uuid5(ROOT, "/".join(str(part) for part in parts))


def at(day: date, hour: int, minute: int = 0) -> datetime:
    """Return an instant of a day on London's clock."""
    return at_wall(day, time(hour, minute))
