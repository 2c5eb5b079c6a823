"""Finding revisions of quotes."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.db.models import Exists, OuterRef, QuerySet


class RevisionQuerySet(QuerySet[Any]):
    """Revisions, with the job they are about."""

    def with_job(self) -> RevisionQuerySet:
        """Fetch quote, job, customer and site in the same query."""
        return self.select_related("quote__job__customer", "quote__job__site")

    def newest_of_each(self) -> RevisionQuerySet:
        """Return the newest revision of each quote."""
        model: Any = self.model
        newer = model.objects.filter(
            quote=OuterRef("quote"), number__gt=OuterRef("number")
        ).order_by()
        return self.filter(~Exists(newer))

    def for_list(self) -> RevisionQuerySet:
        """Return the newest revision of each quote, newest quote first."""
        return self.newest_of_each().with_job().order_by("-created_at", "-pk")

    def open_on(self, day: date) -> RevisionQuerySet:
        """Return sent revisions that still hold on `day`."""
        return self.filter(state="sent", valid_until__gte=day)
