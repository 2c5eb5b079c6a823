"""Drafting a variation: its lines and what they come to, worked out again at each change.

New work from the price book costs what the yard will pay for it: whole packs over all new work of
the variation, beyond what the job's opened packs leave, and the carriage of an order of its own.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction

from jobs.audit.services import changes, post_event
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO, round_line
from jobs.work.models import Job
from quotes.pricebook.models import WorkItem
from quotes.pricebook.queries import costs_of, firm_rates
from quotes.quoting.models import Quote
from quotes.quoting.queries import draft_work
from quotes.quoting.rules import vat_rate
from quotes.variations import queries
from quotes.variations.enums import ChangeKind
from quotes.variations.models import ChangeLine, Variation
from quotes.variations.rules import Priced, reckon

STALE = "Somebody saved this variation since you opened it. Look at it again; yours is not saved."
CHANGED = ("title", "words", "days_added", "restocking_percent", "charge_kept", "valid_until")
MOST_LINES = 100
# A variation waits on site, so it holds for a fortnight; common practice, no source.
HOLDS = timedelta(days=14)


def lock_variation(variation_id: int) -> Variation:
    """Return a variation under its quote's lock, read after it."""
    quote_id = Variation.objects.values_list("revision__quote_id", flat=True).get(pk=variation_id)
    Quote.objects.select_for_update(no_key=True).get(pk=quote_id)
    return queries.with_all().get(pk=variation_id)


def lock_draft(variation_id: int, version: int | None = None) -> Variation:
    """Return a draft under the lock; refuse a frozen or meanwhile changed one."""
    found = lock_variation(variation_id)
    if not found.is_draft:
        raise ServiceError(
            "This variation was sent and is frozen. Replace it to change it.", code="frozen"
        )
    if version is not None and version != found.version:
        raise ServiceError(STALE, code="stale")
    return found


def refuse_closed(job: Job) -> None:
    """Refuse what cannot be agreed on a job that is over."""
    if not job.is_open:
        raise ServiceError("This job is closed. A change of it is a new job.")


@transaction.atomic(durable=True)
def start_variation(*, job_id: int, title: str, words: str, by: Any, at: datetime) -> Variation:
    """Draft a change of a job's accepted quote. Refuses a job without one, or a closed job."""
    job = Job.objects.get(pk=job_id)
    revision = queries.accepted_revision(job)
    if revision is None:
        raise ServiceError("Only an accepted quote is varied; a quote before that is revised.")
    refuse_closed(job)
    if not title.strip():
        raise ServiceError("Say in a few words what changes.", field="title")
    day = london_day(at)
    variation = Variation.objects.create(
        revision=revision, title=title.strip(), words=words, valid_until=day + HOLDS,
        priced_on=day, created_at=at, created_by=by,
    )  # fmt: skip
    post_event(
        verb="start variation", subject=variation, by=by, at=at, after={"title": title.strip()}
    )  # fmt: skip
    return variation


@transaction.atomic(durable=True)
def change_variation(
    *, variation_id: int, values: Mapping[str, Any], by: Any, at: datetime,
    version: int | None = None,
) -> Variation:  # fmt: skip
    """Change words, days, charges or validity of a draft and work it out again."""
    variation = lock_draft(variation_id, version)
    before, after = changes(variation, {k: v for k, v in values.items() if k in CHANGED})
    for name, value in after.items():
        setattr(variation, name, value)
    if not variation.title.strip():
        raise ServiceError("Say in a few words what changes.", field="title")
    if variation.valid_until < london_day(at):
        raise ServiceError("It must hold at least for today.", field="valid_until")
    recompute(variation)
    post_event(
        verb="change variation", subject=variation, by=by, at=at, before=before, after=after
    )  # fmt: skip
    return variation


@transaction.atomic(durable=True)
def add_line(
    *,
    variation_id: int,
    kind: str,
    quantity: Decimal,
    by: Any,
    at: datetime,
    line_id: int | None = None,
    work_item_id: int | None = None,
    words: str = "",
    unit: str = "each",
    cost_each: Decimal = ZERO,
    fixed: Decimal | None = None,
    version: int | None = None,
) -> ChangeLine:
    """Add a line: less or more of a line of the quote, work from the price book, or one's own.

    Less or more has the price agreed in the quote; the rest is reckoned from its cost, unless
    `fixed` gives its whole price before VAT (below nought: a credit).
    """
    # long because: a line's every figure is an argument
    variation = lock_draft(variation_id, version)
    lines = list(variation.lines.all())
    if len(lines) >= MOST_LINES:
        raise ServiceError(f"A variation holds {MOST_LINES} lines at most.")
    if quantity <= 0:
        raise ServiceError("Give an amount above nothing.", field="quantity")
    place = max((line.position for line in lines), default=0) + 1
    row = ChangeLine(variation=variation, position=place, kind=kind, quantity=quantity)
    if kind in ChangeKind.OF_QUOTE:
        _fill_of_quote(row, line_id)
    elif kind == ChangeKind.WORK:
        # All new work is bought together, at the prices of the day on which the last was added.
        variation.priced_on = london_day(at)
        _fill_of_work(row, work_item_id, variation.priced_on)
        row.fixed = fixed
    else:
        _fill_own(row, unit, cost_each, fixed)
    row.words = (words or row.words).strip()[:200]
    if not row.words:
        raise ServiceError("Say what the line is for.", field="words")
    row.save()
    recompute(variation)
    post_event(
        verb="add line", subject=variation, by=by, at=at,
        after={"line": row.words, "kind": kind, "quantity": quantity},
    )  # fmt: skip
    return row


