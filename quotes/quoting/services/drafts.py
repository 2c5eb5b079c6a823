"""What every change of a draft shares: the lock, the guard, and the sums worked out again."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO
from quotes.pricebook.enums import Unit
from quotes.pricebook.models import FirmRates
from quotes.quoting.enums import LineKind
from quotes.quoting.models import Line, Quote, Revision
from quotes.quoting.queries import purchase_of, reckon_lines
from quotes.quoting.rules import Draft, Reckoning, discount_words

STALE = "Somebody saved this quote since you opened it. Look at it again; yours is not saved."
MADE_UP = "Made up to the least price of a job"
# Behind every line that people write.
OWN_PLACE = 30_000


def lock_draft(revision_id: int, version: int | None = None) -> Revision:
    """Return a draft revision under its quote's lock; refuse a frozen or meanwhile changed one."""
    Quote.objects.select_for_update(no_key=True, of=("self",)).get(revisions=revision_id)
    found: Revision = Revision.objects.with_job().select_related("survey").get(pk=revision_id)
    if not found.is_draft:
        raise ServiceError(
            "This revision was sent and is frozen. Make a new revision to change it.",
            code="frozen",
        )
    if version is not None and version != found.version:
        raise ServiceError(STALE, code="stale")
    return found


def recompute(revision: Revision, minimum: Decimal | None = None, *, buy: bool = False) -> Revision:
    """Work out the sums and the lines' prices again and save what changed.

    buy: what the lines take from the yard changed, so it is bought anew, all of it together.
    """
    # What a line takes from the yard and was reckoned from plays no part in the sums.
    lines = _bought(revision) if buy else list(revision.lines.defer("stock", "asked"))
    if minimum is None:
        rates = FirmRates.objects.on(revision.priced_on)
        minimum = rates.minimum_charge if rates else ZERO
    found = reckon_lines(revision, lines, minimum)
    if found.net < 0:
        raise ServiceError("The price would be below nothing: the discount is too large.")
    kept = _keep_own(revision, lines, found)
    if kept != lines:
        lines = kept
        found = reckon_lines(revision, lines, minimum)
    moved = []
    for line, net in zip(lines, found.line_nets, strict=True):
        if line.net != net:
            line.net = net
            moved.append(line)
    Line.objects.all().write(moved, "net")
    revision.direct, revision.overhead = found.direct, found.overhead
    revision.net, revision.vat, revision.gross = found.net, found.vat, found.gross
    revision.version += 1
    revision.save()
    revision.reckoned_lines = lines
    return revision


def _bought(revision: Revision) -> list[Line]:
    """Return the lines, their stock bought as one purchase at the prices of the revision's day."""
    lines = list(revision.lines.all())
    found = purchase_of(lines, revision.priced_on)
    moved = []
    for number, share in found.shares.items():
        line = lines[number]
        before = (line.stock, line.workings)
        line.direct += share.materials - line.materials
        line.materials, line.stock, line.workings = share.materials, share.stock, share.workings
        if before != (line.stock, line.workings):
            moved.append(line)
    Line.objects.all().write(moved, "direct", "materials", "stock", "workings")
    revision.purchase = found.sheet
    return lines


def _keep_own(revision: Revision, lines: list[Line], found: Reckoning) -> list[Line]:
    """Make, word or remove the lines of the least price and of the discount, as they are wanted."""
    wanted = {
        LineKind.MINIMUM: MADE_UP if found.made_up else "",
        LineKind.DISCOUNT: discount_words(revision.discount_percent) if found.discount else "",
    }
    kept = []
    for line in lines:
        words = wanted.pop(LineKind(line.kind), "") if line.kind in LineKind.OWN else line.words
        if not words:
            line.delete()
            continue
        if line.words != words:
            line.words = words
            line.save(update_fields=["words"])
        kept.append(line)
    for place, kind in enumerate((LineKind.MINIMUM, LineKind.DISCOUNT), start=OWN_PLACE):
        if wanted.get(kind):
            kept.append(
                Line.objects.create(
                    revision=revision, position=place, kind=kind, words=wanted[kind],
                    quantity=Decimal(1), unit=Unit.EACH,
                )
            )  # fmt: skip
    return kept


def line_of(draft: Draft, revision: Revision, position: int) -> Line:
    """Return a drafted line as an unsaved row."""
    row = Line(revision=revision, position=position)
    fill_line(row, draft)
    return row


def fill_line(row: Line, draft: Draft) -> None:
    """Copy a draft's figures to a row; words and place of a row that stands are kept."""
    if not row.words:
        row.words = draft.words
    row.kind, row.work_item_id, row.unit = draft.kind, draft.work_item_id, draft.unit
    row.colour_group, row.measured = draft.colour_group, draft.measured
    row.quantity, row.labour_hours = draft.quantity, draft.labour_hours
    row.labour, row.plant = draft.labour, draft.plant
    row.materials, row.other = draft.materials, draft.other
    row.direct = draft.direct
    row.workings, row.stock, row.asked = draft.workings, draft.stock, draft.asked
    if draft.kind in LineKind.PRICED_BY_BOOK:
        row.fixed = draft.price


def next_position(lines: Sequence[Line]) -> int:
    """Return the place behind the last line of work."""
    return max((each.position for each in lines if each.kind not in LineKind.OWN), default=0) + 1
