"""The firm's own words for customers, and what was written to them about a job."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.urls import reverse

from jobs.kernel.fields import one_of
from jobs.messages.enums import Kind
from jobs.messages.querysets import CustomerMessageQuerySet, WordingQuerySet
from jobs.outbox.enums import Channel
from jobs.outbox.models import Message
from jobs.work.models import Job


class Wording(models.Model):
    """The firm's words for one kind of message and one channel, from a day on."""

    kind = models.CharField(max_length=8, choices=Kind.choices)
    channel = models.CharField(max_length=4, choices=Channel.choices)
    valid_from = models.DateField()
    subject = models.CharField(max_length=200, blank=True)
    body = models.TextField(max_length=4000)
    written_at = models.DateTimeField()
    written_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects = WordingQuerySet.as_manager()

    class Meta:
        ordering = ["kind", "channel", "-valid_from"]
        constraints = [
            one_of("kind", Kind, name="jobs_wording_kind"),
            one_of("channel", Channel, name="jobs_wording_channel"),
            models.UniqueConstraint(
                fields=["kind", "channel", "valid_from"], name="jobs_wording_from"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} as {self.get_channel_display()}"

    def get_absolute_url(self) -> str:
        return reverse("messages:wording", args=[self.kind, self.channel])


class CustomerMessage(models.Model):
    """One message that a person wrote to the customer of a job; the outbox has its words."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="customer_messages")
    kind = models.CharField(max_length=8, choices=Kind.choices)
    message = models.OneToOneField(
        Message, on_delete=models.PROTECT, related_name="customer_message"
    )
    # The work needs it, so that it goes to a customer who wants no more than that.
    needed = models.BooleanField(default=False)
    details = models.JSONField(default=dict, help_text="what the words were filled with")
    # {booking: its half-days} as they were told: the message is kept back once they differ.
    told = models.JSONField(default=dict)
    written_at = models.DateTimeField()
    written_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    objects = CustomerMessageQuerySet.as_manager()

    class Meta:
        ordering = ["-written_at", "-pk"]
        constraints = [one_of("kind", Kind, name="jobs_customermessage_kind")]

    def __str__(self) -> str:
        return f"'{self.get_kind_display()}' about {self.job.reference}"

    def get_absolute_url(self) -> str:
        return reverse("outbox:detail", args=[self.message_id])
