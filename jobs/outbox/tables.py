"""The list of messages."""

from __future__ import annotations

import django_tables2 as tables
from django.urls import reverse

from jobs.kernel.tables import FieldBookTable, MomentColumn, StateColumn, VerbColumn
from jobs.outbox.enums import MessageState
from jobs.outbox.models import Message

LEVELS = {
    MessageState.SENT: "ready",
    MessageState.SENDING: "look",
    MessageState.FAILED: "stop",
    MessageState.DROPPED: "look",
}


def level_of(message: Message) -> str:
    """Return the level of a message's state; a message that waits has none."""
    return LEVELS.get(MessageState(message.state), "")


class MessageTable(FieldBookTable):
    created_at = MomentColumn(verbose_name="Written")
    to = tables.Column(verbose_name="To")
    channel = tables.Column(verbose_name="As")
    subject = tables.Column(verbose_name="Matter")
    state = StateColumn(verbose_name="State", level=level_of)
    sent_at = MomentColumn(verbose_name="Sent")
    open = VerbColumn("open", url=lambda row: reverse("outbox:detail", args=[row.pk]))

    class Meta:
        model = Message
        fields = ("created_at", "to", "channel", "subject", "state", "sent_at", "open")

    def render_state(self, record: Message) -> object:
        column = self.columns["state"].column
        return column.render(record.get_state_display(), record)
