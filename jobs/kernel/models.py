"""Rows that every room leans on: number series and the keys that make a write safe to repeat."""

from __future__ import annotations

from django.db import models

from jobs.kernel.fields import at_least


class NumberSeries(models.Model):
    """One unbroken series of human references, as J-2026; its row is the lock."""

    name = models.CharField(max_length=40, unique=True)
    last = models.PositiveIntegerField(default=0)

    class Meta:
        constraints = [at_least("last", 0, name="jobs_numberseries_not_negative")]

    def __str__(self) -> str:
        return f"{self.name} {self.last}"


class PostingKey(models.Model):
    """Says that a write with this key was done: the same click twice finds it and stops.

    `digest` is the hash of the inputs, so that the same key with other inputs is an error and not
    a silent success. `result` is the pk of what was written.
    """

    key = models.UUIDField(unique=True)
    kind = models.CharField(max_length=60)
    digest = models.CharField(max_length=64)
    result = models.BigIntegerField(null=True)
    at = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"


class TaskRun(models.Model):
    """One run of a piece of regular work, so that a page can say when it ran and what it did."""

    name = models.CharField(max_length=80)
    started_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True)
    outcome = models.CharField(max_length=300, blank=True)
    failed = models.BooleanField(default=False)

    class Meta:
        indexes = [models.Index(fields=["name", "-started_at"], name="jobs_taskrun_latest")]

    def __str__(self) -> str:
        return f"{self.name} at {self.started_at}"
