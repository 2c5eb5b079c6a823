"""Reads of quotes: what a survey drafts, what a revision comes to, and the sheet of it.

Long because: each refusal and each state has its own short test.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.conf import settings

from jobs.billing.rules import deposit_of
from jobs.kernel.money import ZERO, round_line
from jobs.kernel.posting import digest_of
from jobs.surveys.enums import Condition
from jobs.surveys.models import QUESTIONS, Survey
from jobs.surveys.queries import survey_plan
from quotes.pricebook.enums import Measure, Unit
from quotes.pricebook.models import FirmRates, WorkItem
from quotes.pricebook.queries import ItemCost, costs_of, firm_rates, prices_of
from quotes.pricebook.rules import UnitCost, cheapest
from quotes.quoting import rules
from quotes.quoting.enums import LineKind, RevisionState
from quotes.quoting.models import Line, Revision
from quotes.quoting.rules import Draft, Priced, QuoteSheet, Reckoning, SheetLine
from quotes.quoting.rules.sheet import SheetArea
from quotes.takeoff.queries import planning_sheet, take_off
from quotes.takeoff.rules import Card, Pack, TakeOff, cautions_for_customer, purchases_of

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


def draft_survey(survey: Survey, day: date, items: Iterable[WorkItem]) -> Drafted:
    """Return the lines that a survey drafts at the prices of `day`: one surfacing line for each
    colour group, then the given work items by their measured quantities.
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
    prices = prices_of(each.pack.item_id for each in purchases_of(found))
    groups = dict.fromkeys(session.group for session in found.sessions)
    return [
        rules.surface_draft(
            found, group, laying=cost, laying_name=name, prices=prices, day=day
        )
        for group in groups
    ]  # fmt: skip


def draft_work(
    cost: ItemCost, quantity: Decimal, *, measured: bool, kind: str = LineKind.WORK
) -> Draft:
    """Return a line of a work item at a quantity."""
    item, rate = cost.work_item, cost.rate
    stock, factor = None, Decimal(1)
    if rate is not None and rate.stock_item is not None:
        stock = (rate.stock_item.pk, rate.stock_per_unit, rate.stock_item.pack_quantity)
        factor = 1 + rate.waste_percent / 100
    return rules.work_draft(
        work_item_id=item.pk, name=item.name, unit=item.unit,
        unit_label=Unit(item.unit).label, cost=cost.unit, gap=cost.gap, quantity=quantity,
        measured=measured, kind=kind, stock_item=stock, stock_factor=factor,
    )  # fmt: skip


def inputs_digest(found: TakeOff) -> str:
    """Return the hash of what a take-off was asked."""
    return digest_of({"document": found.document, "spares": found.settings.spare_mixes})


# -- what a revision comes to ----------------------------------------------------------------


def reckon_lines(revision: Revision, lines: Sequence[Line], minimum: Decimal) -> Reckoning:
    """Return the sums of a revision with these lines."""
    return rules.reckon(
        [Priced(line.direct, line.fixed, line.kind == LineKind.OPTION) for line in lines],
        overhead_percent=revision.overhead_percent,
        margin_percent=revision.margin_percent,
        vat_code=revision.vat_code,
        vat_percent=revision.vat_percent,
        minimum=minimum,
    )


def gaps_of(lines: Iterable[Line]) -> list[str]:
    """Return why the lines' costs are not whole, each sentence once; [] when they are."""
    found = [row["gap"] for line in lines for row in line.workings if row.get("gap")]
    return list(dict.fromkeys(found))


def price_rise(revision: Revision, day: date) -> Decimal | None:
    """Return by how much the measured lines cost more on `day` than the revision reckons.

    None where nothing rose or it cannot be told. It runs the take-off: for one page, not a list.
    """
    if revision.priced_on >= day:
        return None
    lines = list(revision.lines.select_related("work_item"))
    now = direct_on(revision, lines, day)
    then = sum((line.direct for line in lines if line.kind in {"surface", "work"}), ZERO)
    return now - then if now is not None and now > then else None


def direct_on(revision: Revision, lines: Sequence[Line], day: date) -> Decimal | None:
    """Return what surfacing and work lines cost at the prices of `day`; None without an answer."""
    drafted = draft_survey(revision.survey, day, ())
    if not drafted.take_off.answer:
        return None
    groups = {line.colour_group for line in lines if line.kind == LineKind.SURFACE}
    total = sum((d.direct for d in drafted.lines if d.colour_group in groups), ZERO)
    works = [line for line in lines if line.kind == LineKind.WORK and line.work_item]
    items = {line.work_item.pk: line.work_item for line in works if line.work_item}
    costs = costs_of(
        items.values(), day, labour_hourly=drafted.rates.labour_hourly,
        quantities={line.work_item_id: line.quantity for line in works if line.work_item_id},
    )  # fmt: skip
    for line in works:
        if line.work_item_id:
            draft = draft_work(costs[line.work_item_id], line.quantity, measured=line.measured)
            total += draft.direct
    return round_line(total)


def has_changed(revision: Revision, found: TakeOff | None = None) -> bool:
    """Return whether the survey or its blends changed since the lines were drafted.

    found: the survey's take-off, where the caller has it already.
    """
    return inputs_digest(found or take_off(revision.survey)) != revision.inputs_digest


