"""Jobs, from the first telephone call to the end of the guarantee."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from jobs.customers.enums import Source
from jobs.customers.models import Customer
from jobs.kernel.fields import one_of
from jobs.sites.models import Site
from jobs.work.enums import LostReason, Stage
from jobs.work.querysets import JobQuerySet


class Job(models.Model):
    """One piece of work at one site. Its stage changes only through jobs/work services."""

    reference = models.CharField(max_length=20, unique=True)
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="jobs")
    site = models.ForeignKey(Site, on_delete=models.PROTECT, related_name="jobs")
    title = models.CharField(max_length=120)
    stage = models.CharField(max_length=12, choices=Stage.choices, default=Stage.ENQUIRY)
    source = models.CharField(max_length=12, choices=Source.choices, default=Source.TELEPHONE)
    enquiry = models.TextField(blank=True, max_length=2000)
    customer_order_number = models.CharField(max_length=40, blank=True)
    lost_reason = models.CharField(max_length=14, choices=LostReason.choices, blank=True)
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    stage_since = models.DateTimeField()
    version = models.PositiveIntegerField(default=1)

    objects = JobQuerySet.as_manager()

    class Meta:
        ordering = ["-opened_at", "-pk"]
        constraints = [
            one_of("stage", Stage, name="jobs_job_stage"),
            one_of("source", Source, name="jobs_job_source"),
            # A job that was lost says why; one that was not, does not.
            models.CheckConstraint(
                condition=(Q(stage=Stage.LOST) & ~Q(lost_reason=""))
                | (~Q(stage=Stage.LOST) & Q(lost_reason="")),
                name="jobs_job_lost_says_why",
            ),
        ]
        indexes = [models.Index(fields=["stage", "-opened_at"], name="jobs_job_stage_opened")]

    def __str__(self) -> str:
        return f"{self.reference} {self.title}"

    def get_absolute_url(self) -> str:
        return reverse("work:detail", args=[self.pk])

    @property
    def audit_name(self) -> str:
        """How events name this row: a title may name a person, and events are never erased."""
        return self.reference

    @property
    def is_open(self) -> bool:
        return self.stage in Stage.OPEN


class StageChange(models.Model):
    """When a job moved from one stage to the next, and what moved it."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="stage_changes")
    before = models.CharField(max_length=12, blank=True)
    after = models.CharField(max_length=12, choices=Stage.choices)
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return f"{self.before} to {self.after}"
