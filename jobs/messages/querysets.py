"""Which messages and wordings a page shows."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db.models import QuerySet


class WordingQuerySet(QuerySet[Any]):
    """The firm's own words."""

    def holding(self, on: date) -> WordingQuerySet:
        """Return those that hold on a day or held before it, the newest first."""
        return self.filter(valid_from__lte=on).order_by("-valid_from")


class CustomerMessageQuerySet(QuerySet[Any]):
    """Messages to customers about jobs."""

    def for_list(self) -> CustomerMessageQuerySet:
        """Return the list's rows with job, message and writer: one query."""
        return self.select_related("job__customer", "message", "written_by")
