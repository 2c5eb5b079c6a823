"""Plans to scale as SVG, the same in page and PDF, on a faint grid whose square is stated."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from django.utils.safestring import SafeString

from jobs.kernel.outlines import (
    Point,
    Ring,
    area_of,
    box,
    clear_stretch,
    is_rectangle,
    middle,
    sides_of,
    tidy,
)
from jobs.kernel.svg import ACCENT, GRID, INK, PAPER, SOFT, WASH, WIDTH, line, words, wrap

TALLEST = 400.0
EDGE = 34.0  # room around the outlines for dimension lines, in drawing units
OFFSET = 13.0  # from an outline to its dimension line
GAP = 1.0  # metres between areas that are set side by side
DIMENSION = 0.09  # part of the plan's width that dimension lines between two areas take
MOST_SIDES = 8  # outlines with more corners get their overall length and width only


@dataclass(frozen=True)
class PlanCut:
    """A part deducted from an area: its outline in metres and what it is."""

    ring: Ring
    label: str = ""


@dataclass(frozen=True)
class PlanArea:
    """An area to draw: outlines and deductions in metres (y upward), and what is written in it.

    `label` is written in bold in the middle ('drive 42.6 m²'; `name` where it is empty); `bays`
    are further words at a place of their own, (word, x, y).
    """

    name: str
    rings: Sequence[Ring]
    deductions: Sequence[PlanCut] = ()
    label: str = ""
    bays: Sequence[tuple[str, float, float]] = ()


@dataclass
class Sheet:
    """Where metres lie on the drawing, and the pieces drawn so far."""

    left: float
    top: float
    scale: float
    pieces: list[str] = field(default_factory=list)

    def at(self, point: Point) -> Point:
        """Return where a point in metres lies on the drawing."""
        x = EDGE + (point[0] - self.left) * self.scale
        y = EDGE + (self.top - point[1]) * self.scale
        return x, y

    def path(self, ring: Ring) -> str:
        """Return the path of a closed outline."""
        corners = " L".join(f"{x:.1f} {y:.1f}" for x, y in map(self.at, ring))
        return f"M{corners} Z"


def draw_plan(
    areas: Sequence[PlanArea],
    *,
    joints: Sequence[tuple[Point, Point]] = (),
    title: str = "Plan",
    desc: str = "",
) -> SafeString:
    """Draw areas to one scale, with deductions, joints and dimensions, and return the SVG.

    Areas whose boxes overlap are each measured from a corner of their own: they are set side by
    side, and joints are then left out because their place is unknown. The text alternative is
    `desc`, or else names each area with its length and width. Raises ValueError for an outline of
    fewer than three corners or a coordinate that is no finite number.
    """
    shown = [area for area in areas if area.rings]
    check(shown)
    apart = overlapping(shown)
    if apart:
        shown = side_by_side(shown)
    left, bottom, right, top = box(point for area in shown for point in outline(area))
    wide, high = max(right - left, 0.5), max(top - bottom, 0.5)
    scale = min((WIDTH - 2 * EDGE) / wide, (TALLEST - 2 * EDGE) / high)
    sheet = Sheet(left, top, scale)
    height = high * scale + 2 * EDGE + 16
    square = grid_square(scale)
    draw_grid(sheet, square, height - 16)
    for area in shown:
        draw_area(sheet, area)
    for start, end in () if apart else joints:
        sheet.pieces.append(line(sheet.at(start), sheet.at(end), "joint", ACCENT, 1.8, "7 4"))
    for area in shown:
        draw_words(sheet, area, () if apart else joints)
        for ring in area.rings:
            draw_dimensions(sheet, ring)
    note = f"1 square = {square:g} m" + (" · areas set side by side" if apart else "")
    sheet.pieces.append(words(note, WIDTH - 4, height - 5, "soft", anchor="end"))
    return wrap(sheet.pieces, WIDTH, height, title, desc or describe(shown, apart=apart), "plan")


# -- what is drawn ---------------------------------------------------------------------------


def draw_grid(sheet: Sheet, square: float, bottom: float) -> None:
    """Draw the grid over the whole sheet, through whole multiples of the square."""
    step = square * sheet.scale
    x0, y0 = sheet.at(
        (math.ceil(sheet.left / square) * square, math.floor(sheet.top / square) * square)
    )
    across = [
        x0 + n * step for n in range(-math.ceil(x0 / step), math.ceil((WIDTH - x0) / step) + 1)
    ]
    down = [
        y0 + n * step for n in range(-math.ceil(y0 / step), math.ceil((bottom - y0) / step) + 1)
    ]
    lines = [f"M{x:.1f} 0 V{bottom:.1f}" for x in across if 0 <= x <= WIDTH]
    lines += [f"M0 {y:.1f} H{WIDTH:.0f}" for y in down if 0 <= y <= bottom]
    sheet.pieces.append(
        f'<path class="grid" d="{" ".join(lines)}" fill="none" stroke="{GRID}" stroke-width="1"/>'
    )


def draw_area(sheet: Sheet, area: PlanArea) -> None:
    """Draw an area's outlines in ink on the wash, its deductions broken in the accent."""
    for ring in area.rings:
        sheet.pieces.append(
            f'<path class="area" d="{sheet.path(ring)}" fill="{WASH}" stroke="{INK}" '
            'stroke-width="1.8" stroke-linejoin="miter"/>'
        )
    for cut in area.deductions:
        sheet.pieces.append(
            f'<path class="cut" d="{sheet.path(cut.ring)}" fill="{PAPER}" stroke="{ACCENT}" '
            'stroke-width="1.6" stroke-dasharray="3 2.5"/>'
        )


