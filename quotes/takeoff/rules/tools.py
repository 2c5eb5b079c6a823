"""A person's day with tools that shake: A(8), points, and how long each may still be used."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from quotes.engine import vibration
from quotes.engine.cautions import Caution
from quotes.engine.cautions_site import vibration_cautions, work_cautions

# Tools that cut or break stone and set free its dust.
CUTTING = {"breaker", "disc cutter"}


@dataclass(frozen=True)
class ToolLine:
    """One tool of the day: minutes of trigger time, vibration in m/s², typical or the maker's."""

    tool: str
    minutes: float
    vibration: float | None = None

    @property
    def value(self) -> float:
        """The vibration reckoned with."""
        return vibration.TYPICAL[self.tool] if self.vibration is None else self.vibration

    @property
    def whence(self) -> str:
        """Where the vibration comes from."""
        return vibration.TYPICAL_NOTE if self.vibration is None else "the maker's figure, as typed"


@dataclass(frozen=True)
class ToolRow:
    """One tool reckoned: points, and trigger time alone until either value is reached."""

    line: ToolLine
    points: float
    to_action: str
    to_limit: str


@dataclass(frozen=True)
class ToolDay:
    """The day of one person."""

    exposure: vibration.Exposure
    rows: tuple[ToolRow, ...]
    cautions: tuple[Caution, ...]


def tool_day(lines: Sequence[ToolLine]) -> ToolDay:
    """Return the day's exposure. Raises ModelError for more than 24 hours or no sensible value."""
    uses = [
        vibration.typical_use(each.tool, 60 * each.minutes) if each.vibration is None
        else vibration.Use(each.tool, each.vibration, 60 * each.minutes)
        for each in lines
    ]  # fmt: skip
    exposure = vibration.daily_exposure(uses)
    cutting = any(each.tool in CUTTING for each in lines)
    said = (
        *vibration_cautions(exposure),
        *work_cautions(cutting=cutting, resin=False, dry_fillers=False),
    )
    return ToolDay(exposure, tuple(tool_row(each) for each in lines), said)


def tool_row(line: ToolLine) -> ToolRow:
    """Return one tool reckoned by itself."""
    points = vibration.points_per_hour(line.value) * line.minutes / 60
    if not line.value:
        return ToolRow(line, points, "never", "never")
    action, limit = (
        vibration.minutes_shown(vibration.time_to(line.value, value))
        for value in (vibration.ACTION_VALUE, vibration.LIMIT_VALUE)
    )
    return ToolRow(line, points, action, limit)
