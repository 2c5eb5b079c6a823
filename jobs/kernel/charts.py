"""Small charts as SVG, the same in page and PDF: a strip of hours, bars, a trace with its limits.

Each states its unit and scale in words and carries a text alternative.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from django.utils.safestring import SafeString

from jobs.kernel import clock
from jobs.kernel.svg import ACCENT, GRID, INK, LOOK, OK, WASH, line, words, wrap

WIDE = 520.0
LEFT, RIGHT = 8.0, 8.0
LEVEL_COLOURS = {"ready": OK, "look": LOOK, "stop": ACCENT}
LEVEL_MARKS = {"ready": "● ", "look": "▲ ", "stop": "■ "}


@dataclass(frozen=True)
class Span:
    """A stretch of time with a word: `level` is ready, look, stop or ''."""

    start: datetime
    end: datetime
    level: str
    label: str


@dataclass(frozen=True)
class Bar:
    """A labelled figure, and the limit or plan it is held against."""

    label: str
    value: float
    limit: float | None = None


def draw_strip(
    start: datetime, end: datetime, spans: Sequence[Span], *, title: str = "Hours", desc: str = ""
) -> SafeString:
    """Draw spans of time from `start` to `end` (aware), a row each, under a scale of hours.

    Hours are London's wall time at real elapsed distances. Raises ValueError unless start < end.
    """
    if start >= end:
        raise ValueError("A strip of hours needs an end after its start.")
    inner = WIDE - LEFT - RIGHT
    whole = end.timestamp() - start.timestamp()

    def x_of(at: datetime) -> float:
        share = (at.timestamp() - start.timestamp()) / whole
        return LEFT + inner * min(1.0, max(0.0, share))

    shown = [span for span in spans if span.end > start and span.start < end]
    height = 30.0 + 28 * len(shown) + 4
    pieces = hour_scale(start, end, x_of, height)
    for row, span in enumerate(shown):
        x, right, y = x_of(span.start), x_of(span.end), 30.0 + 28 * row
        colour = LEVEL_COLOURS.get(span.level, INK)
        pieces.append(
            f'<rect class="span {span.level}" x="{x:.1f}" y="{y:.1f}" width="{right - x:.1f}" '
            f'height="22" fill="{WASH}" stroke="{colour}" stroke-width="1.4"/>'
        )
        text = f"{LEVEL_MARKS.get(span.level, '')}{span.label}"
        wide = len(text) * 6.6
        # Beside the span where it is too short for its word, on the side that has room.
        if wide < right - x - 8 or right + 5 + wide <= WIDE:
            at = x + 6 if wide < right - x - 8 else right + 5
            pieces.append(words(text, at, y + 15, ""))
        else:
            pieces.append(words(text, x - 5, y + 15, "", anchor="end"))
    told = desc or " ".join(
        f"{span.label}: {wall(span.start)} to {wall(span.end)}." for span in shown
    )
    return wrap(pieces, WIDE, height, title, told, "chart")


def hour_scale(
    start: datetime, end: datetime, x_of: Callable[[datetime], float], height: float
) -> list[str]:
    """Return the scale of hours: a faint line for each step and its hour above."""
    hours = (end.timestamp() - start.timestamp()) / 3600
    # Fourteen hours have room, or eight days, which are longer words.
    step = next((n for n in (1, 2, 3, 6, 12) if hours / n <= 14), 24 * math.ceil(hours / 192))
    at = start.astimezone(clock.LONDON).replace(minute=0, second=0, microsecond=0)
    pieces = []
    while at <= end:
        if at >= start and is_on_step(at, step):
            x = x_of(at)
            word = f"{at:%H}" if step < 24 else f"{at.day} {at:%b}"
            pieces.append(line((x, 18), (x, height - 4), "grid", GRID, 1))
            anchor = "start" if x < 14 else "end" if x > WIDE - 14 else "middle"
            pieces.append(words(word, x, 13, "soft", anchor=anchor))
        at = (at.astimezone(UTC) + timedelta(hours=1)).astimezone(clock.LONDON)
    return pieces


def is_on_step(at: datetime, step: int) -> bool:
    """Return whether a full hour is on the scale: every so many hours, or days of 24."""
    if step < 24:
        return at.hour % step == 0
    return at.hour == 0 and at.toordinal() % (step // 24) == 0


def draw_bars(
    bars: Sequence[Bar], *, unit: str = "", title: str = "Figures", desc: str = ""
) -> SafeString:
    """Draw level bars with their figures; a limit is a line in the accent across its bar."""
    if any(not math.isfinite(bar.value) or bar.value < 0 for bar in bars):
        raise ValueError("A bar needs a finite figure of zero or more.")
    label_room = min(220.0, 12 + max((len(bar.label) for bar in bars), default=0) * 6.8)
    most = max([max(bar.value, bar.limit or 0) for bar in bars], default=0) or 1.0
    figures = [bar_figure(bar, unit) for bar in bars]
    inner = WIDE - label_room - max([140.0, *(14 + len(figure) * 6.8 for figure in figures)])
    pieces = []
    for row, (bar, figure) in enumerate(zip(bars, figures, strict=True)):
        y = 6.0 + 26 * row
        size = inner * bar.value / most
        pieces.append(words(bar.label, label_room - 10, y + 14, "", anchor="end"))
        pieces.append(
            f'<rect class="bar" x="{label_room:.1f}" y="{y:.1f}" width="{size:.1f}" height="18" '
            f'fill="{INK}"/>'
        )
        reach = size
        if bar.limit is not None:
            x = label_room + inner * bar.limit / most
            reach = max(size, x - label_room)
            pieces.append(line((x, y - 3), (x, y + 21), "limit", ACCENT, 2))
        pieces.append(words(figure, label_room + reach + 7, y + 14, ""))
    told = desc or " ".join(bar_words(bar, unit) for bar in bars)
    return wrap(pieces, WIDE, 12.0 + 26 * len(bars), title, told, "chart")


def bar_figure(bar: Bar, unit: str) -> str:
    """Return what is written beside a bar."""
    of = "" if bar.limit is None else f" of {with_unit(bar.limit, unit)}"
    return with_unit(bar.value, unit) + of


def bar_words(bar: Bar, unit: str) -> str:
    """Return one bar as a sentence."""
    held = "" if bar.limit is None else f", held against {with_unit(bar.limit, unit)}"
    return f"{bar.label}: {with_unit(bar.value, unit)}{held}."


def with_unit(value: float, unit: str) -> str:
    """Return a figure with its unit, the pound sign before it."""
    if unit == "£":
        return f"£{value:,.2f}".removesuffix(".00")
    return f"{value:,.6g} {unit}".strip()


def draw_trace(
    points: Sequence[tuple[datetime, float]],
    *,
    unit: str,
    title: str = "Readings",
    desc: str = "",
    low: float | None = None,
    high: float | None = None,
    gap: timedelta = timedelta(hours=2),
) -> SafeString:
    """Draw readings by time with the limits that apply; a gap longer than `gap` is left open.

    Raises ValueError for fewer than two readings or a reading that is no finite number.
    """
    # long because: one drawing, its parts in the order they lie on the paper
    if len(points) < 2 or not all(math.isfinite(value) for _, value in points):
        raise ValueError("A trace needs at least two readings, each a finite figure.")
    rows = sorted(points)
    start, end = rows[0][0], rows[-1][0]
    limits = [value for value in (low, high) if value is not None]
    floor = min([value for _, value in rows] + limits)
    roof = max([value for _, value in rows] + limits)
    room = (roof - floor) * 0.12 or 1.0
    floor, roof = floor - room, roof + room
    height, top, left = 200.0, 22.0, 44.0
    whole = max(end.timestamp() - start.timestamp(), 1.0)

    def x_of(at: datetime) -> float:
        return left + (WIDE - left - RIGHT) * (at.timestamp() - start.timestamp()) / whole

    def y_of(value: float) -> float:
        return top + (height - top - 6) * (roof - value) / (roof - floor)

    pieces = hour_scale(start, end, x_of, height)
    for value in steps(floor, roof):
        pieces.append(line((left, y_of(value)), (WIDE - RIGHT, y_of(value)), "grid", GRID, 1))
        pieces.append(words(f"{value:g} {unit}", left - 4, y_of(value) + 4, "soft", anchor="end"))
    for value in limits:
        pieces.append(
            line((left, y_of(value)), (WIDE - RIGHT, y_of(value)), "limit", ACCENT, 1.6, "7 4")
        )
        word = f"limit {value:g} {unit}"
        pieces.append(words(word, WIDE - RIGHT, y_of(value) - 4, "", anchor="end"))
    pieces.append(
        f'<path class="trace" d="{trace_path(rows, x_of, y_of, gap)}" fill="none" '
        f'stroke="{INK}" stroke-width="1.6" stroke-linejoin="round"/>'
    )
    least, most = min(rows, key=by_value), max(rows, key=by_value)
    told = desc or (
        f"{len(rows)} readings from {wall(start)} to {wall(end)}: least {least[1]:g} {unit} at "
        f"{wall(least[0])}, greatest {most[1]:g} {unit} at {wall(most[0])}."
    )
    return wrap(pieces, WIDE, height, title, told, "chart")


def by_value(point: tuple[datetime, float]) -> float:
    return point[1]


def trace_path(
    rows: Sequence[tuple[datetime, float]],
    x_of: Callable[[datetime], float],
    y_of: Callable[[float], float],
    gap: timedelta,
) -> str:
    """Return the path through the readings, lifted over gaps."""
    parts: list[str] = []
    before: datetime | None = None
    for at, value in rows:
        verb = (
            "M"
            if before is None or at.timestamp() - before.timestamp() > gap.total_seconds()
            else "L"
        )
        parts.append(f"{verb}{x_of(at):.1f} {y_of(value):.1f}")
        before = at
    return " ".join(parts)


def steps(floor: float, roof: float) -> list[float]:
    """Return round figures between floor and roof, at most six."""
    rough = (roof - floor) / 5
    size = 10 ** math.floor(math.log10(rough))
    step = next(size * n for n in (1, 2, 5, 10) if size * n >= rough)
    first = math.ceil(floor / step)
    return [step * n for n in range(first, math.floor(roof / step) + 1)]


def wall(at: datetime) -> str:
    """Return day and time on London's clock, for the text alternative."""
    here = at.astimezone(clock.LONDON)
    return f"{here:%a} {here.day} {here:%b} {here:%H:%M}"