def draw_words(sheet: Sheet, area: PlanArea, joints: Sequence[tuple[Point, Point]]) -> None:
    """Write the area's label where there is room, deductions beside them, bays where they are."""
    draw_label(sheet, area, joints)
    for cut in area.deductions:
        _, top, right, bottom = box(map(sheet.at, cut.ring))
        if cut.label:
            sheet.pieces.append(words(cut.label, right + 5, (top + bottom) / 2 - 3, ""))
    for word, x, y in area.bays:
        at = sheet.at((x, y))
        sheet.pieces.append(words(word, at[0], at[1] + 4, "", anchor="middle"))


def draw_label(sheet: Sheet, area: PlanArea, joints: Sequence[tuple[Point, Point]]) -> None:
    """Write the label across the widest clear stretch, or upward in a narrow strip."""
    label = area.label or area.name
    ring = tidy(area.rings[0])
    wide = len(label) * 7.6 + 10
    left, _, right, _ = box(map(sheet.at, ring))
    cuts = [side for cut in area.deductions for side in sides_of(tidy(cut.ring))]
    stretch, centre = clear_stretch(ring, [*joints, *cuts], 16 / sheet.scale)
    x, y = sheet.at(centre)
    if stretch * sheet.scale >= wide or right - left >= 0.8 * wide:
        sheet.pieces.append(words(label, x, y + 4.5, "bold", anchor="middle"))
        return
    x, y = sheet.at(middle(ring))
    upward = f' transform="rotate(-90 {x + 4.5:.1f} {y:.1f})"'
    sheet.pieces.append(words(label, x + 4.5, y, "bold", anchor="middle", extra=upward))


def draw_dimensions(sheet: Sheet, ring: Ring) -> None:
    """Draw dimension lines outside the outline: each side, or overall where there are many."""
    corners = tidy(ring)
    left, bottom, right, top = box(corners)
    overall = [((left, top), (right, top)), ((left, bottom), (left, top))]
    sides = sides_of(corners)
    if len(sides) > MOST_SIDES or is_rectangle(sides):
        sides = overall
    elif area_of(corners) > 0:
        sides = [(end, start) for start, end in sides]  # so that outside lies on one hand
    for start, end in sides:
        if math.dist(start, end) * sheet.scale >= 24:
            draw_dimension(sheet, start, end)


def draw_dimension(sheet: Sheet, start: Point, end: Point) -> None:
    """Draw one dimension outside a side taken clockwise: a line, its two ticks, the length."""
    (x1, y1), (x2, y2) = sheet.at(start), sheet.at(end)
    size = math.hypot(x2 - x1, y2 - y1)
    nx, ny = (y2 - y1) / size, -(x2 - x1) / size  # outward
    a = (x1 + nx * OFFSET, y1 + ny * OFFSET)
    b = (x2 + nx * OFFSET, y2 + ny * OFFSET)
    sheet.pieces.append(line(a, b, "dim", SOFT, 0.9))
    for x, y in (a, b):
        tick = (x - nx * 5, y - ny * 5), (x + nx * 5, y + ny * 5)
        sheet.pieces.append(line(*tick, "dim", SOFT, 0.9))
    turn = reading_turn(math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])))
    # The middle of the figure lies 9 out from the line; its baseline 4 below, as it is turned.
    x = (a[0] + b[0]) / 2 + nx * 9 - 4 * math.sin(math.radians(turn))
    y = (a[1] + b[1]) / 2 + ny * 9 + 4 * math.cos(math.radians(turn))
    text = f"{math.dist(start, end):.2f} m"
    spin = f' transform="rotate({turn:.1f} {x:.1f} {y:.1f})"' if abs(turn) > 0.05 else ""
    sheet.pieces.append(words(text, x, y, "", anchor="middle", extra=spin))


def reading_turn(angle: float) -> float:
    """Return the angle at which a figure reads from the left or from below."""
    if angle > 90 - 0.05:
        return angle - 180
    return angle + 180 if angle < -90 - 0.05 else angle


def describe(areas: Sequence[PlanArea], *, apart: bool) -> str:
    """Return the plan in words: each area with its overall size and what is deducted."""
    sentences = []
    for area in areas:
        left, bottom, right, top = box(outline(area))
        cuts = ", ".join(cut.label or "a part" for cut in area.deductions)
        less = f", less {cuts}" if cuts else ""
        name = area.label or area.name
        sentences.append(f"{name}: {right - left:.2f} m by {top - bottom:.2f} m overall{less}.")
    if apart:
        sentences.append("The areas are set side by side; their places on the site are not shown.")
    return " ".join(sentences)


def check(areas: Sequence[PlanArea]) -> None:
    """Refuse what cannot be drawn."""
    rings = [ring for area in areas for ring in (*area.rings, *(c.ring for c in area.deductions))]
    if not rings:
        raise ValueError("There is no area to draw.")
    for ring in rings:
        if len(ring) < 3:
            raise ValueError("An outline needs at least three corners.")
        if not all(math.isfinite(x) and math.isfinite(y) for x, y in ring):
            raise ValueError("Every corner needs two finite figures in metres.")


def outline(area: PlanArea) -> list[Point]:
    """Return all corners of an area's outlines."""
    return [point for ring in area.rings for point in ring]


def overlapping(areas: Sequence[PlanArea]) -> bool:
    """Return whether the boxes of two areas overlap by more than a touch."""
    boxes = [box(outline(area)) for area in areas]
    return any(
        min(a[2], b[2]) - max(a[0], b[0]) > 0.01 and min(a[3], b[3]) - max(a[1], b[1]) > 0.01
        for n, a in enumerate(boxes)
        for b in boxes[n + 1 :]
    )


def side_by_side(areas: Sequence[PlanArea]) -> list[PlanArea]:
    """Return the areas moved into a row, their tops level and a gap between them."""
    boxes = [box(outline(area)) for area in areas]
    # Dimension lines take the same room on paper, however large the plan.
    gap = max(GAP, DIMENSION * sum(right - left for left, _, right, _ in boxes))
    row, x = [], 0.0
    for area, (left, _, right, top) in zip(areas, boxes, strict=True):
        row.append(moved(area, x - left, -top))
        x += right - left + gap
    return row


def moved(area: PlanArea, dx: float, dy: float) -> PlanArea:
    """Return the area moved by dx and dy metres, with all that is in it."""

    def shift(ring: Ring) -> list[Point]:
        return [(x + dx, y + dy) for x, y in ring]

    return replace(
        area,
        rings=[shift(ring) for ring in area.rings],
        deductions=[replace(cut, ring=shift(cut.ring)) for cut in area.deductions],
        bays=[(word, x + dx, y + dy) for word, x, y in area.bays],
    )


def grid_square(scale: float) -> float:
    """Return the side of a grid square in metres: 1, or more where that would be too fine."""
    return next((side for side in (1.0, 2.0, 5.0, 10.0, 20.0, 50.0) if side * scale >= 9), 100.0)
