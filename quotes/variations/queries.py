"""What variations rest on: the accepted quote, its lines still standing, what is held for the job,
and by when what they add must be ordered.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.conf import settings
from django.db.models import F, QuerySet, Sum

from jobs.calendar.queries import firm_calendar, phase_days
from jobs.calendar.rules import NoOpenDayError
from jobs.kernel.clock import london_day
from jobs.kernel.money import ZERO
from jobs.kernel.templatetags import firm
from jobs.work.models import Job
from quotes.acceptance.models import Acceptance
from quotes.acceptance.rules import hash_of, looks_like_token
from quotes.pricebook.enums import Unit
from quotes.quoting.enums import LineKind, RevisionState
from quotes.quoting.models import Line, Revision
from quotes.quoting.rules import gross_of_lines, vat_rate, vat_words
from quotes.variations import rules
from quotes.variations.enums import ChangeKind, VariationState
from quotes.variations.models import ChangeLine, Variation, VariationAnswer, VariationLink
from quotes.variations.rules import ChangedLine, Held, Stake, VariationSheet, stake
from quotes.variations.rules.parts import stock_of
from stock.allocation.models import Requirement
from stock.allocation.rules import DAYS_UNTIL_BOOKED
from stock.catalogue.enums import ItemKind
from stock.catalogue.models import Item
from stock.ordering.enums import OrderState
from stock.ordering.models import OrderLine
from stock.ordering.queries import offers_for
from stock.ordering.rules import arrival, needed_on, order_by

STUCK_AFTER = timedelta(minutes=5)


def accepted_revision(job: Job) -> Revision | None:
    """Return the accepted revision of a job's quote, None where there is none."""
    rows = Revision.objects.with_job().filter(quote__job=job, state=RevisionState.ACCEPTED)
    return rows.first()


def with_all(rows: QuerySet[Variation] | None = None) -> QuerySet[Variation]:
    """Return variations with quote, job, customer and site in the same query."""
    found = Variation.objects.all() if rows is None else rows
    return found.select_related("revision__quote__job__customer", "revision__quote__job__site")


def variations_of(job: Job) -> QuerySet[Variation]:
    """Return a job's variations, the first first; one query."""
    rows = Variation.objects.filter(revision__quote__job=job)
    return rows.select_related("revision__quote").defer("snapshot").order_by("created_at", "pk")


def agreed_lines(revision: Revision) -> list[Line]:
    """Return the lines of an accepted quote that can be varied: those in its price."""
    rows = revision.lines.filter(net__gt=0, quantity__gt=0)
    return [line for line in rows if line.kind != LineKind.OPTION or line.chosen]


def left_out(revision: Revision, besides: Variation | None = None) -> dict[int, Decimal]:
    """Return quote line -> how much of it standing variations leave out; one query."""
    rows = ChangeLine.objects.filter(
        kind=ChangeKind.LESS, variation__revision=revision,
        variation__state__in=VariationState.STANDING,
    )  # fmt: skip
    if besides is not None:
        # What a replacement replaces is not left out twice.
        rows = rows.exclude(variation=besides).exclude(variation=besides.replaces_id or 0)
    found = rows.values_list("line").annotate(total=Sum("quantity"))
    return {line: total for line, total in found if line is not None}


def packs_of(item_ids: Sequence[int]) -> dict[int, int]:
    """Return item -> base units in a pack."""
    return dict(Item.objects.filter(pk__in=item_ids).values_list("pk", "pack_quantity"))


# -- what is at stake --------------------------------------------------------------------------


def stakes_of(job: Job, lines: Sequence[Any]) -> list[Stake]:
    """Return what becomes of the material that lines leave out; four queries at most."""
    omitted: dict[tuple[int, str, str], int] = {
        spot: -quantity for spot, quantity in stock_of(lines).items() if quantity < 0
    }
    if not omitted:
        return []
    items = {item.pk: item for item in Item.objects.filter(pk__in={spot[0] for spot in omitted})}
    needs = _needs_of(job)
    ordered = _ordered_for(job)
    costs = _cost_each(lines)
    found = []
    for spot, quantity in sorted(omitted.items()):
        item, need = items[spot[0]], needs.get(spot)
        found.append(stake(Held(
            item_id=item.pk, name=str(item), omitted=quantity,
            required=need.quantity if need else 0,
            reserved=need.kept if need else 0, issued=need.issued if need else 0,
            ordered=ordered.get(spot[:2], 0), run_matched=item.run_matched,
            cost_each=costs.get(item.pk, ZERO),
        )))  # fmt: skip
    return found


