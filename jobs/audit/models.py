"""What happened: one row for each write that a person may ask about later."""

from __future__ import annotations

from django.conf import settings
from django.db import models


class Event(models.Model):
    """Who did what to which row, when, and what it was before and after; written once."""

    append_only = True

    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    verb = models.CharField(max_length=60)
    subject_type = models.CharField(max_length=60)
    subject_id = models.BigIntegerField()
    subject_text = models.CharField(max_length=200, blank=True)
    before = models.JSONField(default=dict)
    after = models.JSONField(default=dict)
    reason = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [
            models.Index(fields=["subject_type", "subject_id"], name="jobs_event_subject"),
            models.Index(fields=["-at"], name="jobs_event_at"),
        ]

    def __str__(self) -> str:
        return f"{self.verb} {self.subject_type} {self.subject_id}"
