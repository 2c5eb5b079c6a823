"""Named reads of lay days, bays, mixes and differences."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Any

from django.db.models import Count, OuterRef, Q, QuerySet, Subquery, Sum

from stock.laying.enums import MixState

if TYPE_CHECKING:
    from stock.laying.models import Discrepancy, LayBay, LayDay, Mix  # noqa: F401


class LayDayQuerySet(QuerySet["LayDay"]):
    """Reads of lay days."""

    def of_job(self, job_id: int) -> LayDayQuerySet:
        """Keep a job's days, the first first, with mixes and m² counted."""
        return self.filter(job_id=job_id).with_counts().order_by("day")

    def with_counts(self) -> LayDayQuerySet:
        """Add `mixes_laid`, the standing mixes, and `area`, the m² of bays that are full."""
        bays = self.model._meta.get_field("bays").related_model._default_manager  # noqa: SLF001
        area = bays.filter(lay_day=OuterRef("pk")).order_by().values("lay_day")
        return self.annotate(
            mixes_laid=Count("mixes", filter=~Q(mixes__state=MixState.VOID)),
            area=Subquery(area.annotate(total=Sum("area_m2")).values("total")),
        )


class LayBayQuerySet(QuerySet["LayBay"]):
    """Reads of bays."""

    def for_page(self, lay_day: Any) -> LayBayQuerySet:
        """Return a day's bays in their order, with their blends."""
        return (
            self.filter(lay_day=lay_day)
            .select_related("blend__kit")
            .prefetch_related("blend__components__item")
            .order_by("pk")
        )


class MixQuerySet(QuerySet["Mix"]):
    """Reads of mixes."""

    def standing(self) -> MixQuerySet:
        """Leave out what was logged by mistake."""
        return self.exclude(state=MixState.VOID)

    def of_day(self, lay_day: Any) -> MixQuerySet:
        """Return a day's standing mixes by number."""
        return self.standing().filter(lay_day=lay_day).order_by("number")

    def of_job_elsewhere(self, job_id: int, day: date) -> MixQuerySet:
        """Return a job's standing mixes of other days."""
        return self.standing().filter(lay_day__job_id=job_id).exclude(lay_day__day=day)


class DiscrepancyQuerySet(QuerySet["Discrepancy"]):
    """Reads of differences."""

    def open(self) -> DiscrepancyQuerySet:
        """Keep those that nobody answered."""
        return self.filter(answered_at=None)

    def for_list(self) -> DiscrepancyQuerySet:
        """Return differences with what a page shows of each, the open ones first."""
        return self.select_related(
            "lay_day__job__site", "lot__item", "mix", "answered_by"
        ).order_by("answered_at", "-found_at", "-pk")
