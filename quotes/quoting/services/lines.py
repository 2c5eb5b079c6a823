"""Adding, changing, removing and moving the lines of a draft; the sums follow at once."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from jobs.audit.services import post_event
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO, round_line
from quotes.pricebook.enums import Measure
from quotes.pricebook.models import WorkItem
from quotes.pricebook.queries import costs_of, firm_rates
from quotes.quoting.enums import LineKind
from quotes.quoting.models import Line, Revision
from quotes.quoting.queries import draft_work, measured_quantity
from quotes.quoting.rules import Draft
from quotes.quoting.services.drafts import fill_line, line_of, lock_draft, next_position, recompute
from quotes.takeoff.queries import take_off

TYPED = (LineKind.FREE, LineKind.OPTION, LineKind.PROVISIONAL)
MOST_LINES = 200


@transaction.atomic(durable=True)
def add_line(
    *,
    revision_id: int,
    kind: str,
    by: Any,
    at: datetime,
    work_item_id: int | None = None,
    words: str = "",
    quantity: Decimal | None = None,
    unit: str = "each",
    cost_each: Decimal = ZERO,
    fixed: Decimal | None = None,
    caution: str = "",
    version: int | None = None,
) -> Line:
    """Add a line: of a work item (an empty quantity takes the survey's), or one typed by hand.

    `cost_each` is our cost of a unit of a typed line, `fixed` its whole price before VAT where it
    is not reckoned from the cost. An option's fixed price is in whole pounds. `caution` is what the
    customer is to know about it.
    """
    # long because: a line's every figure is an argument
    revision = lock_draft(revision_id, version)
    lines = list(revision.lines.all())
    if len(lines) >= MOST_LINES:
        raise ServiceError(f"A quote holds {MOST_LINES} lines at most.")
    _check_fixed(kind, fixed)
    if work_item_id is not None:
        draft = _of_item(revision, work_item_id, quantity, kind)
    else:
        draft = _typed(kind, words, quantity, unit, cost_each)
        if fixed is None and not cost_each:
            raise ServiceError("Give the line a price.", field="fixed")
    line = line_of(draft, revision, next_position(lines))
    line.words = words or draft.words
    line.fixed, line.caution = fixed, caution
    line.save()
    recompute(revision, buy=bool(line.stock))
    post_event(
        verb="add line", subject=revision, by=by, at=at,
        after={"line": line.words, "quantity": line.quantity},
    )  # fmt: skip
    return line


@transaction.atomic(durable=True)
def change_line(
    *,
    line_id: int,
    by: Any,
    at: datetime,
    words: str,
    quantity: Decimal | None = None,
    cost_each: Decimal | None = None,
    fixed: Decimal | None = None,
    caution: str | None = None,
    version: int | None = None,
) -> Line:
    """Change words, quantity, cost or typed price; a surfacing line keeps the survey's quantity.

    `cost_each` None keeps our cost of a unit of a typed line as it was, `caution` None its caution.
    A line with a price of its own (a small job, day-work at percentages) keeps that.
    """
    # long because: a line's every figure is an argument
    found = Line.objects.get(pk=line_id)
    revision = lock_draft(found.revision_id, version)
    line = revision.lines.get(pk=line_id)
    refuse_own(line)
    _check_fixed(line.kind, fixed)
    amount = line.quantity if quantity is None else quantity
    if line.kind in LineKind.ASKED:
        fixed = line.fixed if line.kind in LineKind.PRICED_BY_BOOK else fixed
    elif line.kind != LineKind.SURFACE and line.work_item_id:
        same = amount == line.quantity
        fill_line(line, _of_item(revision, line.work_item_id, amount, line.kind))
        line.measured = found.measured and same
    elif line.kind != LineKind.SURFACE:
        each = cost_each
        if each is None:
            each = line.other / line.quantity if line.quantity else ZERO
        fill_line(line, _typed(line.kind, words, amount, line.unit, each))
    line.words, line.fixed = words, fixed
    line.caution = line.caution if caution is None else caution
    line.save()
    takes = line.kind != LineKind.SURFACE and bool(line.stock or found.stock)
    recompute(revision, buy=takes)
    post_event(
        verb="change line", subject=revision, by=by, at=at,
        before={"line": found.words, "quantity": found.quantity, "fixed": found.fixed},
        after={"line": line.words, "quantity": line.quantity, "fixed": line.fixed},
    )  # fmt: skip
    return line


@transaction.atomic(durable=True)
def remove_line(*, line_id: int, by: Any, at: datetime) -> Revision:
    """Take a line off a draft."""
    found = Line.objects.get(pk=line_id)
    revision = lock_draft(found.revision_id)
    refuse_own(found)
    revision.lines.filter(pk=line_id).delete()
    recompute(revision, buy=bool(found.stock))
    post_event(
        verb="remove line", subject=revision, by=by, at=at, before={"line": found.words}
    )  # fmt: skip
    return revision


@transaction.atomic(durable=True)
def move_line(*, line_id: int, up: bool, by: Any, at: datetime) -> Revision:
    """Move a line one place up or down."""
    found = Line.objects.get(pk=line_id)
    revision = lock_draft(found.revision_id)
    refuse_own(found)
    lines = [line for line in revision.lines.all() if line.kind not in LineKind.OWN]
    place = next(n for n, line in enumerate(lines) if line.pk == line_id)
    other = place - 1 if up else place + 1
    if 0 <= other < len(lines):
        lines[place], lines[other] = lines[other], lines[place]
        for position, line in enumerate(lines, start=1):
            line.position = position
        Line.objects.bulk_update(lines, ["position"])
        recompute(revision)
        post_event(
            verb="move line", subject=revision, by=by, at=at,
            after={"line": found.words, "place": other + 1},
        )  # fmt: skip
    return revision


def refuse_own(line: Line) -> None:
    """Refuse to touch a line that the reckoning keeps."""
    if line.kind in LineKind.OWN:
        raise ServiceError("This line follows from the discount and the least price of a job.")


def _check_fixed(kind: str, fixed: Decimal | None) -> None:
    if fixed is None:
        return
    if kind == LineKind.OPTION and fixed != fixed.to_integral_value():
        raise ServiceError(
            "An option costs whole pounds, so that it adds up with the VAT in any choice.",
            field="fixed",
        )
    if fixed < 0 and kind != LineKind.FREE:
        raise ServiceError("Only a line of your own can be a discount.", field="fixed")


def _of_item(
    revision: Revision, work_item_id: int, quantity: Decimal | None, kind: str
) -> Draft:  # fmt: skip
    item = WorkItem.objects.filter(pk=work_item_id).first()
    if item is None or item.is_surface:
        raise ServiceError("Choose the work from the list.", field="work_item")
    measured = quantity is None and item.measure != Measure.NONE
    if measured:
        quantity = measured_quantity(take_off(revision.survey), item.measure)
    if not quantity or quantity <= 0:
        raise ServiceError("Give how much of it; the survey does not say.", field="quantity")
    rates = firm_rates(revision.priced_on)
    cost = costs_of(
        [item], revision.priced_on, labour_hourly=rates.labour_hourly,
        quantities={item.pk: quantity},
    )[item.pk]  # fmt: skip
    if kind not in {LineKind.WORK, LineKind.OPTION, LineKind.PROVISIONAL}:
        kind = LineKind.WORK
    return draft_work(cost, quantity, measured=measured, kind=kind)


def _typed(
    kind: str, words: str, quantity: Decimal | None, unit: str, cost_each: Decimal
) -> Draft:  # fmt: skip
    if kind not in TYPED:
        raise ServiceError("Choose the work from the list.", field="work_item")
    if not words:
        raise ServiceError("Say what the line is for.", field="words")
    amount = Decimal(1) if quantity is None else quantity
    if amount <= 0:
        raise ServiceError("Give an amount above nothing.", field="quantity")
    return Draft(
        kind=kind, words=words, quantity=amount, unit=unit, measured=False,
        other=round_line(cost_each * amount),
        workings=[
            {"what": words, "how": f"{amount} × £{cost_each}, typed",
             "amount": f"{round_line(cost_each * amount):.2f}"}
        ],
    )  # fmt: skip
