"""What suppliers offer: prices of a day, and each channel's terms as the rules take them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from jobs.calendar.queries import bank_holidays, yard_calendar
from jobs.calendar.rules import WorkingCalendar
from jobs.kernel.clock import LONDON
from jobs.kernel.money import round_line
from stock.ordering.rules import ChannelTerms, carriage_for
from stock.suppliers.enums import SupplierCalendar
from stock.suppliers.models import Channel, ChannelCharge, Supplier, SupplierPrice


@dataclass(frozen=True)
class ChannelOffer:
    """An item from a supplier on one channel: terms, and the price of a pack by how many."""

    charge: ChannelCharge
    terms: ChannelTerms
    breaks: tuple[tuple[int, Decimal], ...]

    @property
    def channel(self) -> Channel:
        """The channel, whose charges of the day these are."""
        return self.charge.channel

    def pack_price(self, packs: int) -> Decimal:
        """Return what a pack costs when so many are ordered; below the first break, the first."""
        price = self.breaks[0][1]
        for least, at_least in self.breaks:
            if packs >= least:
                price = at_least
        return price

    def best_packs(self, packs: int) -> int:
        """Return `packs`, or the next break's number where that many cost no more in all."""
        packs = max(packs, self.breaks[0][0])
        now = round_line(self.pack_price(packs) * packs)
        for least, price in self.breaks:
            if least > packs and round_line(price * least) <= now:
                return least
        return packs

    def cost(self, packs: int) -> Decimal:
        """Return goods and carriage of so many packs ordered alone, without VAT."""
        goods = round_line(self.pack_price(packs) * packs)
        return goods + carriage_for(goods, self.charge.carriage, self.charge.free_from)


def terms_of(channels: Iterable[Channel]) -> dict[int, ChannelTerms]:
    """Return the terms of channels loaded by `charges_with_terms`; reads only our own calendar.

    A supplier on London's clock keeps the bank holidays of England and Wales beside his own days.
    """
    receives = yard_calendar()
    return {channel.pk: _terms(channel, receives) for channel in channels}


def charges_with_terms(on: date) -> Iterable[ChannelCharge]:
    """Return what each channel of the suppliers in use charges on a day, with all its terms need.

    A channel whose first charges are still to come is left out.
    """
    return (
        ChannelCharge.objects.holding(on)
        .filter(channel__supplier__archived_at=None)
        .select_related("channel__supplier")
        .prefetch_related("channel__cutoffs", "channel__supplier__closed_days")
        .order_by("channel__supplier_id", "channel_id")
    )


def _terms(channel: Channel, receives: WorkingCalendar) -> ChannelTerms:
    supplier = channel.supplier
    clock = clock_of(supplier)
    shared = bank_holidays() if clock.key == LONDON.key else frozenset()
    closed: dict[str, set[date]] = defaultdict(set)
    for row in supplier.closed_days.all():
        closed[row.calendar].add(row.day)
    works = closed[SupplierCalendar.WORKS] | shared
    return ChannelTerms(
        clock=clock,
        cutoffs={row.weekday: row.wall_time for row in channel.cutoffs.all()},
        lead_days=channel.lead_days,
        works=WorkingCalendar(supplier.works, frozenset(works)),
        delivers=WorkingCalendar(
            supplier.delivers, frozenset(closed[SupplierCalendar.DELIVERS] | shared)
        ),
        receives=receives,
    )


def clock_of(supplier: Supplier) -> ZoneInfo:
    """Return the supplier's zone; an unknown name is taken for London's."""
    try:
        return ZoneInfo(supplier.clock)
    except (ZoneInfoNotFoundError, ValueError):
        return LONDON


def prices_on(
    on: date, item_ids: Collection[int]
) -> dict[int, dict[int, tuple[tuple[int, Decimal], ...]]]:
    """Return item -> supplier -> ((from packs, price), …) in force on a day; one query."""
    latest: dict[tuple[int, int, int], Decimal] = {}
    rows = SupplierPrice.objects.filter(
        item_id__in=item_ids, valid_from__lte=on, supplier__archived_at=None
    ).order_by("valid_from")
    for row in rows:
        latest[(row.item_id, row.supplier_id, row.from_packs)] = row.pack_price
    found: dict[int, dict[int, list[tuple[int, Decimal]]]] = defaultdict(lambda: defaultdict(list))
    for (item_id, supplier_id, from_packs), price in sorted(latest.items()):
        found[item_id][supplier_id].append((from_packs, price))
    return {
        item_id: {supplier: tuple(breaks) for supplier, breaks in sellers.items()}
        for item_id, sellers in found.items()
    }


def offers_for(item_ids: Collection[int], *, on: date) -> dict[int, list[ChannelOffer]]:
    """Return for each item every channel of every supplier who sells it on a day.

    A fixed number of queries, however many items; an item that nobody sells has an empty list.
    """
    charges = list(charges_with_terms(on))
    terms = terms_of(charge.channel for charge in charges)
    prices = prices_on(on, item_ids)
    return {
        item_id: [
            ChannelOffer(
                charge, terms[charge.channel_id], prices[item_id][charge.channel.supplier_id]
            )
            for charge in charges
            if charge.channel.supplier_id in prices.get(item_id, {})
        ]
        for item_id in item_ids
    }
