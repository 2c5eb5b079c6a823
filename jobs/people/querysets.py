"""Finding people and what an hour of them costs on a day."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db import models
from django.db.models import OuterRef, Subquery


class PersonQuerySet(models.QuerySet[Any]):
    """People of the firm."""

    def current(self) -> PersonQuerySet:
        """Those who work here."""
        return self.filter(archived_at=None)

    def with_hourly(self, on: date) -> PersonQuerySet:
        """With `hourly`: what an hour costs on that day; null before the first rate."""
        rates = self.model._meta.get_field("pay_rates").related_model
        rate = rates._default_manager.filter(  # noqa: SLF001 - documented by Django
            person=OuterRef("pk"), valid_from__lte=on
        ).order_by("-valid_from")
        found: PersonQuerySet = self.annotate(hourly=Subquery(rate.values("hourly")[:1]))
        return found

    def for_list(self, on: date) -> PersonQuerySet:
        """As the list shows them: with crew, log-in and rate."""
        return self.select_related("crew", "user").with_hourly(on)
