"""What to reorder: the latest day's suggestions, and what is done with one."""

from __future__ import annotations

from typing import Any, ClassVar

from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.clock import london_day
from jobs.kernel.lists import RoomListView
from jobs.kernel.templatetags.firm import day_year, wall
from jobs.kernel.views import RoomPage, ServiceActionView
from stock.ordering.models import Order
from stock.reorder import services
from stock.reorder.filters import SuggestionFilter
from stock.reorder.models import ReorderRun, Suggestion
from stock.reorder.queries import latest_run
from stock.reorder.tables import SuggestionTable

SEE = ("jobs.place_order", "jobs.receive_goods", "jobs.see_costing")
PLACE = "jobs.place_order"


class Suggestions(RoomListView):
    permission = SEE
    title = "What to reorder"
    template_name = "stock/reorder/list.html"
    fragment_name = "list_page.html#rows"
    table_class = SuggestionTable
    filterset_class = SuggestionFilter
    search_fields = ("item__name", "item__code", "supplier__name", "job__reference")
    search_hint = "Item, supplier or job"
    empty = "Nothing needs ordering."

    def get_rows(self) -> Any:
        self.run = latest_run()
        return Suggestion.objects.of_run(self.run).for_list()

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        run = self.run
        said = f"reckoned {day_year(run.on)}, {wall(run.ran_at)}" if run else "not reckoned yet"
        return super().get_context_data(**kwargs) | {"intro": said}


class OneSuggestion:
    kwargs: dict[str, Any]
    found_name: ClassVar[str] = "suggestion"

    def find(self) -> Suggestion:
        found: Suggestion = get_object_or_404(Suggestion.objects.for_list(), pk=self.kwargs["pk"])
        return found


class SuggestionPage(OneSuggestion, RoomPage):
    """One suggestion with its why, to draft or to set aside."""

    permission = SEE
    template_name = "stock/reorder/detail.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        row: Suggestion = self.found
        channel = row.channel.get_kind_display() if row.channel else ""
        order_by = f"{day_year(row.order_by)}, {wall(row.order_by)}" if row.order_by else ""
        return super().get_context_data(
            title=f"{row.packs} × {row.item}",
            facts=[
                ("From", f"{row.supplier}, {channel}" if row.supplier else ""),
                ("Needed", day_year(row.needed_on)),
                ("Order by", order_by),
                ("For", row.job.reference if row.job else "the yard"),
                ("Why", row.why),
                ("State", row.get_state_display()),
            ],
            **kwargs,
        )


class DraftSuggestion(OneSuggestion, ServiceActionView):
    permission = PLACE
    success_message = "Drafted. Look it over, then place it."

    def act(self) -> Order:
        return services.draft_suggestion(
            suggestion_id=self.found.pk, by=self.request.user, at=self.request.now
        )

    def get_success_url(self) -> str:
        return str(self.made.get_absolute_url()) if self.made else reverse("reorder:list")


class SetAside(OneSuggestion, ServiceActionView):
    permission = PLACE
    success_message = "Set aside until tomorrow's reckoning."

    def act(self) -> Suggestion:
        return services.set_aside(
            suggestion_id=self.found.pk, by=self.request.user, at=self.request.now
        )

    def get_success_url(self) -> str:
        return reverse("reorder:list")


class ReckonAgain(ServiceActionView):
    permission = PLACE
    success_message = "Reckoned anew."

    def act(self) -> ReorderRun:
        at = self.request.now
        return services.suggest(on=london_day(at), at=at)

    def get_success_url(self) -> str:
        return reverse("reorder:list")
