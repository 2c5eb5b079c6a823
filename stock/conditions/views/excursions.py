"""What lay beyond its limits for too long, and the answer to it."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.shortcuts import get_object_or_404

from jobs.kernel.lists import RoomListView
from jobs.kernel.views import RoomPage, ServiceFormView
from stock.conditions import services
from stock.conditions.filters import ExcursionFilter
from stock.conditions.forms import AnswerForm
from stock.conditions.models import Excursion
from stock.conditions.tables import ExcursionTable
from stock.conditions.views.places import SEE
from stock.ledger.rules import pack_words


class Excursions(RoomListView):
    permission = SEE
    title = "Excursions"
    intro = "Resin that lay beyond its limits for longer than it may; it is held until answered."
    table_class = ExcursionTable
    filterset_class = ExcursionFilter
    search_fields = ("item__name", "item__code", "place__name", "lots__lot__code", "finding")
    search_hint = "Item, place, lot or finding"
    empty = "Nothing lay beyond its hours."

    def get_rows(self) -> Any:
        return Excursion.objects.for_list()


class OneExcursion:
    kwargs: dict[str, Any]
    found_name = "excursion"

    def find(self) -> Excursion:
        return get_object_or_404(
            Excursion.objects.select_related("place", "item", "answered_by"), pk=self.kwargs["pk"]
        )


class ExcursionDetail(OneExcursion, RoomPage):
    permission = SEE
    template_name = "stock/conditions/excursion.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        excursion: Excursion = self.found
        item = excursion.item
        rows = excursion.lots.select_related("lot")
        return super().get_context_data(
            title=f"{item} in {excursion.place}",
            limit_words=f"{excursion.get_side_display()} {excursion.limit_c} °C",
            rows=[
                (row, pack_words(row.quantity, item.pack_quantity, item.pack_name)) for row in rows
            ],
            **kwargs,
        )


class Answer(OneExcursion, ServiceFormView):
    permission = "jobs.release_lot"
    form_class = AnswerForm
    button = "Answer it"
    intro = (
        "Ask the maker with the batch, the hours and the farthest temperature, and keep to the "
        "safety data sheet. Hours after your answer count anew."
    )
    success_message = "Answered."

    def get_title(self) -> str:
        return f"Answer: {self.found}"

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def act(self, form: Any) -> Excursion:
        excursion, stays = services.answer_excursion(
            excursion_id=self.found.pk, by=self.request.user, at=self.request.now,
            **form.cleaned_data,
        )  # fmt: skip
        for sentence in stays:
            messages.warning(self.request, sentence)
        return excursion
