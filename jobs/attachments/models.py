"""Photos, papers and PDFs that belong to rows; the bytes lie under var/media by their hash."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models

from jobs.kernel.fields import more_than


class Attachment(models.Model):
    """One file: what it is, whose row it belongs to, and who may see it.

    Files are content-addressed and written before the row commits; an orphan sweep removes files
    that no row names.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True)
    digest = models.CharField(max_length=64)
    name = models.CharField(max_length=120)
    content_type = models.CharField(max_length=60)
    size = models.PositiveBigIntegerField()
    caption = models.CharField(max_length=200, blank=True)
    about_type = models.CharField(max_length=60)
    about_id = models.BigIntegerField()
    permission = models.CharField(max_length=60, help_text="the verb that may see it")
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    removed_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["at", "pk"]
        constraints = [more_than("size", 0, name="jobs_attachment_not_empty")]
        indexes = [models.Index(fields=["about_type", "about_id"], name="jobs_attachment_about")]

    def __str__(self) -> str:
        return self.name
