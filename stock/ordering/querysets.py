"""Named reads of orders, deliveries, shortages and reminders."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import TYPE_CHECKING

from django.db.models import Count, F, Max, Q, QuerySet

from stock.ordering.enums import OrderState, ReminderState

if TYPE_CHECKING:
    from stock.ordering.models import GoodsIn, Order, Reminder, Shortage  # noqa: F401


class OrderQuerySet(QuerySet["Order"]):
    """Reads of orders."""

    def placed(self) -> OrderQuerySet:
        """Keep orders on which something is still to come."""
        return self.filter(state__in=OrderState.OPEN)

    def for_list(self) -> OrderQuerySet:
        """Return orders as the list shows them, with the number of lines; the newest first."""
        # Grouping drops the model's order, so it is given again.
        return (
            self.select_related("supplier", "channel")
            .annotate(
                line_count=Count("lines", distinct=True),
                jobs=Count("lines__job", distinct=True),
            )
            .order_by("-drafted_at", "-pk")
        )

    def for_page(self) -> OrderQuerySet:
        """Return orders with all that an order's page shows."""
        return self.select_related("supplier", "channel__supplier", "drafted_by").prefetch_related(
            "lines__item",
            "lines__job",
            "deliveries__lines__lot",
            "deliveries__lines__order_line__item",
        )


class GoodsInQuerySet(QuerySet["GoodsIn"]):
    """Reads of deliveries."""

    def for_page(self) -> GoodsInQuerySet:
        """Return deliveries with all that a delivery's page shows."""
        return self.select_related("order__supplier", "by", "undone_by").prefetch_related(
            "lines__lot", "lines__order_line__item", "lines__order_line__job"
        )

    def for_list(self) -> GoodsInQuerySet:
        """Return deliveries with what there is to claim in each, the newest first."""
        wrong = Q(lines__outcome__in=["held", "refused", "short", "over"])
        return (
            self.select_related("order__supplier", "by")
            .annotate(amiss=Count("lines", filter=wrong), newest=Max("lines__pk"))
            .order_by("-received_at", "-pk")
        )


class ShortageQuerySet(QuerySet["Shortage"]):
    """Reads of shortages."""

    def open(self) -> ShortageQuerySet:
        """Keep those that nothing has ended."""
        return self.filter(closed_at=None)

    def for_clock(self) -> ShortageQuerySet:
        """Return open shortages by the clock; those that can no longer arrive come first."""
        return (
            self.open()
            .select_related("job__site", "item")
            .order_by(F("order_by").asc(nulls_first=True), "needed_on", "pk")
        )

    def for_jobs(self, job_ids: Iterable[int]) -> ShortageQuerySet:
        """Keep those of some jobs."""
        return self.filter(job_id__in=list(job_ids))


class ReminderQuerySet(QuerySet["Reminder"]):
    """Reads of reminders."""

    def due(self, at: datetime) -> ReminderQuerySet:
        """Keep those that should have gone by `at`, the oldest first."""
        return self.filter(state=ReminderState.DUE, due_at__lte=at).order_by("due_at", "pk")

    def for_list(self) -> ReminderQuerySet:
        """Return reminders as the list shows them, the newest first."""
        rows = self.select_related("user").annotate(about=Count("shortages"))
        return rows.order_by("-due_at", "-pk")
