"""Filters of the messages."""

from __future__ import annotations

import django_filters

from jobs.outbox.enums import Audience, Channel, MessageState
from jobs.outbox.models import Message


class MessageFilter(django_filters.FilterSet):
    state = django_filters.ChoiceFilter(
        choices=MessageState.choices, label="State", empty_label="any"
    )
    audience = django_filters.ChoiceFilter(
        choices=Audience.choices, label="For", empty_label="anybody"
    )
    channel = django_filters.ChoiceFilter(
        choices=Channel.choices, label="As", empty_label="anything"
    )

    class Meta:
        model = Message
        fields = ("state", "audience", "channel")
