"""Which sites a page shows."""

from __future__ import annotations

from typing import Any

from django.db.models import Count, QuerySet


class SiteQuerySet(QuerySet[Any]):
    """Sites of customers whose data were not erased."""

    def known(self) -> SiteQuerySet:
        """Return those whose customer's data were not erased, with the customer."""
        return self.filter(customer__erased_at=None).select_related("customer")

    def current(self) -> SiteQuerySet:
        """Return those that one may still work at."""
        return self.known().filter(archived_at=None, customer__archived_at=None)

    def for_list(self) -> SiteQuerySet:
        """Return the list's rows with how many jobs each has: one query."""
        rows: SiteQuerySet = self.known().annotate(jobs_all=Count("jobs", distinct=True))
        return rows