def told_to_customer(survey: Survey, found: TakeOff) -> tuple[str, ...]:
    """Return the sentences that the customer reads: the take-off's, then the planning question."""
    if not found.answer:
        return ()
    planning = planning_sheet(survey, found.answer["total"]["area_m2"])
    his = planning.his if planning else ""
    return (*cautions_for_customer(found.answer), *([his] if his else []))


def cautions_on_page(revision: Revision, found: TakeOff | None) -> dict[str, list[Any]]:
    """Return what the customer is told and what only the firm must see to; frozen once sent.

    found: the take-off of a draft.
    """
    if revision.state != RevisionState.DRAFT and revision.snapshot:
        answer, his = revision.snapshot["answer"], revision.snapshot["sheet"]["cautions"]
    else:
        found = found or take_off(revision.survey)
        answer, his = found.answer, told_to_customer(revision.survey, found)
    known = set(cautions_for_customer(answer)) if answer else set()
    ours = [
        each for each in (answer["cautions"] if answer else ())
        if each["level"] != "note" and each["message"] not in known
    ]  # fmt: skip
    return {"his": list(his), "ours": ours}


def open_questions(survey: Survey) -> list[str]:
    """Return the survey's questions that nobody has answered, in words."""
    words = [
        str(Survey._meta.get_field(name).verbose_name)  # type: ignore[union-attr]
        for name in QUESTIONS if getattr(survey, name) == "unknown"
    ]  # fmt: skip
    return [*(["condition of the base"] if survey.base_condition == "unknown" else []), *words]


# -- the sheet -------------------------------------------------------------------------------


def sheet_of(revision: Revision) -> QuoteSheet:
    """Return what the customer gets: frozen once it was sent, worked out afresh for a draft."""
    if revision.state != RevisionState.DRAFT and revision.snapshot:
        return QuoteSheet.from_dict(revision.snapshot["sheet"])
    found = take_off(revision.survey)
    return build_sheet(revision, list(revision.lines.all()), found)


def build_sheet(revision: Revision, lines: Sequence[Line], found: TakeOff) -> QuoteSheet:
    """Return the sheet of a revision as its rows stand."""
    # long because: every part of the sheet is named once, in its order
    job = revision.quote.job
    customer = job.customer
    counted = [line for line in lines if line.kind != LineKind.OPTION]
    rate = rules.vat_rate(revision.vat_code, revision.vat_percent)
    grosses = rules.gross_of_lines([line.net for line in counted], revision.gross)
    options = [line for line in lines if line.kind == LineKind.OPTION]
    return QuoteSheet(
        firm=settings.FIRM_NAME,
        firm_email=settings.DEFAULT_FROM_EMAIL,
        reference=revision.quote.reference or "",
        number=revision.number,
        day=revision.priced_on,
        valid_until=revision.valid_until or revision.priced_on,
        customer=customer.name,
        customer_address="\n".join(filter(None, (customer.address, customer.postcode))),
        site="\n".join(filter(None, (job.site.address, job.site.postcode))),
        job_reference=job.reference,
        title=job.title,
        order_number=job.customer_order_number,
        consumer=customer.is_consumer,
        message=revision.message,
        areas=_sheet_areas(found),
        lines=tuple(_sheet_line(line, gross) for line, gross in zip(counted, grosses, strict=True)),
        options=tuple(
            _sheet_line(line, rules.with_options(line.net, (), rate)[2]) for line in options
        ),
        net=revision.net,
        vat=revision.vat,
        gross=revision.gross,
        vat_percent=rate,
        vat_words=rules.vat_words(revision.vat_code, revision.vat_percent, revision.vat_reason),
        deposit=deposit_of(revision.gross, revision.deposit_percent),
        deposit_percent=revision.deposit_percent,
        cautions=told_to_customer(revision.survey, found),
        colour_areas=tuple(found.colour_changes),
        exclusions=revision.exclusions,
        terms=revision.terms,
        plan=str(survey_plan(revision.survey)),
    )


def _sheet_line(line: Line, gross: Decimal) -> SheetLine:
    return SheetLine(
        line.pk, line.words, line.quantity, Unit(line.unit).label, line.net, gross, line.kind
    )


def _sheet_areas(found: TakeOff) -> tuple[SheetArea, ...]:
    return tuple(
        SheetArea(
            area["name"],
            Decimal(repr(area["area_m2"])).quantize(Decimal("0.01")),
            Decimal(repr(area["depth_mm"])).quantize(Decimal("0.1")),
        )
        for area in found.areas
    )


def costs_snapshot(lines: Sequence[Line]) -> list[dict[str, Any]]:
    """Return the lines with their costs and workings, as they are frozen beside the sheet."""
    names = ("labour_hours", "labour", "plant", "materials", "other", "direct", "net")
    return [
        {
            "key": line.pk, "kind": line.kind, "words": line.words,
            "quantity": str(line.quantity), "unit": line.unit, "colour_group": line.colour_group,
            "stock": line.stock, "workings": line.workings,
            **{name: str(getattr(line, name)) for name in names},
        }
        for line in lines
    ]  # fmt: skip


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
