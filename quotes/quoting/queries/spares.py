"""Reads of what a spare mix costs, and what running short costs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from jobs.kernel.money import ZERO, round_line
from quotes.pricebook.queries import firm_rates, prices_of
from quotes.pricebook.rules import cheapest
from quotes.quoting.rules import SpareCosts, spare_costs, unopened_cost
from quotes.takeoff.rules import Card, Pack, TakeOff


@dataclass(frozen=True)
class SpareSheet:
    """What a spare costs used and unopened, what running short costs, and both weighed."""

    mix: Decimal
    unopened: Decimal
    short: Decimal
    costs: SpareCosts | None
    gap: str = ""


def spare_sheet(
    found: TakeOff, day: date, *, asked: Mapping[str, Decimal], visit: Mapping[str, Decimal]
) -> SpareSheet:
    """Return what spares and running short cost at the prices of `day`.

    asked: carriage, handling_hours and expiry of a spare that comes back; visit: hours of labour
    and miles of a second visit, which also takes a mix. ServiceError without the firm's rates.
    """
    rates = firm_rates(day)
    mix, gap = mix_cost(found, day)
    unopened = unopened_cost(mix, hourly=rates.labour_hourly, **asked)
    short = mix + round_line(
        visit["hours"] * rates.labour_hourly + visit["miles"] * rates.mile_rate
    )  # fmt: skip
    costs = spare_costs(found, unopened=unopened, short=short)
    return SpareSheet(mix, unopened, short, costs, gap)


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
