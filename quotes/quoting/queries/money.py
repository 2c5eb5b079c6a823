"""Reads of what a revision comes to, what is missing in it, and what changed since."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from jobs.kernel.money import ZERO, round_line
from jobs.surveys.models import QUESTIONS, Survey
from quotes.pricebook.queries import costs_of
from quotes.quoting import rules
from quotes.quoting.enums import LineKind, RevisionState
from quotes.quoting.models import Line, Revision
from quotes.quoting.queries.drafting import (
    draft_asked,
    draft_survey,
    draft_work,
    inputs_digest,
    purchase_of,
)
from quotes.quoting.rules import DaysOnSite, Priced, Reckoning
from quotes.takeoff.queries import planning_sheet, take_off
from quotes.takeoff.rules import TakeOff, cautions_for_customer


def reckon_lines(revision: Revision, lines: Sequence[Line], minimum: Decimal) -> Reckoning:
    """Return the sums of a revision with these lines."""
    return rules.reckon(
        [
            Priced(
                line.direct, line.fixed, option=line.kind == LineKind.OPTION,
                later=line.kind in LineKind.SETTLED_LATER,
                own=line.kind if line.kind in LineKind.OWN else "",
            )
            for line in lines
        ],
        overhead_percent=revision.overhead_percent,
        margin_percent=revision.margin_percent,
        vat_code=revision.vat_code,
        vat_percent=revision.vat_percent,
        minimum=minimum,
        discount_percent=revision.discount_percent,
        discount_fixed=revision.discount_fixed,
    )  # fmt: skip


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
    then = sum((line.direct for line in lines if _is_reckoned(line)), ZERO)
    return now - then if now is not None and now > then else None


def _is_reckoned(line: Line) -> bool:
    """Whether the book or the survey gives the cost of a line that is in the price."""
    if line.kind == LineKind.PROVISIONAL:
        return line.work_item_id is not None
    return line.kind in {LineKind.SURFACE, LineKind.WORK, *LineKind.ASKED}


def direct_on(revision: Revision, lines: Sequence[Line], day: date) -> Decimal | None:
    """Return what all lines but typed ones and options cost, bought as one at the prices of `day`.

    None without an answer of the take-off.
    """
    drafted = draft_survey(revision.survey, day, ())
    if drafted.take_off.problem:
        return None
    groups = {line.colour_group for line in lines if line.kind == LineKind.SURFACE}
    drafts = [draft for draft in drafted.lines if draft.colour_group in groups]
    works = [line for line in lines if line.work_item and _is_reckoned(line)]
    items = {line.work_item.pk: line.work_item for line in works if line.work_item}
    costs = costs_of(
        items.values(), day, labour_hourly=drafted.rates.labour_hourly,
        quantities={line.work_item_id: line.quantity for line in works if line.work_item_id},
    )  # fmt: skip
    drafts += [
        draft_work(costs[line.work_item_id], line.quantity, measured=line.measured, kind=line.kind)
        for line in works
        if line.work_item_id
    ]
    drafts += [
        draft_asked(
            line.kind, line.asked, day, rates=drafted.rates, area_m2=drafted.take_off.area_m2
        )
        for line in lines
        if line.kind in LineKind.ASKED
    ]
    total = sum((draft.direct for draft in drafts), ZERO)
    for number, share in purchase_of(drafts, day).shares.items():
        total += share.materials - drafts[number].materials
    return round_line(total)


def has_changed(revision: Revision, found: TakeOff | None = None) -> bool:
    """Return whether the survey or its blends changed since the lines were drafted.

    found: the survey's take-off, where the caller has it already.
    """
    return inputs_digest(found or take_off(revision.survey)) != revision.inputs_digest


def told_to_customer(survey: Survey | None, found: TakeOff) -> tuple[str, ...]:
    """Return the sentences that the customer reads: the take-off's, then the planning question."""
    if survey is None or not found.answer:
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


def open_questions(survey: Survey | None) -> list[str]:
    """Return the survey's questions that nobody has answered, in words."""
    if survey is None:
        return []
    words = [
        str(Survey._meta.get_field(name).verbose_name)  # type: ignore[union-attr]
        for name in QUESTIONS if getattr(survey, name) == "unknown"
    ]  # fmt: skip
    return [*(["condition of the base"] if survey.base_condition == "unknown" else []), *words]


def days_of(revision: Revision, lines: Sequence[Line]) -> DaysOnSite:
    """Return how long the crew is on site: the hours of all lines in the price but the travel."""
    work = [
        line for line in lines
        if line.kind not in {LineKind.OPTION, LineKind.TRAVEL, LineKind.SURFACE}
    ]  # fmt: skip
    laying = [line for line in lines if line.kind == LineKind.SURFACE]
    return rules.days_on_site(
        hours=sum((line.labour_hours for line in work), ZERO),
        laying_hours=sum((line.labour_hours for line in laying), ZERO),
        area_m2=sum((line.quantity for line in laying), ZERO),
        crew=revision.crew_size, day_hours=revision.day_hours, pace_m2=revision.pace_m2,
    )  # fmt: skip
