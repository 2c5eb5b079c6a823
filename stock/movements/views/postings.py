"""The list of postings, one of them, and undoing it."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.lists import RoomListView
from jobs.kernel.paging import BoundedPaginator
from jobs.kernel.views import RoomPage, ServiceFormView
from stock.ledger.models import Posting
from stock.ledger.rules import pack_words
from stock.movements import services
from stock.movements.filters import PostingFilter
from stock.movements.forms import UndoForm
from stock.movements.tables import PostingTable

SEE = "jobs.view_yard"
MOVE = "jobs.move_stock"


class Postings(RoomListView):
    permission = SEE
    title = "Postings"
    table_class = PostingTable
    filterset_class = PostingFilter
    paginator_class = BoundedPaginator
    search_fields = ("job__reference", "reason", "movements__lot__code")
    search_hint = "Job, lot or reason"
    empty = "Nothing was booked yet."

    def get_rows(self) -> Any:
        return Posting.objects.for_list()


class PostingDetail(RoomPage):
    permission = SEE
    found_name = "posting"
    template_name = "stock/movements/posting.html"

    def find(self) -> Posting:
        return get_object_or_404(
            Posting.objects.select_related("job", "by", "reverses", "waste_line__note"),
            pk=self.kwargs["pk"],
        )

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        posting: Posting = self.found
        rows = posting.movements.select_related("lot__item", "from_place", "to_place")
        counter = Posting.objects.filter(reverses=posting).first()
        return super().get_context_data(
            title=posting.get_kind_display().capitalize(),
            rows=[
                (row, pack_words(row.quantity, row.lot.item.pack_quantity, row.lot.item.pack_name))
                for row in rows
            ],
            counter=counter,
            can_undo=counter is None and services.can_undo(posting),
            note=line.note if (line := getattr(posting, "waste_line", None)) else None,
            **kwargs,
        )


class Undo(ServiceFormView):
    permission = MOVE
    form_class = UndoForm
    title = "Undo this posting?"
    button = "Undo the posting"
    intro = "A counter-posting is booked, with the very costs. Reservations do not come back."
    success_message = "Undone."

    def find(self) -> Posting:
        return get_object_or_404(Posting, pk=self.kwargs["pk"])

    def get_back_url(self) -> str:
        return reverse("movements:detail", args=[self.found.pk])

    def get_success_url(self) -> str:
        return reverse("movements:detail", args=[self.made.pk])

    def act(self, form: Any) -> Posting:
        return services.undo_posting(
            posting_id=self.found.pk, reason=form.cleaned_data["reason"],
            key=form.cleaned_data["uid"], by=self.request.user, at=self.request.now,
        )  # fmt: skip
