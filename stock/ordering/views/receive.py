"""Goods-in on a phone, and the list of deliveries."""

from __future__ import annotations

from typing import Any

from django.http import Http404

from jobs.kernel.lists import RoomListView
from jobs.kernel.money import ZERO
from jobs.kernel.views import ServiceFormView
from stock.ordering import services
from stock.ordering.filters import GoodsInFilter
from stock.ordering.forms import ReceiveForm
from stock.ordering.models import GoodsIn, Order
from stock.ordering.tables import GoodsInTable
from stock.ordering.views.orders import SEE, OneOrder


class Deliveries(RoomListView):
    permission = SEE
    title = "Goods in"
    table_class = GoodsInTable
    filterset_class = GoodsInFilter
    search_fields = ("order__reference", "order__supplier__name", "delivery_note")
    search_hint = "Order, supplier or delivery note"
    empty = "Nothing has been received yet."

    def get_rows(self) -> Any:
        return GoodsIn.objects.for_list()


class ReceiveOrder(OneOrder, ServiceFormView):
    permission = "jobs.receive_goods"
    form_class = ReceiveForm
    template_name = "stock/ordering/receive.html"
    button = "Book it in"
    success_message = "Booked in. Claim damage by {made.claim_by:%d %b %Y}."

    def find(self) -> Order:
        order = super().find()
        if not order.is_open and self.request.method == "GET":
            raise Http404
        return order

    def get_title(self) -> str:
        return f"Receive {self.found}"

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_success_url(self) -> str:
        return self.get_back_url()

    def get_form_kwargs(self) -> dict[str, Any]:
        # A double click comes when its lines are closed already; the key answers it.
        lines = list(self.found.lines.all())
        if self.request.method == "GET":
            lines = [line for line in lines if not line.closed]
        return super().get_form_kwargs() | {"lines": lines}

    def get_initial(self) -> dict[str, Any]:
        first = not self.found.deliveries.all()
        return {"carriage": self.found.carriage if first else ZERO, "place": self._nearest()}

    def _nearest(self) -> Any:
        form_class: Any = self.form_class
        return form_class(lines=[]).fields["place"].queryset.first()

    def act(self, form: Any) -> GoodsIn:
        values = form.cleaned_data
        return services.receive_order(
            order_id=self.found.pk, rows=values["rows"], place_id=values["place"].pk,
            delivery_note=values["delivery_note"], carriage=values["carriage"], key=values["uid"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip
