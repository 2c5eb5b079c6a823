"""Reads that draft lines: a survey and the price book of a day meet here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO
from jobs.kernel.posting import digest_of
from jobs.surveys.enums import Condition
from jobs.surveys.models import Survey
from quotes.pricebook.enums import BookKind, Measure, Unit
from quotes.pricebook.models import FirmRates, WorkItem
from quotes.pricebook.queries import (
    ItemCost,
    carriages_of,
    costs_of,
    entry_rate,
    firm_rates,
    prices_of,
)
from quotes.pricebook.rules import UnitCost
from quotes.quoting import rules
from quotes.quoting.enums import LineKind
from quotes.quoting.rules import Draft
from quotes.takeoff.queries import resources, take_off
from quotes.takeoff.rules import TakeOff
from stock.catalogue.models import Item

NO_LABOUR = UnitCost(ZERO, ZERO, ZERO, ZERO, ZERO)


@dataclass(frozen=True)
class Drafted:
    """What a survey and the price book of a day give: lines, and the take-off they come from."""

    take_off: TakeOff
    lines: tuple[Draft, ...]
    rates: FirmRates
    digest: str


def measured_items() -> list[WorkItem]:
    """Return the work items in use whose quantity the survey measures, the laying apart."""
    rows = WorkItem.objects.in_use().exclude(measure=Measure.NONE).filter(is_surface=False)
    return list(rows)


def usual_items(survey: Survey) -> list[WorkItem]:
    """Return the measured work items that this survey calls for.

    Edging where an area has it; lifting-away and the like only where the base is to be replaced.
    """
    replaced = survey.base_condition == Condition.REPLACE
    edged = survey.areas.filter(edging=True).exists()
    wanted = {Measure.AREA: replaced, Measure.EDGE: edged}
    return [item for item in measured_items() if wanted[Measure(item.measure)]]


def measured_quantity(found: TakeOff, measure: str) -> Decimal:
    """Return the survey's figure for a measure: m² of surface, or m of open edge with edging."""
    return {Measure.AREA.value: found.area_m2, Measure.EDGE.value: found.edge_m}.get(measure, ZERO)


def draft_survey(survey: Survey | None, day: date, items: Iterable[WorkItem]) -> Drafted:
    """Return the lines that a survey drafts at the prices of `day`: one surfacing line for each
    colour group, then the given work items by their measured quantities. Their stock is not bought
    yet: `purchase_of` buys for all lines of the quote together.
    """
    rates = firm_rates(day)
    found = take_off(survey)
    lines = list(_surface_lines(found, day, rates))
    chosen = list(items)
    quantities = {item.pk: measured_quantity(found, item.measure) for item in chosen}
    costs = costs_of(chosen, day, labour_hourly=rates.labour_hourly, quantities=quantities)
    lines += [
        draft_work(costs[item.pk], quantities[item.pk], measured=item.measure != Measure.NONE)
        for item in chosen
    ]
    return Drafted(found, tuple(lines), rates, inputs_digest(found))


def _surface_lines(found: TakeOff, day: date, rates: FirmRates) -> Iterable[Draft]:
    if not found.answer:
        return []
    laying = WorkItem.objects.in_use().filter(is_surface=True).first()
    cost, name = NO_LABOUR, "Laying"
    if laying is not None:
        entry = costs_of([laying], day, labour_hourly=rates.labour_hourly)[laying.pk]
        cost, name = entry.unit, laying.name
    groups = dict.fromkeys(session.group for session in found.sessions)
    return [rules.surface_draft(found, group, laying=cost, laying_name=name) for group in groups]


def purchase_of(lines: Sequence[rules.Taker], day: date) -> rules.Purchase:
    """Return the cheapest purchase of all that the lines of a quote take, at the prices of `day`.

    Three queries, whatever the number of lines; none where nothing is taken.
    """
    wanted = {row["item"] for line in lines for row in line.stock if "wanted" in row}
    if not wanted:
        return rules.Purchase()
    prices = prices_of(wanted)
    suppliers = {price.supplier_id for known in prices.values() for price in known}
    return rules.buy(lines, stocked_of(wanted), prices, carriages_of(suppliers, day), day)


def stocked_of(item_ids: Iterable[int]) -> dict[int, rules.Stocked]:
    """Return names and packs of items, in one query."""
    rows = Item.objects.filter(pk__in=set(item_ids)).values_list(
        "pk", "name", "pack_name", "pack_quantity"
    )
    return {pk: rules.Stocked(name, pack, quantity) for pk, name, pack, quantity in rows}


def draft_work(
    cost: ItemCost, quantity: Decimal, *, measured: bool, kind: str = LineKind.WORK
) -> Draft:
    """Return a line of a work item at a quantity."""
    item, rate = cost.work_item, cost.rate
    factor = 1 + rate.waste_percent / 100 if rate is not None else Decimal(1)
    return rules.work_draft(
        work_item_id=item.pk, name=item.name, unit=item.unit,
        unit_label=Unit(item.unit).label, cost=cost.unit, gap=cost.book_gap, quantity=quantity,
        measured=measured, kind=kind, taken=cost.stock, stock_factor=factor,
    )  # fmt: skip


def inputs_digest(found: TakeOff) -> str:
    """Return the hash of what a take-off was asked."""
    return digest_of({"document": found.document, "spares": found.settings.spare_mixes})


def draft_asked(
    kind: str, asked: Mapping[str, Any], day: date, *, rates: FirmRates, area_m2: Decimal
) -> Draft:
    """Return a line reckoned from what was asked, at the figures of `day`.

    area_m2: the survey's surface, which muck takes where no area was typed. Raises ServiceError
    at the field that will not do.
    """
    if kind == LineKind.TRAVEL:
        return rules.travel_draft(asked, mile_rate=rates.mile_rate, hourly=rates.labour_hourly)
    if kind == LineKind.DAYWORK:
        return rules.daywork_draft(
            asked, hourly=rates.labour_hourly, percents=rates.daywork_percents
        )
    if kind == LineKind.HIRE:
        entry, rate = entry_rate(BookKind.PLANT, asked.get("entry"), day)
        return rules.hire_draft(asked, entry.name, rate)
    if kind == LineKind.MUCK:
        entry, rate = entry_rate(BookKind.GROUND, asked.get("entry"), day)
        typed = rules.figure(asked, "area_m2")
        return rules.muck_draft(asked, entry.name, rate, typed or area_m2)
    if kind == LineKind.SMALL:
        entry, rate = entry_rate(BookKind.SMALL, asked.get("entry"), day)
        return rules.small_draft(asked, entry.name, entry.unit, rate, rates.labour_hourly)
    raise ServiceError("Choose what the line is.", field="kind")


def pace_of_survey(found: TakeOff, crew: int) -> Decimal | None:
    """Return the m² that the firm's mixers and so many people lay in a day at most."""
    _, mixers = resources()
    return rules.pace_a_day(found, crew, mixers)
