"""Shortages by the clock, drafting from them, and what was sent about them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import uuid4

from django.http import Http404
from django.urls import reverse

from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.views import RoomPage, ServiceFormView
from stock.ordering import services
from stock.ordering.filters import ReminderFilter, ShortageFilter
from stock.ordering.forms import DraftForm
from stock.ordering.models import Order, Reminder, Shortage
from stock.ordering.queries import draft_lines, regular_work
from stock.ordering.rules.words import ChannelMoment, ShortFacts, moments_text
from stock.ordering.tables import ReminderTable, ShortageTable
from stock.ordering.views.orders import PLACE, SEE

LATEST = 10


@dataclass(frozen=True)
class ClockRow:
    """A shortage as the list by the clock shows it."""

    facts: ShortFacts
    at: datetime | None
    moments: str
    missed: bool
    draft: Order | None
    channel: ChannelMoment | None
    key: str


def clock_rows(now: datetime) -> list[ClockRow]:
    """Return open shortages, the first to close first; two queries."""
    shortages = list(Shortage.objects.for_clock())
    drafts = draft_lines(shortages)
    rows = []
    for row in shortages:
        facts = row.facts
        line = drafts.get((row.job_id, row.item_id, row.colour_group))
        still = facts.open_moments(now)
        rows.append(
            ClockRow(
                facts=facts,
                at=facts.next_close(now) or facts.order_by,
                moments=moments_text(facts, now),
                missed=not still,
                draft=line.order if line else None,
                channel=still[0] if still else None,
                key=str(uuid4()),
            )
        )
    return sorted(rows, key=lambda row: (not row.missed, row.at is not None, row.at or now))


def by_channel(rows: list[ClockRow]) -> list[dict[str, Any]]:
    """Return each channel on which one order would end several shortages."""
    found: dict[int, dict[str, Any]] = {}
    for row in rows:
        if row.draft is None and row.channel is not None:
            entry = found.setdefault(
                row.channel.channel_id, {"channel": row.channel, "ids": [], "key": str(uuid4())}
            )
            entry["ids"].append(row.facts.pk)
    return [entry for entry in found.values() if len(entry["ids"]) > 1]


class Clock(RoomPage):
    """What is short by its last minute, what was sent about it, and when the work runs."""

    permission = SEE
    template_name = "stock/ordering/clock.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        now = self.request.now
        rows = clock_rows(now)
        return super().get_context_data(
            title="Orders by the clock",
            rows=rows,
            together=by_channel(rows),
            reminders=Reminder.objects.for_list()[:LATEST],
            work=regular_work(now),
            **kwargs,
        )


class Shortages(RoomListView):
    permission = SEE
    title = "Shortages"
    table_class = ShortageTable
    filterset_class = ShortageFilter
    search_fields = ("item__name", "item__code", "job__reference", "job__title", "colour_group")
    search_hint = "Item or job"
    actions = (Action("By the clock", "ordering:clock", SEE, solid=False),)
    empty = "Nothing is short for any won job."

    def get_rows(self) -> Any:
        return Shortage.objects.select_related("item", "job").order_by("order_by", "pk")


class Reminders(RoomListView):
    permission = SEE
    title = "Reminders"
    table_class = ReminderTable
    filterset_class = ReminderFilter
    search_fields = ("user__name", "user__email", "shortages__item__name")
    search_hint = "Person or item"
    empty = "No reminder was owed yet."

    def get_rows(self) -> Any:
        return Reminder.objects.for_list()


class DraftFromShortages(ServiceFormView):
    """One press drafts an order; `?shortage=` starts from one, with its supplier's others."""

    permission = PLACE
    form_class = DraftForm
    template_name = "stock/ordering/draft.html"
    title = "Draft an order"
    button = "Draft the order"
    success_message = "Drafted. Look it over, then place it."

    def find(self) -> None:
        rows = list(Shortage.objects.for_clock())
        wanted = self.request.GET.get("shortage", "")
        if not wanted:
            self.rows = rows
            return
        first = next((row for row in rows if str(row.pk) == wanted), None)
        if first is None:
            raise Http404
        sellers = {moment["supplier"] for moment in first.channels}
        self.rows = [
            row for row in rows
            if row is first or sellers & {moment["supplier"] for moment in row.channels}
        ]  # fmt: skip
        self.rows.sort(key=lambda row: row is not first)

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"rows": self.rows, "at": self.request.now}

    def get_initial(self) -> dict[str, Any]:
        if not self.rows or not self.request.GET.get("shortage"):
            return {}
        drafts = draft_lines(self.rows)
        free = [
            row for row in self.rows
            if (row.job_id, row.item_id, row.colour_group) not in drafts
        ]  # fmt: skip
        still = self.rows[0].facts.open_moments(self.request.now)
        best = still[0] if still else None
        ids = [
            row.pk for row in free
            if best is None or best.channel_id in {m["channel_id"] for m in row.channels}
        ]  # fmt: skip
        return {"channel": best.channel_id if best else None, "shortages": ids}

    def get_back_url(self) -> str:
        return reverse("ordering:clock")

    def act(self, form: Any) -> Order:
        values = form.cleaned_data
        return services.draft_order(
            channel_id=values["channel"], shortage_ids=values["shortages"], key=values["uid"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip
