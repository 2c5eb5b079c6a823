"""The list of what was done."""

from __future__ import annotations

import django_tables2 as tables

from jobs.audit.models import Event
from jobs.audit.rules import change_words, verb_words
from jobs.kernel.tables import FieldBookTable, MomentColumn


class EventTable(FieldBookTable):
    at = MomentColumn(verbose_name="When")
    by = tables.Column(verbose_name="Who", default="the program", order_by=("by__name",))
    verb = tables.Column(verbose_name="Did what")
    subject_text = tables.Column(verbose_name="To what")
    change = tables.Column(
        verbose_name="What changed", accessor="after", orderable=False, empty_values=()
    )
    reason = tables.Column(verbose_name="Why", orderable=False)

    class Meta:
        model = Event
        fields = ("at", "by", "verb", "subject_text", "change", "reason")

    def render_verb(self, value: str) -> str:
        return verb_words(value)

    def render_change(self, record: Event) -> str:
        return change_words(record.before, record.after) or "–"

    def value_change(self, record: Event) -> str:
        return change_words(record.before, record.after)
