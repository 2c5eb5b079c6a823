"""The sheet of a variation: frozen once it was sent."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal

from django.conf import settings

from jobs.kernel.clock import london_day
from jobs.kernel.money import ZERO
from quotes.pricebook.enums import Unit
from quotes.quoting.rules import gross_of_lines, vat_rate, vat_words
from quotes.variations.models import ChangeLine, Variation
from quotes.variations.queries.agreed import price_before
from quotes.variations.queries.moments import OrderMoment, effect_of, order_moment
from quotes.variations.rules import ChangedLine, VariationSheet


def sheet_of(variation: Variation, at: datetime) -> VariationSheet:
    """Return what the customer gets: frozen once it was sent, worked out afresh for a draft."""
    if variation.snapshot and not variation.is_draft:
        return VariationSheet.from_dict(variation.snapshot["sheet"])
    lines = list(variation.lines.all())
    moment = order_moment(variation.revision.quote.job, lines, at)
    return build_sheet(variation, lines, moment, label=variation.label, day=london_day(at))


def build_sheet(
    variation: Variation, lines: Sequence[ChangeLine], moment: OrderMoment | None, *,
    label: str, day: date,
) -> VariationSheet:  # fmt: skip
    """Return the sheet of a variation as its rows stand."""
    # long because: every part of the sheet is named once, in its order
    revision = variation.revision
    job = revision.quote.job
    customer = job.customer
    before = price_before(variation)
    return VariationSheet(
        firm=settings.FIRM_NAME,
        firm_email=settings.DEFAULT_FROM_EMAIL,
        reference=revision.quote.reference or "",
        label=label,
        day=day,
        valid_until=variation.valid_until,
        customer=customer.name,
        customer_address="\n".join(filter(None, (customer.address, customer.postcode))),
        site="\n".join(filter(None, (job.site.address, job.site.postcode))),
        job_reference=job.reference,
        job_title=job.title,
        title=variation.title,
        order_number=job.customer_order_number,
        consumer=customer.is_consumer,
        words=variation.words,
        lines=_sheet_lines(variation, lines),
        net=variation.net,
        vat=variation.vat,
        gross=variation.gross,
        vat_percent=vat_rate(revision.vat_code, revision.vat_percent),
        vat_words=vat_words(revision.vat_code, revision.vat_percent, revision.vat_reason),
        before=before,
        after=before + variation.gross,
        days_added=variation.days_added,
        effect=effect_of(variation, moment),
        order_by=None if moment is None or moment.late else moment.order_by,
    )


def _sheet_lines(variation: Variation, lines: Sequence[ChangeLine]) -> tuple[ChangedLine, ...]:
    rows: list[tuple[str, Decimal | None, str, Decimal, str]] = [
        (line.words, line.quantity, Unit(line.unit).label, line.net, line.kind) for line in lines
    ]
    charges = (
        ("Material kept for this work that cannot be returned", variation.kept_material),
        ("Taking back of material, by its suppliers", variation.restocking),
    )
    rows += [(words, None, "", amount, "charge") for words, amount in charges if amount]
    grosses = _grosses([row[3] for row in rows], variation.gross)
    return tuple(
        ChangedLine(words, quantity, unit, net, gross, kind)
        for (words, quantity, unit, net, kind), gross in zip(rows, grosses, strict=True)
    )


def _grosses(nets: Sequence[Decimal], gross: Decimal) -> Sequence[Decimal]:
    """Return the lines' prices with VAT; where the nets cancel out, the last takes what is over."""
    if sum(nets, ZERO):
        return gross_of_lines(nets, gross)
    rest = gross - sum(nets, ZERO)
    return [*nets[:-1], nets[-1] + rest] if nets else []
