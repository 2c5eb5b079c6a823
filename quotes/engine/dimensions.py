"""The kinds of quantity that are read from text, with their units and what range makes sense.

Conversion factors are exact ratios: the international yard and pound of 1959, and SI. The ranges
only keep out slips of the pen and figures that would overflow.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Dimension:
    """A kind of quantity: its units as exact ratios to SI, and the range that makes sense.

    `within` pairs a unit with the smaller one that may follow it ('12 ft 6 in').
    """

    name: str
    si: str
    units: Mapping[str, tuple[float, float]]
    least: float
    most: float
    example: str
    within: Mapping[str, tuple[str, ...]]


LENGTH: Final = Dimension(
    "length",
    "metre",
    {
        "m": (1, 1),
        "mm": (1, 1000),
        "cm": (1, 100),
        "km": (1000, 1),
        "ft": (3048, 10000),
        "in": (254, 10000),
        "yd": (9144, 10000),
    },
    1e-6,
    1e5,
    "'3.2 m', '3200 mm' or '12 ft 6 in'",
    {"ft": ("in",), "yd": ("ft", "in"), "m": ("cm", "mm")},
)
AREA: Final = Dimension(
    "area",
    "metre ** 2",
    {
        "m^2": (1, 1),
        "cm^2": (1, 1e4),
        "mm^2": (1, 1e6),
        "ft^2": (9290304, 1e8),
        "yd^2": (83612736, 1e8),
    },
    1e-6,
    1e7,
    "'3.15 m^2'",
    {},
)
MASS: Final = Dimension(
    "mass",
    "kilogram",
    {"kg": (1, 1), "g": (1, 1000), "t": (1000, 1), "lb": (45359237, 1e8)},
    1e-3,
    1e6,
    "'4.8 kg'",
    {},
)
DENSITY: Final = Dimension(
    "density",
    "kilogram / metre ** 3",
    {
        "kg/m^3": (1, 1),
        "g/cm^3": (1000, 1),
        "t/m^3": (1000, 1),
        "kg/L": (1000, 1),
        "g/L": (1, 1),
        "lb/ft^3": (45359237 * 10000.0, 28316846592),
    },
    100.0,
    25_000.0,
    "'1778 kg/m^3'",
    {},
)
DURATION: Final = Dimension(
    "time",
    "second",
    {"s": (1, 1), "min": (60, 1), "h": (3600, 1), "d": (86400, 1)},
    1.0,
    366 * 86400.0,
    "'26 min' or '10 h'",
    {"h": ("min",), "d": ("h",), "min": ("s",)},
)
ANGLE: Final = Dimension(
    "angle",
    "radian",
    {"deg": (math.pi, 180), "°": (math.pi, 180), "degree": (math.pi, 180), "rad": (1, 1)},
    1e-6,
    2 * math.pi,
    "'90 deg'",
    {},
)
PERCENT: Final = Dimension("percentage", "percent", {"%": (1, 1)}, 0.0, 100.0, "'70 %'", {})
