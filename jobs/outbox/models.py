"""Messages waiting to leave, and those that left."""

from __future__ import annotations

import uuid

from django.db import models

from jobs.kernel.fields import one_of
from jobs.outbox.enums import Audience, Channel, MessageState


class Message(models.Model):
    """One e-mail or text message.

    A worker claims a due row by conditional update, sends after commit, then marks. Staff mail
    goes at least once under a fixed Message-ID; customer and supplier mail, and every text, at most
    once: a row stuck in sending is shown to a person, who decides.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    # Says which occasion this message is for, so that the same occasion never makes a second one.
    occasion = models.CharField(max_length=120, unique=True)
    audience = models.CharField(max_length=10, choices=Audience.choices)
    state = models.CharField(max_length=10, choices=MessageState.choices, default=MessageState.DUE)
    channel = models.CharField(max_length=4, choices=Channel.choices, default=Channel.MAIL)
    # An e-mail address, or for a text message a number as E.164 has it.
    to = models.CharField(max_length=254)
    subject = models.CharField(max_length=200)
    body = models.TextField()
    attachments = models.JSONField(default=list, help_text="uids of attachments, in order")
    about_type = models.CharField(max_length=60, blank=True)
    about_id = models.BigIntegerField(null=True)
    due_at = models.DateTimeField()
    created_at = models.DateTimeField()
    claimed_at = models.DateTimeField(null=True)
    sent_at = models.DateTimeField(null=True)
    tries = models.PositiveSmallIntegerField(default=0)
    last_error = models.CharField(max_length=300, blank=True)
    # What the text gateway calls the message that it took.
    reference = models.CharField(max_length=120, blank=True, default="")

    class Meta:
        ordering = ["-created_at", "-pk"]
        constraints = [
            one_of("audience", Audience, name="jobs_message_audience"),
            one_of("channel", Channel, name="jobs_message_channel"),
            one_of("state", MessageState, name="jobs_message_state"),
        ]
        indexes = [
            models.Index(fields=["state", "due_at"], name="jobs_message_due"),
            models.Index(fields=["about_type", "about_id"], name="jobs_message_about"),
        ]

    def __str__(self) -> str:
        return f"{self.subject} to {self.to}"
