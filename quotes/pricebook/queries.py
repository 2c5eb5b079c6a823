"""Reads of the price book: rates of a day, and what a pack costs on it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import F

from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO
from quotes.pricebook import rules
from quotes.pricebook.enums import BookKind
from quotes.pricebook.models import (
    FirmRates,
    Ground,
    GroundRate,
    Plant,
    PlantRate,
    SmallJob,
    SmallJobRate,
    WorkItem,
    WorkItemRate,
)
from stock.suppliers.enums import ChannelKind
from stock.suppliers.models import ChannelCharge, SupplierPrice


@dataclass(frozen=True)
class ItemCost:
    """What one unit of a work item costs us on a day, and what it takes from the yard."""

    work_item: WorkItem
    rate: WorkItemRate | None
    unit: rules.UnitCost
    # Why the book's own figures are not whole, as a sentence; '' when they are.
    book_gap: str = ""
    stock: tuple[rules.StockCost, ...] = ()

    @property
    def gap(self) -> str:
        """The first sentence on what is missing, of the book or of a price; '' where nothing is."""
        return next(filter(None, (each.gap for each in self.stock)), self.book_gap)


@dataclass(frozen=True)
class Taken:
    """An item of the yard that a unit of work takes, with its pack: quantities in base units."""

    item_id: int
    name: str
    base_unit: str
    pack_quantity: int
    per_unit: int


def firm_rates(day: date) -> FirmRates:
    """Return the firm's rates of `day`; ServiceError where none hold yet."""
    found = FirmRates.objects.on(day)
    if found is None:
        raise ServiceError(
            "The price book has no rates for that day: give the firm's rates first.",
            code="no_rates",
        )
    rates: FirmRates = found
    return rates


def prices_of(item_ids: Iterable[int]) -> Mapping[int, tuple[rules.PackPrice, ...]]:
    """Return every supplier's prices of these items, all days, in one query."""
    found: dict[int, list[rules.PackPrice]] = {}
    rows = SupplierPrice.objects.filter(
        item_id__in=set(item_ids), supplier__archived_at=None
    ).select_related("supplier")
    for row in rows:
        found.setdefault(row.item_id, []).append(
            rules.PackPrice(
                row.supplier_id, row.supplier.name, row.valid_from, row.from_packs, row.pack_price
            )
        )
    return {item_id: tuple(prices) for item_id, prices in found.items()}


def carriages_of(
    supplier_ids: Iterable[int], day: date
) -> Mapping[int, tuple[rules.Carriage, ...]]:
    """Return what these suppliers charge on `day` to bring an order, in one query.

    Fetching it at the counter costs no carriage and our own time; it counts only where a supplier
    takes orders in no other way.
    """
    found: dict[int, list[rules.Carriage]] = {}
    counter: dict[int, list[rules.Carriage]] = {}
    rows = ChannelCharge.objects.holding(day).filter(channel__supplier_id__in=set(supplier_ids))
    for row in rows.select_related("channel").order_by("channel__supplier_id", "channel__kind"):
        kinds = counter if row.channel.kind == ChannelKind.COUNTER else found
        way = rules.Carriage(row.carriage, row.minimum, row.free_from)
        kinds.setdefault(row.channel.supplier_id, []).append(way)
    return {key: tuple(ways) for key, ways in (counter | found).items()}


BOOK: dict[str, tuple[Any, Any]] = {
    BookKind.PLANT: (Plant, PlantRate),
    BookKind.GROUND: (Ground, GroundRate),
    BookKind.SMALL: (SmallJob, SmallJobRate),
}


def entry_rate(kind: str, entry_id: object, day: date) -> tuple[Any, Any]:
    """Return (entry, its figures on `day`); ServiceError at 'entry' where there are none."""
    model, rate_model = BOOK[kind]
    entry = model.objects.filter(pk=entry_id if isinstance(entry_id, int) else 0).first()
    if entry is None:
        raise ServiceError("Choose one from the list.", field="entry")
    rate = rate_model.objects.filter(entry=entry).on(day)
    if rate is None:
        raise ServiceError(f"'{entry}' has no figures for {day:%d %b %Y}.", field="entry")
    return entry, rate


