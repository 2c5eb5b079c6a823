"""What is kept of a sent quote or variation while it waits: reminders, a pause, risen prices."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q

from jobs.kernel.fields import PenceField


class PauseModel(models.Model):
    """Whether reminders were stopped by hand, and since when they go on again."""

    paused_at = models.DateTimeField(null=True, blank=True)
    paused_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    resumed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        abstract = True


class Watch(PauseModel):
    """One sent revision under watch. The sweeps write it; people only pause and resume it."""

    revision = models.OneToOneField(
        "quotes.Revision", on_delete=models.PROTECT, related_name="watch"
    )
    # [{"step": "d3", "at": ISO 8601}], the days on which the customer is reminded.
    plan = models.JSONField(default=list)
    # By how much the measured lines cost more on `checked_on` than was reckoned; null: no more.
    rise = PenceField(null=True, blank=True)
    checked_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["revision_id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(rise=None) | Q(rise__gt=0, checked_on__isnull=False),
                name="quotes_watch_rise_was_checked",
            )
        ]

    def __str__(self) -> str:
        return f"watch of {self.revision}"


class VariationWatch(PauseModel):
    """One sent variation under watch: the row that says whether its reminders are stopped."""

    variation = models.OneToOneField(
        "quotes.Variation", on_delete=models.PROTECT, related_name="watch"
    )

    class Meta:
        ordering = ["variation_id"]

    def __str__(self) -> str:
        return f"watch of {self.variation}"
