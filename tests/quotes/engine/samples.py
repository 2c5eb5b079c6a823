"""Documents and shapes for the engine's tests; figures of our own."""

import copy
import math
from typing import Any

from hypothesis import strategies as st

KIT: dict[str, Any] = {
    "part_a": "4.8 kg",
    "part_b": "2.2 kg",
    "working_time_20c": "26 min",
    "cure_time_20c": "10 h",
    "uv_stable": True,
}
BLEND: dict[str, Any] = {
    "kit": KIT,
    "components": [
        {"name": "stone 2-6 mm", "bag": "20 kg", "bags": 4, "max_size": "6.3 mm"},
        {"name": "stone 1-2 mm", "bag": "20 kg", "bags": 1, "max_size": "2 mm"},
        {"name": "fine sand", "bag": "5 kg", "bags": 1},
    ],
    "yield": {"area": "3.15 m^2", "depth": "20 mm"},
}
AREA: dict[str, Any] = {
    "name": "drive",
    "use": "vehicles",
    "depth": "20 mm",
    "base_texture": "0 mm",
    "outdoors": True,
    "shapes": [
        {"kind": "rectangle", "length": "6.2 m", "width": "3.4 m"},
        {"kind": "circle", "diameter": "0.6 m", "deduct": True},
    ],
}
DOCUMENT: dict[str, Any] = {"blend": BLEND, "areas": [AREA], "waste_percent": 5, "air": "12 degC"}


def document(**changes: Any) -> dict[str, Any]:
    """A fresh copy of the design's example, with top-level keys changed."""
    return {**copy.deepcopy(DOCUMENT), **changes}


def area(**changes: Any) -> dict[str, Any]:
    """A fresh copy of its area, with keys changed."""
    return {**copy.deepcopy(AREA), **changes}


def square(metres: float, **changes: Any) -> dict[str, Any]:
    """An area that is one square of so many square metres."""
    side = f"{math.sqrt(metres)!r} m"
    return area(shapes=[{"kind": "rectangle", "length": side, "width": side}], **changes)


def blend(**changes: Any) -> dict[str, Any]:
    """A fresh copy of its blend card, with keys changed."""
    return {**copy.deepcopy(BLEND), **changes}


def kit(**changes: Any) -> dict[str, Any]:
    """A fresh copy of its kit, with keys changed."""
    return {**KIT, **changes}


def metres(low: float = 0.2, high: float = 30.0) -> st.SearchStrategy[str]:
    """Lengths as text, to the millimetre, as a tape gives them."""
    whole = st.integers(round(low * 1000), round(high * 1000))
    return whole.flatmap(
        lambda mm: st.sampled_from([f"{mm} mm", f"{mm / 1000} m", f"{mm / 10} cm"])
    )


@st.composite
def shapes(draw: st.DrawFn) -> dict[str, Any]:
    """A valid added shape of any kind but the offsets, whose edge is never known."""
    kind = draw(st.sampled_from(["rectangle", "triangle", "trapezium", "circle", "sector", "ring"]))
    a, b = (draw(st.integers(300, 20_000)) for _ in range(2))
    long, short = max(a, b) + 1, min(a, b)
    found: dict[str, dict[str, Any]] = {
        "rectangle": {"length": f"{a} mm", "width": f"{b} mm"},
        "triangle": {"a": f"{a} mm", "b": f"{b} mm", "c": f"{(abs(a - b) + a + b) // 2} mm"},
        "trapezium": {"a": f"{a} mm", "b": f"{b} mm", "height": f"{short} mm"},
        "circle": {"diameter": f"{a} mm"},
        "sector": {"radius": f"{a} mm", "angle": f"{draw(st.integers(1, 360))} deg"},
        "ring": {"outer_diameter": f"{long} mm", "inner_diameter": f"{short} mm"},
    }
    return {"kind": kind, **found[kind]}


@st.composite
def documents(draw: st.DrawFn) -> dict[str, Any]:
    """A valid document: one to five areas, in one to three sessions."""
    areas = []
    for k in range(draw(st.integers(1, 5))):
        each = area(
            name=f"area {k}",
            use=draw(st.sampled_from(["pedestrian", "vehicles", "heavy"])),
            depth=f"{draw(st.integers(12, 30))} mm",
            base_texture=f"{draw(st.integers(0, 30)) / 10} mm",
            shapes=draw(st.lists(shapes(), min_size=1, max_size=3)),
        )
        session = draw(st.sampled_from([None, "front", "back"]))
        if session:
            each["session"] = session
        areas.append(each)
    return document(
        areas=areas,
        waste_percent=draw(st.integers(0, 200)) / 10,
        air=f"{draw(st.integers(0, 40))} degC",
    )
