"""Orders on the pages of a job and of today, and what costing counts as committed."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, time
from decimal import Decimal
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from jobs.kernel.clock import at_wall, london_day
from jobs.kernel.panels import TodayEntry, panel, today_entry
from jobs.kernel.registries import commitments
from jobs.work.enums import Stage
from stock.ordering.models import Order, OrderLine, Shortage
from stock.ordering.queries import committed, draft_lines
from stock.ordering.rules.words import moments_text

SOON_DAYS = 4


@commitments
def open_lines_of_jobs(job_ids: Sequence[int]) -> dict[int, dict[str, Decimal]]:
    """What open order lines will cost their jobs; falls as goods-in is booked."""
    return committed(job_ids)


@panel("job", 62, "jobs.place_order")
def job_orders(request: HttpRequest, job: Any) -> tuple[str, dict[str, Any]] | None:
    """What is short for a job and by when, and what is on order for it: two queries."""
    if job.stage not in Stage.AFTER_WON:
        return None
    now: datetime = request.now  # type: ignore[attr-defined]
    rows = Shortage.objects.for_clock().for_jobs([job.pk])
    lines = list(
        OrderLine.objects.filter(job=job)
        .exclude(order__state="cancelled")
        .select_related("order__supplier", "item")
    )
    drafts = {
        (line.item_id, line.colour_group): line.order
        for line in lines
        if line.order.state == "draft"
    }
    short = [
        (row.facts, moments_text(row.facts, now), drafts.get((row.item_id, row.colour_group)))
        for row in rows
    ]
    if not short and not lines:
        return None
    return "stock/ordering/job_panel.html", {"short": short, "lines": lines, "job": job}


@today_entry("jobs.place_order")
def shortages_by_the_clock(user: Any, now: datetime) -> Iterable[TodayEntry]:
    """Shortages whose first channel closes within days, or whose every channel has: two queries.

    What one job wants from one supplier by the same moment is one entry.
    """
    shortages = list(Shortage.objects.for_clock())
    drafts = draft_lines(shortages) if shortages else {}
    together: dict[tuple[Any, ...], list[Shortage]] = {}
    for row in shortages:
        closes = row.facts.next_close(now)
        if closes is None or (closes - now).days <= SOON_DAYS:
            suppliers = tuple(sorted({moment.supplier for moment in row.facts.moments}))
            line = drafts.get((row.job_id, row.item_id, row.colour_group))
            order = line.order if line else None
            together.setdefault((row.job_id, closes, suppliers, order), []).append(row)
    for (_, closes, _, order), rows in together.items():
        yield shortage_entry(rows, closes, order, now)


def shortage_entry(
    rows: Sequence[Shortage], closes: datetime | None, order: Order | None, now: datetime
) -> TodayEntry:
    """Return the entry for what one job wants from one supplier by one moment."""
    first, others = rows[0].facts, [row.facts for row in rows[1:]]
    also = "".join(f" {other.title.removeprefix('Order ')};" for other in others)
    also = f"Also{also.removesuffix(';')}. " if also else ""
    return TodayEntry(
        at=closes,
        title=first.title + (f" and {len(others)} more" if others else ""),
        why=f"{first.why} {also}{moments_text(first, now)}",
        url=order.get_absolute_url()
        if order
        else f"{reverse('ordering:draft')}?shortage={first.pk}",
        button="Place the order" if order else "Draft the order",
        level="look" if closes else "stop",
        clock_note="" if closes else "too late",
    )


@today_entry("jobs.receive_goods")
def deliveries_expected(user: Any, now: datetime) -> Iterable[TodayEntry]:
    """Orders that should come today, or should have come: one query."""
    today = london_day(now)
    due = Order.objects.placed().filter(expected_on__lte=today).select_related("supplier")
    for order in due.order_by("expected_on", "pk"):
        late = order.expected_on is not None and order.expected_on < today
        yield TodayEntry(
            at=None if late else at_wall(today, time(13, 0)),
            title=f"Goods in: {order} from {order.supplier}",
            why="It should have come; ring them."
            if late
            else "Check runs and dates against the labels before it is signed for.",
            url=reverse("ordering:receive", args=[order.pk]),
            button="Receive",
            level="stop" if late else "look",
            clock_note="overdue" if late else "some time today",
        )