def _needs_of(job: Job) -> dict[tuple[int, str, str], Any]:
    rows = Requirement.objects.filter(job=job, closed_at=None)
    kept = rows.annotate(kept=Sum("reservations__quantity", default=0))
    return {(row.item_id, row.colour_group, row.phase): row for row in kept}


def _ordered_for(job: Job) -> dict[tuple[int, str], int]:
    """Return (item, colour group) -> base units that came in or are to come on the job's orders."""
    lines = OrderLine.objects.filter(job=job, order__state__in=(*OrderState.OPEN, "received"))
    found: dict[tuple[int, str], int] = {}
    for line in lines.select_related("item"):
        spot = (line.item_id, line.colour_group)
        found[spot] = found.get(spot, 0) + line.accepted + line.outstanding
    return found


def _cost_each(lines: Sequence[Any]) -> dict[int, Decimal]:
    return {
        row["item"]: abs(Decimal(row["cost"]) / row["quantity"])
        for line in lines for row in line.stock if row["quantity"] < 0
    }  # fmt: skip


# -- the new order-by moment -------------------------------------------------------------------


@dataclass(frozen=True)
class OrderMoment:
    """By when what a variation adds must be ordered, and whether it can be here in time."""

    item: str
    order_by: datetime | None
    needed_on: date
    first_day: date
    booked: bool
    here_on: date | None

    @property
    def late(self) -> bool:
        """Whether it cannot be here before it is wanted."""
        return self.here_on is None or self.here_on > self.needed_on

    @property
    def words(self) -> str:
        """The moment as our people read it."""
        if self.late:
            when = firm.day_year(self.here_on) if self.here_on else "nobody knows when"
            return f"{self.item}: here on {when} at the earliest, wanted {firm.day(self.needed_on)}"
        return f"{self.item}: order by {firm.day(self.order_by)}, {firm.wall(self.order_by)}"


def order_moment(job: Job, lines: Sequence[Any], at: datetime) -> OrderMoment | None:
    """Return the earliest last moment over what lines add; None where they add no material.

    Of each item the channel that leaves most time counts.
    """
    added = {spot: quantity for spot, quantity in stock_of(lines).items() if quantity > 0}
    if not added:
        return None
    calendar, today = firm_calendar(), london_day(at)
    phases = phase_days([job.pk]).get(job.pk, {})
    items = {item.pk: item for item in Item.objects.filter(pk__in={spot[0] for spot in added})}
    offers = offers_for(set(items), on=today)
    supposed = calendar.on_or_after(today + timedelta(days=DAYS_UNTIL_BOOKED))
    found = []
    for item_id, _, phase in added:
        item = items[item_id]
        first = phases.get(phase, (supposed, supposed))[0]
        hours = item.conditioning_hours if item.kind == ItemKind.KIT else 0
        wanted = needed_on(first, calendar, hours)
        moments = [moment for offer in offers[item_id] if (moment := order_by(wanted, offer.terms))]
        last = max((moment.order_by for moment in moments), default=None)
        found.append(OrderMoment(
            str(item), last, wanted, first, phase in phases, _here_on(offers[item_id], at)
        ))  # fmt: skip
    late = [each for each in found if each.late]
    if late:
        return max(late, key=lambda each: each.here_on or date.max)
    return min(found, key=lambda each: each.order_by.timestamp() if each.order_by else 0.0)


def _here_on(offers: Sequence[Any], at: datetime) -> date | None:
    days = []
    for offer in offers:
        try:
            days.append(arrival(at, offer.terms))
        except NoOpenDayError:
            continue
    return min(days, default=None)


def effect_of(variation: Variation, moment: OrderMoment | None) -> str:
    """Return what a variation does to the date, as the customer reads it."""
    phases = phase_days([variation.revision.quote.job_id])
    lay = phases.get(variation.revision.quote.job_id, {}).get("lay")
    said = []
    if variation.days_added > 0:
        said.append(f"The work takes {firm.quantity(variation.days_added, 'day')} longer.")
    elif variation.days_added < 0:
        said.append(f"The work takes {firm.quantity(-variation.days_added, 'day')} less.")
    if moment is not None and moment.late:
        when = firm.day_year(moment.here_on) if moment.here_on else "a day not known yet"
        said.append(f"Its material can be here on {when} at the earliest; laying moves with it.")
    elif lay is not None:
        said.append(f"Laying stays booked for {firm.day_year(lay[0])}.")
    return " ".join(said) or "It does not change the date."


