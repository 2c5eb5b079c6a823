"""Take-offs to measure: figures of our own, none of a maker's."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

BLEND: dict[str, Any] = {
    "kit": {
        "part_a": "4.8 kg",
        "part_b": "2.2 kg",
        "working_time_20c": "26 min",
        "cure_time_20c": "10 h",
        "uv_stable": True,
    },
    "components": [
        {"name": "stone 2-6 mm", "bag": "20 kg", "bags": 4, "max_size": "6.3 mm"},
        {"name": "stone 1-2 mm", "bag": "20 kg", "bags": 1, "max_size": "2 mm"},
        {"name": "fine sand", "bag": "5 kg", "bags": 1},
    ],
    "compacted_density": "1778 kg/m^3",
}


def area(name: str, *shapes: dict[str, Any], depth: str = "20 mm") -> dict[str, Any]:
    return {
        "name": name,
        "use": "vehicles",
        "depth": depth,
        "base_texture": "0.5 mm",
        "outdoors": True,
        "shapes": list(shapes),
    }


def six_areas(n: int = 0) -> dict[str, Any]:
    """A drive with paths: six areas, every common kind of shape; `n` varies the measurements."""
    more = n % 97 / 100
    corners = [[0, 0], [4.2, 0], [5.1, 2.6], [2.9, 4.4 + more], [0.4, 3.1]]
    diameter = {"kind": "circle", "diameter": "0.6 m", "deduct": True}
    areas = [
        area(
            "drive",
            {"kind": "rectangle", "length": f"{6.2 + more:.2f} m", "width": "3.4 m"},
            diameter,
        ),
        area("turning place", {"kind": "outline", "points": corners}),
        area("path", {"kind": "triangle", "a": "3 m", "b": f"{4 + more:.2f} m", "c": "5 m"}),
        area("round bed", {"kind": "ring", "outer_diameter": "5 m", "inner_diameter": "2.6 m"}),
        area(
            "apron",
            {"kind": "trapezium", "a": "4.1 m", "b": "3.3 m", "height": f"{1.8 + more:.2f} m"},
            depth="24 mm",
        ),
        area("bay", {"kind": "sector", "radius": "2.4 m", "angle": "90 deg"}),
    ]
    return {"blend": deepcopy(BLEND), "areas": areas, "waste_percent": 5, "air": "12 degC"}


def one_area(length_cm: int, width_cm: int, deduct_cm: int, depth_mm: int) -> dict[str, Any]:
    """A rectangle less a round cover, as a row of a spreadsheet would hold it."""
    shapes = (
        {"kind": "rectangle", "length": f"{length_cm} cm", "width": f"{width_cm} cm"},
        {"kind": "circle", "diameter": f"{deduct_cm} cm", "deduct": True},
    )
    return {
        "blend": deepcopy(BLEND),
        "areas": [area("drive", *shapes, depth=f"{depth_mm} mm")],
        "waste_percent": 5,
        "air": "12 degC",
    }
