"""Who did what, for those who may ask."""

from __future__ import annotations

from typing import Any

from jobs.audit.filters import EventFilter
from jobs.audit.models import Event
from jobs.audit.tables import EventTable
from jobs.kernel.lists import RoomListView


class EventList(RoomListView):
    permission = "jobs.view_audit"
    title = "Who did what"
    intro = "Every write, as it happened; nothing here is ever changed."
    table_class = EventTable
    filterset_class = EventFilter
    search_fields = ("subject_text", "verb", "reason", "by__name")
    search_hint = "A reference, a name, a verb or a reason"
    empty = "Nothing has been done yet."

    def get_rows(self) -> Any:
        return Event.objects.select_related("by")
