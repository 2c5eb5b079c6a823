"""Reads of what a spare mix costs, and what running short costs."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from jobs.kernel.money import ZERO, round_line
from quotes.pricebook.queries import prices_of
from quotes.pricebook.rules import cheapest
from quotes.takeoff.rules import Card, Pack, TakeOff


def mix_cost(found: TakeOff, day: date) -> tuple[Decimal, str]:
    """Return the dearest blend's material for one mix at the prices of `day`, and what is missing.

    The price of a single pack counts, since a spare is bought on top.
    """
    packs = {p.item_id: p for card in found.cards.values() for p, _ in _mix_of(card)}
    prices = prices_of(packs)
    gap, most = "", ZERO
    for card in found.cards.values():
        total = ZERO
        for pack, amount in _mix_of(card):
            price = cheapest(prices.get(pack.item_id, ()), 1, day)
            if price is None:
                gap = f"'{pack.name}' has no supplier's price."
            else:
                total += round_line(price.pack_price * amount)
        most = max(most, total)
    return most, gap


def _mix_of(card: Card) -> list[tuple[Pack, Decimal]]:
    return [(card.kit, Decimal(1)), *card.components]
