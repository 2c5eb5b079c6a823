"""Filters of messages to customers, and of the firm's own words."""

from __future__ import annotations

import django_filters

from jobs.messages.enums import Kind
from jobs.messages.models import CustomerMessage, Wording
from jobs.outbox.enums import Channel, MessageState


class CustomerMessageFilter(django_filters.FilterSet):
    kind = django_filters.ChoiceFilter(choices=Kind.choices, label="About", empty_label="anything")
    state = django_filters.ChoiceFilter(
        choices=MessageState.choices, label="State", empty_label="any",
        field_name="message__state",
    )  # fmt: skip
    channel = django_filters.ChoiceFilter(
        choices=Channel.choices, label="As", empty_label="anything", field_name="message__channel"
    )

    class Meta:
        model = CustomerMessage
        fields = ("kind", "state", "channel")


class WordingFilter(django_filters.FilterSet):
    kind = django_filters.ChoiceFilter(choices=Kind.choices, label="About", empty_label="anything")
    channel = django_filters.ChoiceFilter(
        choices=Channel.choices, label="As", empty_label="anything"
    )

    class Meta:
        model = Wording
        fields = ("kind", "channel")
