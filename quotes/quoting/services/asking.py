"""Lines reckoned from a few figures: travel, hire, muck, day-work, and small jobs in one press."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from jobs.audit.services import post_event
from jobs.kernel.errors import ServiceError
from quotes.pricebook.enums import Unit
from quotes.pricebook.models import WorkItem
from quotes.pricebook.queries import costs_of, firm_rates
from quotes.quoting.enums import LineKind
from quotes.quoting.models import Line, Revision
from quotes.quoting.queries import draft_asked, draft_work
from quotes.quoting.rules import Draft, solid_of
from quotes.quoting.services.drafts import fill_line, line_of, lock_draft, next_position, recompute
from quotes.quoting.services.lines import MOST_LINES
from quotes.takeoff.queries import take_off


@transaction.atomic(durable=True)
def add_asked_line(
    *,
    revision_id: int,
    kind: str,
    asked: Mapping[str, Any],
    by: Any,
    at: datetime,
    words: str = "",
    dig_item_id: int | None = None,
    version: int | None = None,
) -> Line:
    """Add a line reckoned from `asked` at the figures of the quote's day.

    travel: miles, hours, trips, people, or sum; hire: entry, days; muck: entry, area_m2 (empty: the
    survey's), depth_mm, load_t (empty: the book's); daywork: hours, plant, material; small: entry,
    quantity. `dig_item_id` names the work, counted in m³, that digs what is carted away: it gets a
    line by the same volume. Refuses what will not do at its field.
    """
    revision = lock_draft(revision_id, version)
    lines = list(revision.lines.all())
    if len(lines) >= MOST_LINES:
        raise ServiceError(f"A quote holds {MOST_LINES} lines at most.")
    line = line_of(_draft(revision, kind, asked), revision, next_position(lines))
    line.words = words or line.words
    line.save()
    if dig_item_id is not None:
        _add_digging(revision, dig_item_id, line)
    recompute(revision, buy=dig_item_id is not None)
    post_event(
        verb="add line", subject=revision, by=by, at=at,
        after={"line": line.words, "quantity": line.quantity},
    )  # fmt: skip
    return line


@transaction.atomic(durable=True)
def change_asked_line(
    *,
    line_id: int,
    asked: Mapping[str, Any],
    by: Any,
    at: datetime,
    words: str = "",
    version: int | None = None,
) -> Line:
    """Reckon a line again from other figures; empty words follow the figures."""
    found = Line.objects.get(pk=line_id)
    revision = lock_draft(found.revision_id, version)
    line = revision.lines.get(pk=line_id)
    if line.kind not in LineKind.ASKED:
        raise ServiceError("This line is not reckoned from such figures.")
    line.words = words
    fill_line(line, _draft(revision, line.kind, asked))
    line.save()
    recompute(revision)
    post_event(
        verb="change line", subject=revision, by=by, at=at,
        before={"line": found.words, "quantity": found.quantity},
        after={"line": line.words, "quantity": line.quantity},
    )  # fmt: skip
    return line


def _add_digging(revision: Revision, work_item_id: int, muck: Line) -> None:
    """Add the line of work that digs the ground of a muck line, m³ as it lies."""
    item = WorkItem.objects.filter(pk=work_item_id, unit=Unit.CUBIC_METRE).first()
    if item is None or muck.kind != LineKind.MUCK:
        raise ServiceError("Choose work that is counted in m³.", field="dig")
    solid = solid_of(muck.asked, take_off(revision.survey).area_m2)
    rates = firm_rates(revision.priced_on)
    cost = costs_of(
        [item], revision.priced_on, labour_hourly=rates.labour_hourly, quantities={item.pk: solid}
    )
    draft = draft_work(cost[item.pk], solid, measured=False)
    line_of(draft, revision, muck.position + 1).save()


def _draft(revision: Revision, kind: str, asked: Mapping[str, Any]) -> Draft:
    day = revision.priced_on
    area = take_off(revision.survey).area_m2
    return draft_asked(kind, asked, day, rates=firm_rates(day), area_m2=area)
