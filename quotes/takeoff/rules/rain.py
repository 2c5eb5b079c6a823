"""Storage of rain under a permeable surface, from a rainfall table as it was typed."""

from __future__ import annotations

from collections.abc import Sequence

from quotes.engine.water import Rain, Storage, design_infiltration, storage_depth


def storage_of(
    table: Sequence[tuple[float, float]],
    infiltration_mm_h: float,
    safety: float,
    voids_percent: float,
    ratio: float,
) -> Storage:
    """Return the depth of stone for the worst storm. Raises EngineError.

    table: (minutes, mm of rain); infiltration: mm/h as measured, before its factor of safety.
    """
    rain = [Rain(60 * minutes, depth / 1000) for minutes, depth in table]
    speed = design_infiltration(infiltration_mm_h / 3.6e6, safety)
    return storage_depth(rain, speed, voids_percent / 100, ratio)
