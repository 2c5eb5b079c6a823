"""Messages that left, wait or failed; a person decides about those in doubt."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.lists import RoomListView
from jobs.kernel.templatetags import firm
from jobs.kernel.views import RoomPage, ServiceActionView
from jobs.outbox import services
from jobs.outbox.enums import MessageState
from jobs.outbox.filters import MessageFilter
from jobs.outbox.models import Message
from jobs.outbox.queries import may_be_dropped, may_go_again, stuck
from jobs.outbox.tables import MessageTable

SEE = "jobs.see_messages"


class MessageList(RoomListView):
    permission = SEE
    title = "Messages"
    table_class = MessageTable
    filterset_class = MessageFilter
    search_fields = ("to", "subject", "body")
    search_hint = "An address, or words of the message"
    empty = "No message has been written yet."

    def get_rows(self) -> Any:
        return Message.objects.all()


class OneMessage:
    """Finds the message of the address."""

    kwargs: dict[str, Any]
    found_name = "message"

    def find(self) -> Message:
        return get_object_or_404(Message, pk=self.kwargs["pk"])


class MessageDetail(OneMessage, RoomPage):
    permission = SEE
    template_name = "jobs/outbox/detail.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        message: Message = self.found
        at = self.request.now
        return super().get_context_data(
            title=message.subject,
            facts=facts_of(message),
            stuck=stuck(message, at),
            may_go_again=may_go_again(message, at),
            may_be_dropped=may_be_dropped(message, at),
            **kwargs,
        )


def facts_of(message: Message) -> list[tuple[str, str]]:
    """Return what the message's page says first."""
    facts = [
        ("To", message.to),
        ("Goes as", message.get_channel_display()),
        ("State", message.get_state_display()),
        ("Written", moment(message.created_at)),
    ]
    if message.sent_at:
        facts.append(("Sent", moment(message.sent_at)))
        if message.reference:
            facts.append(("The gateway calls it", message.reference))
    elif message.state == MessageState.DUE:
        facts.append(("Goes", moment(message.due_at)))
    if message.tries:
        facts.append(("Tries", str(message.tries)))
    return facts


def moment(at: datetime) -> str:
    """Return an instant in words."""
    return f"{firm.day_year(at)}, {firm.wall(at)}"


class MessageVerb(OneMessage, ServiceActionView):
    permission = SEE

    def get_success_url(self) -> str:
        return reverse("outbox:detail", args=[self.found.pk])


class SendAgain(MessageVerb):
    success_message = "It goes again now."

    def act(self) -> Message:
        return services.send_again(
            message_id=self.found.pk, by=self.request.user, at=self.request.now
        )


class Drop(MessageVerb):
    success_message = "It will not be sent."

    def act(self) -> Message:
        return services.drop_message(
            message_id=self.found.pk, by=self.request.user, at=self.request.now
        )
