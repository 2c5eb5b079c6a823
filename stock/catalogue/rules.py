"""A blend card as the engine reads it: whether it holds, and what follows from it."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from quotes.engine.cards import Blend, Component, Kit, make_blend

SHEET_LAST_WORD = "See the safety data sheet."


def with_last_word(note: str) -> str:
    """Return a storage or hazard note that ends with the safety data sheet, said once."""
    plain = " ".join(note.split())
    if plain.rstrip(".").casefold().endswith(SHEET_LAST_WORD.rstrip(".").casefold()):
        return plain
    return f"{plain}{'' if plain.endswith(('.', '!')) else '.'} {SHEET_LAST_WORD}"


def card(
    *,
    kit: Any,
    components: Sequence[tuple[Any, Decimal]],
    yield_area_m2: Decimal | None,
    yield_depth_mm: Decimal | None,
    compacted_density: Decimal | None,
) -> Blend:
    """Return the engine's blend of a kit and (item, bags) pairs.

    `kit` and the items have the fields of `Item`. Raises the engine's BlendError where yield and
    density disagree by more than 1 %, or the card makes no sense.
    """
    engine_kit = Kit(
        part_a_kg=(kit.part_a_g or 0) / 1000,
        part_b_kg=(kit.part_b_g or 0) / 1000,
        working_20_s=60.0 * (kit.working_min_20c or 0),
        cure_20_s=60.0 * (kit.cure_min_20c or 0),
        uv_stable=kit.uv_stable,
    )
    bags = [
        Component(
            name=item.name,
            bag_kg=item.pack_mass_g / 1000,
            bags=float(count),
            max_size_m=float(item.size_high_mm) / 1000 if item.size_high_mm else None,
        )
        for item, count in components
    ]
    printed = None
    if yield_area_m2 is not None and yield_depth_mm is not None:
        printed = (float(yield_area_m2), float(yield_depth_mm) / 1000)
    density = None if compacted_density is None else float(compacted_density)
    return make_blend(engine_kit, bags, "blend", density=density, yield_m2_m=printed)
