"""Reckoning of movements without rows: what may come back, and which count needs a second look."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from stock.catalogue.enums import ItemKind

# Differences of a count up to this value are approved by whoever counts.
COUNT_LIMIT = Decimal("50.00")


def refuse_return(
    *, kind: str, code: str, opened: bool, quantity: int, pack_quantity: int, expiry: date | None,
    day: date,
) -> str:  # fmt: skip
    """Return why this cannot come back into stock, or ''.

    An opened kit is waste; so is a kit past its date, since nobody could use it. Other packs come
    back whole, or opened and then held.
    """
    if kind == ItemKind.KIT and opened:
        return f"An opened kit does not come back: book what is left of {code} as waste."
    if expiry is not None and expiry < day:
        return (
            f"{code} was to be used by {expiry:%d %b %Y} and does not come back into stock: "
            "book it as waste."
        )
    if not opened and quantity % pack_quantity:
        return f"Only whole packs of {code} come back unopened; give opened ones apart."
    return ""


def draw_from(balances: Iterable[tuple[int, int]], quantity: int) -> list[tuple[int, int]]:
    """Return (place, quantity) parts that make up `quantity`, from balances in their order.

    What the balances lack is asked of the first, so that the ledger says what is missing there.
    """
    parts: list[tuple[int, int]] = []
    left = quantity
    for place_id, there in balances:
        part = min(left, there)
        if part > 0:
            parts.append((place_id, part))
            left -= part
    if left > 0 and parts:
        place_id, part = parts[0]
        parts[0] = (place_id, part + left)
    return parts
