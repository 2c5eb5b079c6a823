"""Finding bookings and slots."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db import models
from django.db.models import Prefetch, QuerySet


class BookingQuerySet(models.QuerySet[Any]):
    """Bookings on the calendar."""

    def standing(self) -> BookingQuerySet:
        """Those that were not cancelled."""
        return self.filter(cancelled_at=None)

    def with_all(self) -> BookingQuerySet:
        """With job, slots and resources, and findings: four queries for any number."""
        slots: QuerySet[Any] = self.model._meta.get_field("slots").related_model._default_manager  # noqa: SLF001
        return self.select_related("job__site", "job__customer").prefetch_related(
            Prefetch("slots", slots.select_related("resource")), "findings"
        )

    def touching(self, first: date, last: date) -> BookingQuerySet:
        """Those with a day between the two, both included."""
        return self.standing().filter(first_day__lte=last, last_day__gte=first)
