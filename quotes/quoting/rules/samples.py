"""The sample that a customer was shown, held against the blends that are quoted."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from quotes.takeoff.rules import Card


def sample_words(name: str, shown_on: date, signed_by: str) -> str:
    """Return what the sheet says of the sample."""
    signed = f", signed by {signed_by}" if signed_by else ""
    return f"{name}, shown on {shown_on.day} {shown_on:%B %Y}{signed}"


def sample_differs(blend_id: int | None, cards: Mapping[str, Card]) -> tuple[str, ...]:
    """Return the colour groups whose blend is another than the sample's; () without a sample."""
    if blend_id is None:
        return ()
    return tuple(
        f"{group}: {card.name}" for group, card in cards.items() if card.blend_id != blend_id
    )


def sample_warning(name: str, others: tuple[str, ...]) -> str:
    """Return the sentence where what is quoted is not what was shown; '' where it is."""
    if not others:
        return ""
    return f"The sample shown was {name}; quoted is another blend for {'; '.join(others)}."
