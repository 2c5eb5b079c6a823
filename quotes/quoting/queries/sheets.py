"""Reads of what the customer gets: the sheet, and what is frozen beside it."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.conf import settings

from jobs.kernel.money import ZERO
from jobs.surveys.queries import survey_plan
from quotes.pricebook.enums import Unit
from quotes.quoting import rules
from quotes.quoting.enums import LineKind, RevisionState
from quotes.quoting.models import Line, Revision
from quotes.quoting.queries.money import told_to_customer
from quotes.quoting.rules import QuoteSheet, SheetLine, SheetStage
from quotes.quoting.rules.sheet import SheetArea
from quotes.takeoff.queries import take_off
from quotes.takeoff.rules import TakeOff


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
    sample, warning = sample_of(revision, found)
    plan = rules.planned_stages(revision.deposit_percent, revision.payment_plan)
    stages = rules.sheet_stages(revision.net, rate, plan)
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
        deposit=stages[0].gross if stages[0].deposit else ZERO,
        deposit_percent=revision.deposit_percent,
        cautions=told_to_customer(revision.survey, found),
        colour_areas=tuple(found.colour_changes),
        exclusions=revision.exclusions,
        terms=revision.terms,
        plan=str(survey_plan(revision.survey)) if revision.survey else "",
        sample=sample,
        sample_warning=warning,
        stages=stages,
        firm_address=settings.FIRM_ADDRESS,
    )


def stages_on_page(revision: Revision) -> tuple[SheetStage, ...]:
    """Return how a revision is paid: frozen once it was sent, worked out for a draft.

    A revision sent before quotes had stages has none.
    """
    if revision.state != RevisionState.DRAFT and revision.snapshot:
        return QuoteSheet.from_dict(revision.snapshot["sheet"]).stages
    rate = rules.vat_rate(revision.vat_code, revision.vat_percent)
    plan = rules.planned_stages(revision.deposit_percent, revision.payment_plan)
    return rules.sheet_stages(revision.net, rate, plan)


def sample_of(revision: Revision, found: TakeOff) -> tuple[str, str]:
    """Return what is said of the sample shown, and the warning where another blend is quoted."""
    blend, day = revision.sample_blend, revision.sample_shown_on
    if blend is None or day is None:
        return "", ""
    others = rules.sample_differs(blend.pk, found.cards)
    words = rules.sample_words(blend.name, day, revision.sample_signed_by)
    return words, rules.sample_warning(blend.name, others)


def sample_on_page(revision: Revision, found: TakeOff | None) -> tuple[str, str]:
    """Return the same for a page: frozen once it was sent. found: the take-off of a draft."""
    if found is not None:
        return sample_of(revision, found)
    if revision.snapshot:
        sheet = revision.snapshot["sheet"]
        return sheet.get("sample", ""), sheet.get("sample_warning", "")
    return "", ""


def _sheet_line(line: Line, gross: Decimal) -> SheetLine:
    return SheetLine(
        line.pk, line.words, line.quantity, Unit(line.unit).label, line.net, gross, line.kind,
        line.caution,
    )  # fmt: skip


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
            "stock": line.stock, "workings": line.workings, "asked": line.asked,
            **{name: str(getattr(line, name)) for name in names},
        }
        for line in lines
    ]  # fmt: skip
