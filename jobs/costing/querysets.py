"""Jobs with their sums, for the list of costing."""

from __future__ import annotations

from typing import Any

from django.db.models import OuterRef, QuerySet, Subquery, Sum


def with_cost_sums(jobs: QuerySet[Any], entries: QuerySet[Any]) -> QuerySet[Any]:
    """Annotate `budget` and `actual`, as sums of the entries of each job."""

    def total(kind: str) -> Subquery:
        return Subquery(
            entries.filter(job=OuterRef("pk"), kind=kind)
            .order_by()
            .values("job")
            .annotate(sum=Sum("amount"))
            .values("sum")
        )

    found: QuerySet[Any] = jobs.annotate(budget=total("budget"), actual=total("actual"))
    return found