def _fill_of_quote(row: ChangeLine, line_id: int | None) -> None:
    revision = row.variation.revision
    line = next((x for x in queries.agreed_lines(revision) if x.pk == line_id), None)
    if line is None:
        raise ServiceError("Choose the line of the quote.", field="line")
    less = row.kind == ChangeKind.LESS
    if less:
        taken = queries.left_out(revision, row.variation).get(line.pk, ZERO) + sum(
            (x.quantity for x in row.variation.lines.filter(line=line, kind=ChangeKind.LESS)), ZERO
        )
        if row.quantity > line.quantity - taken:
            left = (line.quantity - taken).normalize()
            raise ServiceError(f"Only {left:f} of it is left in the job.", field="quantity")
    part = queries.line_parts(row.variation, line, row.quantity, less=less)
    row.line, row.unit = line, line.unit
    row.words = f"{'Less' if less else 'More'}: {line.words}"[:200]
    row.labour_hours, row.labour, row.plant = part.labour_hours, part.labour, part.plant
    row.materials, row.other, row.direct = part.materials, part.other, part.direct
    row.stock, row.net = part.stock, part.net


def _fill_of_work(row: ChangeLine, work_item_id: int | None, day: Any) -> None:
    item = WorkItem.objects.in_use().filter(pk=work_item_id, is_surface=False).first()
    if item is None:
        raise ServiceError("Choose the work from the list.", field="work_item")
    rates = firm_rates(day)
    cost = costs_of(
        [item], day, labour_hourly=rates.labour_hourly, quantities={item.pk: row.quantity}
    )[item.pk]
    if cost.gap:
        raise ServiceError(f"A price is missing: {cost.gap}", field="work_item")
    draft = draft_work(cost, row.quantity, measured=False)
    row.work_item, row.unit, row.words = item, draft.unit, draft.words
    row.labour_hours, row.labour, row.plant = draft.labour_hours, draft.labour, draft.plant
    row.materials, row.other, row.direct = draft.materials, draft.other, draft.direct
    row.stock, row.workings = draft.stock, draft.workings


def _fill_own(row: ChangeLine, unit: str, cost_each: Decimal, fixed: Decimal | None) -> None:
    if row.kind != ChangeKind.FREE:
        raise ServiceError("Choose what the line is.", field="kind")
    if fixed is None and not cost_each:
        raise ServiceError("Give the line a price.", field="fixed")
    row.unit, row.fixed = unit, fixed
    row.other = row.direct = round_line(cost_each * row.quantity)


@transaction.atomic(durable=True)
def remove_line(*, line_id: int, by: Any, at: datetime) -> Variation:
    """Take a line off a draft."""
    found = ChangeLine.objects.get(pk=line_id)
    variation = lock_draft(found.variation_id)
    variation.lines.filter(pk=line_id).delete()
    recompute(variation)
    post_event(
        verb="remove line", subject=variation, by=by, at=at, before={"line": found.words}
    )  # fmt: skip
    return variation


@transaction.atomic(durable=True)
def remove_variation(*, variation_id: int, by: Any, at: datetime) -> Job:
    """Delete a draft; its job goes on as it was. Returns the job."""
    variation = lock_draft(variation_id)
    job = variation.revision.quote.job
    post_event(verb="remove variation", subject=variation, by=by, at=at)
    variation.delete()
    return job


def recompute(variation: Variation) -> Variation:
    """Work out the charges, the lines' prices and the sums again, and save them."""
    lines = list(variation.lines.all())
    _buy(variation, [line for line in lines if line.kind == ChangeKind.WORK])
    stakes = queries.stakes_of(variation.revision.quote.job, lines)
    kept = sum((each.kept_value for each in stakes), ZERO)
    back = sum((each.returnable_value for each in stakes), ZERO)
    variation.kept_material = kept if variation.charge_kept else ZERO
    variation.restocking = round_line(back * variation.restocking_percent / 100)
    revision = variation.revision
    found = reckon(
        [Priced(x.direct, x.net if x.kind in ChangeKind.OF_QUOTE else x.fixed) for x in lines],
        charges=variation.kept_material + variation.restocking,
        net_before=queries.net_before(variation),
        overhead_percent=revision.overhead_percent, margin_percent=revision.margin_percent,
        rate_percent=vat_rate(revision.vat_code, revision.vat_percent),
    )  # fmt: skip
    for line, net in zip(lines, found.line_nets, strict=True):
        line.net = net
    ChangeLine.objects.bulk_update(lines, ["net", "materials", "direct", "stock", "workings"])
    variation.direct, variation.overhead = found.direct, found.overhead
    variation.net, variation.vat, variation.gross = found.net, found.vat, found.gross
    variation.version += 1
    variation.save()
    return variation


def _buy(variation: Variation, work: list[ChangeLine]) -> None:
    """Put the purchase of new work into its lines, as it is worth with all of it together."""
    shares = queries.purchase_of_work(variation, work).shares
    if any("gap" in row for share in shares.values() for row in share.workings):
        # A price went since the work was added: what it cost then stands.
        return
    for number, share in shares.items():
        line = work[number]
        line.direct += share.materials - line.materials
        line.materials, line.workings = share.materials, share.workings
        # What the line takes in all stays, beside what is bought for it.
        line.stock = [
            row | {"wanted": was["wanted"]} if "wanted" in row else row
            for row, was in zip(share.stock, line.stock, strict=True)
        ]
