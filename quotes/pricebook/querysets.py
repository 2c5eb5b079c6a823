"""Finding work items with the rate that holds on a day."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db.models import Count, OuterRef, QuerySet, Subquery


class WorkItemQuerySet(QuerySet[Any]):
    """Work items; the rate of a day is joined in the same query."""

    def in_use(self) -> WorkItemQuerySet:
        """Return those that new quotes may use."""
        return self.filter(archived_at=None)

    def for_list(self, day: date) -> WorkItemQuerySet:
        """Return all of them with the figures that hold on `day` (None before the first rate)."""
        rates: Any = self.model._meta.get_field("rates").related_model
        held = rates.objects.filter(work_item=OuterRef("pk"), valid_from__lte=day)
        held = held.order_by("-valid_from")
        annotated: WorkItemQuerySet = self.annotate(
            rate_from=Subquery(held.values("valid_from")[:1]),
            rate_hours=Subquery(held.values("labour_hours")[:1]),
            rate_plant=Subquery(held.values("plant")[:1]),
            rate_machine=Subquery(held.values("machine__name")[:1]),
            rate_material=Subquery(held.values("material")[:1]),
            rate_stock=Subquery(
                held.order_by("-valid_from", "stock__pk").values("stock__item__name")[:1]
            ),
            rate_stocked=Subquery(held.annotate(taken=Count("stock")).values("taken")[:1]),
        )
        return annotated


class DatedQuerySet(QuerySet[Any]):
    """Effective-dated rows: each holds from its day until the next one of its subject begins."""

    def on(self, day: date) -> Any:
        """Return the row that holds on `day`, or None."""
        return self.filter(valid_from__lte=day).order_by("-valid_from").first()


class BookQuerySet(QuerySet[Any]):
    """Plant, ground and small jobs; the figures of a day are joined in the same query."""

    def in_use(self) -> BookQuerySet:
        """Return those that new quotes may use."""
        return self.filter(archived_at=None)

    def for_list(self, day: date) -> BookQuerySet:
        """Return all of them; each figure that holds on `day` is there as `now_` and its name."""
        rates: Any = self.model._meta.get_field("rates").related_model
        held = rates.objects.filter(entry=OuterRef("pk"), valid_from__lte=day)
        held = held.order_by("-valid_from")
        names = [
            field.name for field in rates._meta.fields if field.name not in {"id", "entry"}
        ]  # fmt: skip
        found: BookQuerySet = self.annotate(
            **{f"now_{name}": Subquery(held.values(name)[:1]) for name in names}
        )
        return found
