"""Goods-in on a phone, and the list of deliveries."""

from __future__ import annotations

from typing import Any, ClassVar

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect

from jobs.attachments.queries import attachments_of
from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.money import ZERO
from jobs.kernel.panels import drawn_panels
from jobs.kernel.views import ConfirmView, RoomPage, ServiceFormView
from jobs.work.services import attach_files
from stock.ordering import services
from stock.ordering.enums import Outcome
from stock.ordering.filters import GoodsInFilter
from stock.ordering.forms import DamageForm, ReceiveForm, UndoForm
from stock.ordering.models import GoodsIn, Order
from stock.ordering.tables import GoodsInTable
from stock.ordering.views.orders import SEE, OneOrder, in_packs

RECEIVE = "jobs.receive_goods"
TAKEN = (Outcome.GOOD, Outcome.OVER)


class Deliveries(RoomListView):
    permission = SEE
    title = "Goods in"
    table_class = GoodsInTable
    filterset_class = GoodsInFilter
    search_fields = ("order__reference", "order__supplier__name", "delivery_note")
    search_hint = "Order, supplier or delivery note"
    actions = (Action("Claims", "claims:list", SEE, solid=False),)
    empty = "Nothing has been received yet."

    def get_rows(self) -> Any:
        return GoodsIn.objects.for_list()


class ReceiveOrder(OneOrder, ServiceFormView):
    permission = RECEIVE
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
        return services.receive_with_photos(
            order_id=self.found.pk, rows=values["rows"], place_id=values["place"].pk,
            delivery_note=values["delivery_note"], carriage=values["carriage"], key=values["uid"],
            wrap=values["wrap"], wrap_note=values["wrap_note"],
            files=[(file.name, file.read()) for file in values["file"]],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class OneDelivery:
    kwargs: dict[str, Any]
    found: Any
    found_name: ClassVar[str] = "delivery"

    def find(self) -> GoodsIn:
        found: GoodsIn = get_object_or_404(GoodsIn.objects.for_page(), pk=self.kwargs["pk"])
        return found

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())


class Delivery(OneDelivery, RoomPage):
    """What came, in what state, with photos; from here it is claimed for or undone."""

    permission = SEE
    template_name = "stock/ordering/delivery.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        delivery: GoodsIn = self.found
        user = self.request.user
        return super().get_context_data(
            title=str(delivery),
            parts=[(part, in_packs(part.order_line, part.quantity), part.outcome in TAKEN)
                   for part in delivery.lines.all()],
            photos=[file for file in attachments_of(delivery) if user.has_perm(file.permission)],
            panels=drawn_panels(self.request, "goods_in", delivery),
            **kwargs,
        )  # fmt: skip


class UndoDelivery(OneDelivery, ConfirmView):
    permission = RECEIVE
    form_class = UndoForm
    title = "Undo this delivery?"
    button = "Undo the delivery"
    intro = (
        "Its lots are taken out of the yard again and the order waits for the goods. It cannot be "
        "undone once something of it has moved."
    )
    success_message = "The delivery is undone; the order waits for the goods again."

    def find(self) -> GoodsIn:
        found = super().find()
        # A double click comes when it is undone already; the key answers it.
        if found.undone_at is not None and self.request.method == "GET":
            raise Http404
        return found

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        # Where a claim is open, its room says what becomes of it.
        if self.found.claims.filter(closed_at=None).exists():
            return redirect("claims:undo", self.found.pk)
        return super().get(request, *args, **kwargs)

    def act(self, form: Any) -> GoodsIn:
        return services.undo_goods_in(
            goods_in_id=self.found.pk, reason=form.cleaned_data["reason"],
            key=form.cleaned_data["uid"], by=self.request.user, at=self.request.now,
        )  # fmt: skip


class AddPhotos(OneDelivery, ServiceFormView):
    permission = RECEIVE
    form_class = DamageForm
    title = "Add photos of the delivery"
    button = "Add the photos"
    intro = "Photos lose what they know of place and camera."
    success_message = "Added."

    def act(self, form: Any) -> None:
        attach_files(
            about=self.found, caption=form.cleaned_data["caption"], permission="jobs.view_yard",
            files=[(file.name, file.read()) for file in form.cleaned_data["file"]],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip
