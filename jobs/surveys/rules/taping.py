"""What is taped for each kind of shape, and how it is typed and read back.

The engine's keys name the measurements; lengths stay texts with a unit, as they were written down.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from jobs.surveys.enums import ShapeKind

LENGTH, ANGLE, FLAG, CHOICE, CORNERS, LENGTHS, TRIANGLES = (
    "length", "angle", "flag", "choice", "corners", "lengths", "triangles",
)  # fmt: skip
NUMBER = re.compile(r"[+-]?(\d{1,12}(\.\d{0,12})?|\.\d{1,12})\Z")


@dataclass(frozen=True)
class Taped:
    """One thing to type for a shape: the engine's key, what it is called, how it is written."""

    key: str
    label: str
    kind: str = LENGTH
    help: str = ""
    required: bool = True
    choices: tuple[tuple[str, str], ...] = ()


UNITS = tuple((unit, unit) for unit in ("m", "mm", "cm", "ft", "in", "yd"))
RULES = (("simpson", "Simpson's rule"), ("trapezoidal", "trapezoidal rule"))
TAPED: dict[str, tuple[Taped, ...]] = {
    ShapeKind.RECTANGLE: (Taped("length", "Length"), Taped("width", "Width")),
    ShapeKind.TRIANGLE: (
        Taped("a", "First side"), Taped("b", "Second side"), Taped("c", "Third side"),
    ),
    ShapeKind.TRAPEZIUM: (
        Taped("a", "One parallel side"), Taped("b", "The other parallel side"),
        Taped("height", "Distance between them", help="Square across, not along the slope."),
        Taped("isosceles", "The other two sides are equal", FLAG, required=False),
    ),
    ShapeKind.CIRCLE: (Taped("diameter", "Diameter"),),
    ShapeKind.SECTOR: (
        Taped("radius", "Radius"), Taped("angle", "Angle", ANGLE, help="Such as 90 deg."),
    ),
    ShapeKind.RING: (
        Taped("outer_diameter", "Outer diameter"), Taped("inner_diameter", "Inner diameter"),
    ),
    ShapeKind.OUTLINE: (
        Taped("points", "Corners in order round the edge", CORNERS,
              help="One corner a line: x, y. Such as 0, 0 then 6.2, 0 then 6.2, 3.4."),
        Taped("unit", "Measured in", CHOICE, choices=UNITS),
    ),
    ShapeKind.OFFSETS: (
        Taped("offsets", "Offsets from the base line", LENGTHS,
              help="In order, with commas or on lines: 2.1 m, 2.4 m, 2.2 m."),
        Taped("spacing", "Equal spacing along the base line", required=False),
        Taped("distances", "Or each distance along the base line", LENGTHS, required=False,
              help="One for each offset: 0 m, 1.5 m, 2.8 m."),
        Taped("rule", "Reckoned by", CHOICE, choices=RULES),
    ),
    ShapeKind.SIDES: (
        Taped("triangles", "Triangles by their three sides", TRIANGLES,
              help="One triangle a line: 5.2 m, 4.1 m, 6.6 m. A diagonal is in two of them."),
    ),
}  # fmt: skip
EXAMPLE = "Such as 3.2 m, 3200 mm or 12 ft 6 in."


class TypedError(ValueError):
    """What was typed cannot be read: `key` names the measurement, the message says why."""

    def __init__(self, key: str, message: str) -> None:
        super().__init__(message)
        self.key = key
        self.message = message


def split_list(text: str) -> list[str]:
    """Return the entries of a list typed with commas, semicolons or on lines."""
    return [part.strip() for part in re.split(r"[,;\n]", text) if part.strip()]


def split_lines(text: str) -> list[str]:
    """Return the entries typed one a line, or with semicolons between."""
    return [part.strip() for part in re.split(r"[;\n]", text) if part.strip()]


def read_corners(key: str, text: str) -> list[list[float]]:
    """Return the corners as [x, y]; TypedError names the line that is not two numbers."""
    corners = []
    for number, line in enumerate(split_lines(text), start=1):
        parts = [part for part in re.split(r"[,\s]+", line.strip("()[] ")) if part]
        if len(parts) != 2 or not all(NUMBER.match(part) for part in parts):
            raise TypedError(
                key,
                f"Corner {number}, '{line[:40]}', is not two numbers; write x and y with a comma "
                "between, as 6.2, 3.4.",
            )
        corners.append([float(part) for part in parts])
    return corners


def read_triangles(key: str, text: str) -> list[list[str]]:
    """Return the triangles as three texts each; TypedError names the line that has not three."""
    triangles = []
    for number, line in enumerate(split_lines(text), start=1):
        sides = [part.strip() for part in line.split(",") if part.strip()]
        if len(sides) != 3:
            raise TypedError(
                key,
                f"Triangle {number}, '{line[:40]}', has not three sides; write them with commas "
                "between, as 5.2 m, 4.1 m, 6.6 m.",
            )
        triangles.append(sides)
    return triangles


def read_typed(kind: str, typed: Mapping[str, Any]) -> dict[str, Any]:
    """Return the engine's measurements from what was typed; empty ones are left out.

    Only the form of lists is looked at here; the engine judges the figures. Raises TypedError.
    """
    found: dict[str, Any] = {}
    for taped in TAPED[kind]:
        value = typed.get(taped.key)
        if value in (None, "", False):
            continue
        if taped.kind == CORNERS:
            found[taped.key] = read_corners(taped.key, str(value))
        elif taped.kind == TRIANGLES:
            found[taped.key] = read_triangles(taped.key, str(value))
        elif taped.kind == LENGTHS:
            found[taped.key] = split_list(str(value))
        elif taped.kind == FLAG:
            found[taped.key] = True
        else:
            found[taped.key] = str(value).strip()
    return found


def written(measurements: Mapping[str, Any]) -> dict[str, Any]:
    """Return measurements as they are typed, to change them: lists as lines and commas."""
    typed: dict[str, Any] = {}
    for key, value in measurements.items():
        if key == "points":
            typed[key] = "\n".join(f"{x:g}, {y:g}" for x, y in value)
        elif key == "triangles":
            typed[key] = "\n".join(", ".join(sides) for sides in value)
        elif isinstance(value, list):
            typed[key] = ", ".join(value)
        else:
            typed[key] = value
    return typed


def key_at(where: str, kind: str) -> str:
    """Return which typed field an engine's place means: 'shape.points[2][0]' is 'points'.

    A place that is the shape as a whole is its first measurement.
    """
    parts = where.split(".")
    key = parts[1].split("[")[0] if len(parts) > 1 else ""
    known = {taped.key for taped in TAPED[kind]} | {"shared", "restrained", "deduct"}
    return key if key in known else TAPED[kind][0].key
