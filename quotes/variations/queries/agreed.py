"""The accepted quote of a job, and what of its lines still stands."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from django.db.models import F, QuerySet, Sum

from jobs.kernel.money import ZERO
from jobs.work.models import Job
from quotes.acceptance.models import Acceptance
from quotes.acceptance.rules import total_with
from quotes.quoting.enums import LineKind, RevisionState
from quotes.quoting.models import Line, Revision
from quotes.quoting.queries import sheet_of as quote_sheet
from quotes.variations import rules
from quotes.variations.enums import ChangeKind, VariationState
from quotes.variations.models import ChangeLine, Variation, VariationAnswer
from stock.catalogue.models import Item


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


def line_parts(
    variation: Variation, line: Line, quantity: Decimal, *, less: bool
) -> rules.Part:  # fmt: skip
    """Return the figures of less or more of a quote's line."""
    taken = left_out(variation.revision, variation).get(line.pk, Decimal(0)) if less else Decimal(0)
    own = variation.lines.filter(line=line, kind=ChangeKind.LESS).aggregate(s=Sum(F("quantity")))
    taken += (own["s"] or Decimal(0)) if less else Decimal(0)
    packs = packs_of([row["item"] for row in line.stock])
    return rules.part_of(line, quantity, taken, less=less, packs=packs)


def price_before(variation: Variation) -> Decimal:
    """Return the job's price with VAT as agreed so far: the quote and its accepted variations."""
    quote = Acceptance.objects.filter(revision_id=variation.revision_id).first()
    start = quote.pounds if quote else variation.revision.gross
    changes = VariationAnswer.objects.filter(variation__revision_id=variation.revision_id)
    return sum((change.pounds for change in changes), start)


def net_before(variation: Variation) -> Decimal:
    """Return the job's price before VAT as agreed so far."""
    revision = variation.revision
    quote = Acceptance.objects.filter(revision=revision).first()
    start = total_with(quote_sheet(revision), quote.options)[0] if quote else revision.net
    changes = Variation.objects.filter(revision=revision, state=VariationState.ACCEPTED)
    return start + (changes.aggregate(total=Sum("net"))["total"] or ZERO)