def rates_on(
    work_items: Iterable[WorkItem], day: date
) -> Mapping[int, tuple[WorkItemRate, tuple[Taken, ...]]]:
    """Return the rate of `day` by work item, with what it takes from the yard, in one query."""
    # A row for each rate and item, so that a quote is reckoned in no more queries than before.
    rows = (
        WorkItemRate.objects.filter(work_item__in=list(work_items), valid_from__lte=day)
        .select_related("machine")
        .annotate(
            taken_id=F("stock__item_id"), taken_name=F("stock__item__name"),
            taken_unit=F("stock__item__base_unit"), taken_pack=F("stock__item__pack_quantity"),
            taken_quantity=F("stock__quantity"),
        )
        .order_by("valid_from", "pk", "stock__pk")
    )  # fmt: skip
    found: dict[int, tuple[WorkItemRate, tuple[Taken, ...]]] = {}
    for row in rows:
        known, taken = found.get(row.work_item_id, (None, ()))
        before = taken if known == row else ()
        own = (
            (Taken(row.taken_id, row.taken_name, row.taken_unit, row.taken_pack,
                   row.taken_quantity),)
            if row.taken_id else ()
        )  # fmt: skip
        found[row.work_item_id] = (row, before + own)
    return found


def costs_of(
    work_items: Iterable[WorkItem],
    day: date,
    *,
    labour_hourly: Decimal,
    quantities: Mapping[int, Decimal] | None = None,
) -> Mapping[int, ItemCost]:
    """Return what a unit of each work item costs on `day`, in two queries; three with machines.

    `quantities` by work item lets a price break count for what is really bought; a single pack
    otherwise. A missing rate or price gives cost 0 and says so in `gap`.
    """
    items = list(work_items)
    rates = rates_on(items, day)
    stocked = [each.item_id for _, taken in rates.values() for each in taken]
    prices = prices_of(stocked) if stocked else {}
    machines = day_rates_on((rate.machine_id for rate, _ in rates.values()), day)
    found = {}
    for item in items:
        rate, taken = rates.get(item.pk, (None, ()))
        waste = rate.waste_percent if rate else ZERO
        quantity = (quantities or {}).get(item.pk, Decimal(1))
        stock = tuple(
            _stock_cost(each, prices.get(each.item_id, ()), day, quantity, waste) for each in taken
        )
        found[item.pk] = _cost(item, rate, stock, machines, day, labour_hourly)
    return found


def _stock_cost(
    taken: Taken, prices: Iterable[rules.PackPrice], day: date, quantity: Decimal, waste: Decimal
) -> rules.StockCost:
    packs = int(-(-taken.per_unit * quantity // taken.pack_quantity))
    price = rules.cheapest(prices, packs, day)
    cost, gap = ZERO, f"'{taken.name}' has no supplier's price for {day:%d %b %Y}."
    if price is not None:
        gap = ""
        cost = rules.stock_cost(taken.per_unit, price.pack_price / taken.pack_quantity, waste)
    return rules.StockCost(
        taken.item_id, taken.name, taken.base_unit, taken.pack_quantity, taken.per_unit, cost, gap
    )


def day_rates_on(machine_ids: Iterable[int | None], day: date) -> Mapping[int, Decimal]:
    """Return what a day of each machine costs on `day`, in one query; none without machines."""
    wanted = {each for each in machine_ids if each is not None}
    if not wanted:
        return {}
    rows = PlantRate.objects.filter(entry__in=wanted, valid_from__lte=day).order_by("valid_from")
    return dict(rows.values_list("entry", "day_rate"))


def _cost(
    item: WorkItem,
    rate: WorkItemRate | None,
    stock: tuple[rules.StockCost, ...],
    machines: Mapping[int, Decimal],
    day: date,
    labour_hourly: Decimal,
) -> ItemCost:
    if rate is None:
        nothing = rules.UnitCost(ZERO, ZERO, ZERO, ZERO, ZERO)
        return ItemCost(item, None, nothing, f"'{item}' has no rate for {day:%d %b %Y}.")
    gap, machine = "", machines.get(rate.machine_id or 0)
    if rate.machine is not None and machine is None:
        gap = f"'{rate.machine}' has no figures for {day:%d %b %Y}."
    unit = rules.build_up(
        labour_hours=rate.labour_hours,
        labour_hourly=labour_hourly,
        plant=rate.plant + rate.machine_days * (machine or ZERO),
        material=rate.material,
        waste_percent=rate.waste_percent,
        stock=sum((each.cost for each in stock), ZERO),
    )
    return ItemCost(item, rate, unit, gap, stock)
