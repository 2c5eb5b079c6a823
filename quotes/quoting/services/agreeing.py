"""What an accepted set of lines takes from the yard, worked out once for all of it."""

from __future__ import annotations

from collections.abc import Sequence

from jobs.kernel.posting import assert_in_transaction
from quotes.quoting.enums import LineKind
from quotes.quoting.models import Line
from quotes.quoting.queries import stocked_of
from quotes.quoting.rules import needs_once


def post_needs_once(*, lines: Sequence[Line]) -> None:
    """Write into the lines of an accepted set what they take together, in the caller's transaction.

    An option was priced by itself in whole packs; taken, it shares the packs that the quote opens.
    Costs and prices stay as they were agreed, so that the budget is the sheet's.
    """
    assert_in_transaction()
    if not any(line.stock for line in lines if line.kind == LineKind.OPTION):
        return
    items = {row["item"] for line in lines for row in line.stock}
    changed = []
    for number, stock in needs_once(lines, stocked_of(items)).items():
        if stock != lines[number].stock:
            lines[number].stock = stock
            changed.append(lines[number])
    Line.objects.all().write(changed, "stock")
