"""Named reads of readings, sensors and excursions."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Any

from django.db.models import QuerySet

if TYPE_CHECKING:
    from stock.conditions.models import Excursion, Reading, Sensor  # noqa: F401


class ReadingQuerySet(QuerySet["Reading"]):
    """Reads of readings."""

    def used(self) -> ReadingQuerySet:
        """Leave out readings that somebody has taken out."""
        return self.filter(left_out_reason="")

    def of_place(self, place: Any, since: datetime, until: datetime) -> ReadingQuerySet:
        """Keep one place's readings from `since` to `until`, in order."""
        return self.filter(place=place, at__gte=since, at__lte=until).order_by("at")

    def for_list(self) -> ReadingQuerySet:
        """Return readings as lists show them, newest first."""
        return self.select_related("place", "by", "sensor").order_by("-at", "-pk")


class SensorQuerySet(QuerySet["Sensor"]):
    """Reads of sensors."""

    def active(self) -> SensorQuerySet:
        """Keep sensors that may still send."""
        return self.filter(stopped_at=None)

    def for_list(self) -> SensorQuerySet:
        """Return sensors with their place."""
        return self.select_related("place").order_by("place__kind", "place__name", "name", "pk")


class ExcursionQuerySet(QuerySet["Excursion"]):
    """Reads of excursions."""

    def open(self) -> ExcursionQuerySet:
        """Keep those that wait for an answer."""
        return self.filter(answered_at=None)

    def for_list(self) -> ExcursionQuerySet:
        """Return excursions with what lists show of them, newest first."""
        return self.select_related("place", "item").order_by("-started_at", "-pk")
