"""The accepted quote of a job, and what of its lines still stands."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.db.models import F, Q, QuerySet, Sum

from jobs.kernel.money import ZERO
from jobs.work.models import Job
from quotes.acceptance.models import Acceptance
from quotes.acceptance.rules import total_with
from quotes.quoting.enums import LineKind, RevisionState
from quotes.quoting.models import Line, Revision
from quotes.quoting.queries import purchase_of, stocked_of
from quotes.quoting.queries import sheet_of as quote_sheet
from quotes.quoting.rules import Purchase, vat_rate
from quotes.variations import rules
from quotes.variations.enums import ChangeKind, VariationState
from quotes.variations.models import ChangeLine, Variation
from stock.catalogue.models import Item


def accepted_revision(job: Job) -> Revision | None:
    """Return the accepted revision of a job's quote, None where there is none."""
    rows = Revision.objects.with_job().filter(quote__job=job, state=RevisionState.ACCEPTED)
    return rows.first()


def with_all(rows: QuerySet[Variation] | None = None) -> QuerySet[Variation]:
    """Return variations with quote, job, customer and site in the same query."""
    found = Variation.objects.all() if rows is None else rows
    return found.select_related("revision__quote__job__customer", "revision__quote__job__site")


def variations_listed() -> QuerySet[Variation]:
    """Return all variations for the firm's list, the newest first."""
    return with_all().defer("snapshot", "words").order_by("-created_at", "-pk")


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


def purchase_of_work(variation: Variation, lines: Sequence[ChangeLine]) -> Purchase:
    """Return what new work of a variation buys, at the prices of its day; six queries at most.

    Shares by the places of `lines`. What the quote as accepted and accepted variations leave in
    opened packs is taken first. The rest is one purchase of whole packs with the carriage of an
    order of its own.
    """
    wanted = {row["item"] for line in lines for row in line.stock if "wanted" in row}
    if not wanted:
        return Purchase()
    revision = variation.revision
    before: list[Any] = [
        line for line in revision.lines.all() if line.kind != LineKind.OPTION or line.chosen
    ]
    before += ChangeLine.objects.filter(
        kind=ChangeKind.WORK, variation__revision=revision,
        variation__state=VariationState.ACCEPTED,
    )  # fmt: skip
    left = rules.left_over(before)
    return purchase_of(rules.beside(lines, left, stocked_of(wanted)), variation.priced_on)


def line_parts(
    variation: Variation, line: Line, quantity: Decimal, *, less: bool
) -> rules.Part:  # fmt: skip
    """Return the figures of less or more of a quote's line."""
    taken = left_out(variation.revision, variation).get(line.pk, Decimal(0)) if less else Decimal(0)
    own = variation.lines.filter(line=line, kind=ChangeKind.LESS).aggregate(s=Sum(F("quantity")))
    taken += (own["s"] or Decimal(0)) if less else Decimal(0)
    packs = packs_of([row["item"] for row in line.stock])
    return rules.part_of(line, quantity, taken, less=less, packs=packs)


def agreed_before(variation: Variation) -> tuple[Decimal, Decimal]:
    """Return the job's price before VAT and its VAT without a variation: two queries.

    It is the quote with its options and the variations accepted so far; of one that is itself
    accepted, those accepted before it.
    """
    revision = variation.revision
    quote = Acceptance.objects.filter(revision=revision).first()
    net, vat = revision.net, revision.vat
    if quote:
        net, vat, _ = total_with(quote_sheet(revision), quote.options)
    changes = Variation.objects.filter(revision=revision, state=VariationState.ACCEPTED)
    if variation.state == VariationState.ACCEPTED:
        same = Q(closed_at=variation.closed_at, pk__lt=variation.pk)
        changes = changes.filter(Q(closed_at__lt=variation.closed_at) | same)
    sums = changes.aggregate(net=Sum("net"), vat=Sum("vat"))
    return net + (sums["net"] or ZERO), vat + (sums["vat"] or ZERO)


def price_before(variation: Variation) -> Decimal:
    """Return the job's price with VAT as agreed so far: the quote and its accepted variations."""
    return sum(agreed_before(variation), ZERO)


def net_before(variation: Variation) -> Decimal:
    """Return the job's price before VAT as agreed so far."""
    return agreed_before(variation)[0]


def counted(variation: Variation) -> rules.Counted:
    """Return what a variation comes to in its job: as it was signed, or as it would be now."""
    net, vat = agreed_before(variation)
    if variation.state == VariationState.ACCEPTED:
        return rules.Counted(before=net + vat, net=variation.net, vat=variation.vat)
    rate = vat_rate(variation.revision.vat_code, variation.revision.vat_percent)
    return rules.count_in(variation.net, net_before=net, vat_before=vat, rate_percent=rate)
