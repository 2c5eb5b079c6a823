"""Which jobs a page shows."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet

from jobs.work.enums import Stage


class JobQuerySet(QuerySet[Any]):
    """Jobs, from the first telephone call to the end of the guarantee."""

    def open(self) -> JobQuerySet:
        """Return jobs on which something is still to be done."""
        return self.filter(stage__in=Stage.OPEN)

    def for_list(self) -> JobQuerySet:
        """Return the list's rows with customer and site: one query."""
        return self.select_related("customer", "site")

    def for_page(self) -> JobQuerySet:
        """Return jobs with what the job page heads."""
        return self.select_related("customer", "site", "opened_by")
