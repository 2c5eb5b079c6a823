"""Budget, commitments and actual cost of jobs, every cost once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Q, Sum

from jobs.costing.enums import Category, EntryKind
from jobs.costing.models import CostEntry
from jobs.costing.rules import CategoryCost, JobCost, Variance, add_up, variance
from jobs.kernel.money import ZERO
from jobs.kernel.registries import COMMITMENTS
from jobs.work.models import Job


def job_costs(
    jobs: Sequence[Job], *, first: date | None = None, last: date | None = None
) -> list[JobCost]:
    """Return the cost of each job in the order given: one query and one a provider.

    With days, only entries of those days count (both included); what is on order has no day and
    is then left out when `last` is given, since it belongs to the present.
    """
    ids = [job.pk for job in jobs]
    amounts = _amounts(ids, first, last)
    committed = _committed(ids) if last is None else {}
    found = []
    for job in jobs:
        rows = tuple(
            CategoryCost(
                category.value,
                category.label,
                amounts.get((job.pk, EntryKind.BUDGET, category.value), ZERO),
                committed.get((job.pk, category.value), ZERO),
                amounts.get((job.pk, EntryKind.ACTUAL, category.value), ZERO),
            )
            for category in Category
        )
        found.append(JobCost(job.pk, job.reference, job.title, rows))
    return found


def _amounts(
    ids: list[int], first: date | None, last: date | None
) -> dict[tuple[int, str, str], Decimal]:
    wanted = Q(job_id__in=ids)
    if first is not None:
        wanted &= Q(day__gte=first)
    if last is not None:
        wanted &= Q(day__lte=last)
    rows = (
        CostEntry.objects.filter(wanted)
        .order_by()
        .values_list("job_id", "kind", "category")
        .annotate(sum=Sum("amount"))
    )
    return {(job, kind, category): amount for job, kind, category, amount in rows}


def _committed(ids: list[int]) -> dict[tuple[int, str], Decimal]:
    found: dict[tuple[int, str], Decimal] = {}
    for provider in COMMITMENTS:
        for job_id, categories in provider(ids).items():
            for category, amount in categories.items():
                found[job_id, category] = found.get((job_id, category), ZERO) + amount
    return found


def totals_of(costs: Sequence[JobCost]) -> tuple[CategoryCost, ...]:
    """Return the sums of each category over several jobs, and of all of them last."""
    rows = [
        add_up(
            category.value,
            category.label,
            [row for cost in costs for row in cost.categories if row.category == category.value],
        )
        for category in Category
    ]
    return (*rows, add_up("total", "in all", rows))


@dataclass(frozen=True)
class QuantityVariance:
    """A category counted in one unit: what was reckoned with, what was used, the difference."""

    label: str
    unit: str
    budget_quantity: Decimal
    actual_quantity: Decimal
    parts: Variance


def variances_of(job: Job) -> list[QuantityVariance]:
    """Return the differences that can be taken apart: one query.

    Only a category whose every amount, budget and actual, has a quantity of one and the same unit
    can be: hours of labour, mostly. Kits and bags together have no price of one unit.
    """
    sums: dict[str, dict[tuple[str, str], tuple[Decimal, Decimal]]] = {}
    rows = (
        CostEntry.objects.filter(job=job)
        .order_by()
        .values_list("category", "kind", "unit")
        .annotate(quantity=Sum("quantity"), amount=Sum("amount"))
    )
    for category, kind, unit, quantity, amount in rows:
        sums.setdefault(category, {})[kind, unit] = (quantity or Decimal(0), amount)
    found = []
    for category in Category:
        parts = sums.get(category.value, {})
        [unit, *others] = {unit for _, unit in parts} or {""}
        budget = parts.get((EntryKind.BUDGET, unit))
        actual = parts.get((EntryKind.ACTUAL, unit))
        if others or not unit or budget is None or actual is None or budget[0] <= 0:
            continue
        apart = variance(
            budget=budget[1], budget_quantity=budget[0],
            actual=actual[1], actual_quantity=actual[0],
        )  # fmt: skip
        found.append(QuantityVariance(category.label, unit, budget[0], actual[0], apart))
    return found


def jobs_with_costs() -> list[Job]:
    """Return every job that has budget or cost, newest first."""
    ids = CostEntry.objects.order_by().values("job_id").distinct()
    return list(Job.objects.filter(pk__in=ids).select_related("customer"))
