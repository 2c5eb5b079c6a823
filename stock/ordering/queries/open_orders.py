"""What is still to come on placed orders, in goods and in money."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from decimal import Decimal

from django.db.models import QuerySet

from jobs.billing.queries import deposit_state
from jobs.costing.enums import Category
from jobs.kernel.money import ZERO, round_line
from jobs.work.models import Job
from stock.ordering.enums import OrderState
from stock.ordering.models import OrderLine
from stock.ordering.rules import cost_of_delivery


def open_lines() -> QuerySet[OrderLine]:
    """Return lines of placed orders on which something is still to come."""
    return OrderLine.objects.filter(order__state__in=OrderState.OPEN, closed=False).select_related(
        "item", "order"
    )


def on_order(job_ids: Collection[int] | None = None) -> dict[tuple[int, int, str], int]:
    """Return (job, item, colour group) -> base units still to come; one query."""
    lines = open_lines().filter(job__isnull=False)
    if job_ids is not None:
        lines = lines.filter(job_id__in=job_ids)
    coming: dict[tuple[int, int, str], int] = defaultdict(int)
    for line in lines:
        if line.job_id is not None and line.outstanding > 0:
            coming[(line.job_id, line.item_id, line.colour_group)] += line.outstanding
    return dict(coming)


def committed(job_ids: Collection[int]) -> dict[int, dict[str, Decimal]]:
    """Return job -> category -> net of what its open order lines have still to bring; one query.

    It falls to the penny as goods-in is booked, and ends when the line is closed.
    """
    found: dict[int, dict[str, Decimal]] = {}
    for line in open_lines().filter(job_id__in=job_ids):
        left = max(line.outstanding, 0) // line.item.pack_quantity
        amount = cost_of_delivery(line.pack_price, line.packs - left, left)
        if line.job_id is not None and amount:
            by_category = found.setdefault(line.job_id, {})
            so_far = by_category.get(Category.MATERIALS, ZERO)
            by_category[Category.MATERIALS] = round_line(so_far + amount)
    return found


def jobs_without_deposit(lines: Iterable[OrderLine]) -> list[Job]:
    """Return the jobs on these lines whose deposit was asked for and is not settled; one query."""
    jobs = {line.job.pk: line.job for line in lines if line.job is not None}
    states = deposit_state(jobs) if jobs else {}
    return [job for pk, job in sorted(jobs.items()) if states[pk] == "open"]