# -- the sheet ---------------------------------------------------------------------------------


def price_before(variation: Variation) -> Decimal:
    """Return the job's price with VAT as agreed so far: the quote and its accepted variations."""
    quote = Acceptance.objects.filter(revision_id=variation.revision_id).first()
    start = quote.pounds if quote else variation.revision.gross
    changes = VariationAnswer.objects.filter(variation__revision_id=variation.revision_id)
    return sum((change.pounds for change in changes), start)


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


# -- links and work to do ----------------------------------------------------------------------

SHUT = {
    "withdrawn": "This variation was withdrawn. Ask us if you want it after all.",
    "replaced": "A newer variation replaced this one; its link is in our later message.",
    "declined": "This variation was declined. If that was a mistake, tell us.",
    "expired": "This variation no longer holds: its day is over. Ask us, and we price it again.",
}


@dataclass(frozen=True)
class Opened:
    """What a link leads to. `shut` names why it cannot be answered, '' when it can."""

    link: VariationLink
    variation: Variation
    shut: str = ""

    @property
    def sentence(self) -> str:
        """Why it cannot be answered, as the customer reads it."""
        return SHUT.get(self.shut, "")

    @property
    def accepted(self) -> bool:
        """Whether it was accepted already."""
        return self.variation.state == VariationState.ACCEPTED


def open_link(token: str, at: datetime) -> Opened | None:
    """Return what a token leads to, or None where there is no such link."""
    if not looks_like_token(token):
        return None
    rows = VariationLink.objects.filter(token_hash=hash_of(token)).select_related(
        "variation__revision__quote__job__customer", "variation__revision__quote__job__site"
    )
    link = rows.first()
    if link is None:
        return None
    return Opened(link, link.variation, why_shut(link, link.variation, at))


def why_shut(link: VariationLink, variation: Variation, at: datetime) -> str:
    """Return why a link cannot be answered at an instant; '' when it can, or was accepted."""
    if variation.state == VariationState.ACCEPTED:
        return "withdrawn" if link.withdrawn_at else ""
    if variation.state in SHUT:
        return str(variation.state)
    if link.withdrawn_at is not None:
        return "withdrawn"
    return "expired" if at >= link.expires_at else ""


def answer_of(variation: Variation) -> VariationAnswer | None:
    """Return the signature under a variation, if there is one."""
    return VariationAnswer.objects.filter(variation=variation).first()


def to_draw(at: datetime) -> list[int]:
    """Return sent variations without a PDF that no worker has, or that a stopped one left."""
    rows = Variation.objects.filter(state=VariationState.SENT, pdf_uid=None)
    free = rows.filter(drawing_at=None) | rows.filter(drawing_at__lt=at - STUCK_AFTER)
    return list(free.order_by("sent_at").values_list("pk", flat=True))


def to_deliver() -> list[int]:
    """Return sent variations whose PDF is kept and whose link was never made."""
    rows = Variation.objects.filter(state=VariationState.SENT, links=None).exclude(pdf_uid=None)
    return list(rows.order_by("sent_at").values_list("pk", flat=True))


def net_by_rate(variation: Variation) -> Mapping[Decimal, Decimal]:
    """Return what a variation changes of the price before VAT, by rate in per cent."""
    revision = variation.revision
    return {vat_rate(revision.vat_code, revision.vat_percent): variation.net}


def line_parts(
    variation: Variation, line: Line, quantity: Decimal, *, less: bool
) -> rules.Part:  # fmt: skip
    """Return the figures of less or more of a quote's line."""
    taken = left_out(variation.revision, variation).get(line.pk, Decimal(0)) if less else Decimal(0)
    own = variation.lines.filter(line=line, kind=ChangeKind.LESS).aggregate(s=Sum(F("quantity")))
    taken += (own["s"] or Decimal(0)) if less else Decimal(0)
    packs = packs_of([row["item"] for row in line.stock])
    return rules.part_of(line, quantity, taken, less=less, packs=packs)
