"""The list of orders, one order, and what is done with it before the goods come.

Long because: each button of an order has its own short view.
"""

from __future__ import annotations

from typing import Any, ClassVar

from django.contrib import messages
from django.http import Http404
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.clock import london_day
from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.panels import drawn_panels
from jobs.kernel.views import ConfirmView, RoomPage, ServiceActionView, ServiceFormView
from stock.ledger.rules import pack_words
from stock.ordering import services
from stock.ordering.filters import OrderFilter
from stock.ordering.forms import (
    AnywayForm,
    CancelForm,
    ConfirmForm,
    LineForm,
    NewLineForm,
    StartForm,
)
from stock.ordering.models import Order, OrderLine
from stock.ordering.queries import jobs_without_deposit
from stock.ordering.rules import order_total
from stock.ordering.tables import OrderTable
from stock.suppliers.models import ChannelCharge

SEE = ("jobs.place_order", "jobs.receive_goods", "jobs.see_costing")
PLACE = "jobs.place_order"


class Orders(RoomListView):
    permission = SEE
    title = "Orders"
    table_class = OrderTable
    filterset_class = OrderFilter
    search_fields = (
        "reference", "supplier__name", "supplier_reference", "lines__item__name",
        "lines__job__reference",
    )  # fmt: skip
    search_hint = "Order, supplier, item or job"
    actions = (
        Action("By the clock", "ordering:clock", SEE, solid=False),
        Action("Goods in", "ordering:deliveries", SEE, solid=False),
        Action("Order for the yard", "ordering:create", PLACE),
    )
    empty = "No order yet. What jobs lack is drafted from the list by the clock."

    def get_rows(self) -> Any:
        return Order.objects.for_list()


class OneOrder:
    kwargs: dict[str, Any]
    found_name: ClassVar[str] = "order"

    def find(self) -> Order:
        found: Order = get_object_or_404(Order.objects.for_page(), pk=self.kwargs["pk"])
        return found


class OrderPage(OneOrder, RoomPage):
    """Lines, what came of them, and the next step."""

    permission = SEE
    template_name = "stock/ordering/order.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        order: Order = self.found
        lines = list(order.lines.all())
        goods = order_total([(line.pack_price, line.packs) for line in lines], order.carriage)
        deliveries = list(order.deliveries.all())
        day = london_day(order.placed_at or self.request.now)
        charge = ChannelCharge.objects.of_channel(order.channel_id, day)
        unpaid = jobs_without_deposit(lines) if order.state == "draft" else []
        return super().get_context_data(
            title=f"Order {order.reference}" if order.reference else "Draft order",
            lines=[(line, in_packs(line, line.quantity), in_packs(line, line.accepted))
                   for line in lines],
            total=goods,
            below_minimum=bool(lines and charge and goods - order.carriage < charge.minimum),
            deliveries=[
                (row, [(part, in_packs(part.order_line, part.quantity))
                       for part in row.lines.all()])
                for row in deliveries
            ],
            facts=order_facts(order),
            unpaid=services.deposit_words(unpaid) if unpaid else "",
            panels=drawn_panels(self.request, "order", order),
            **kwargs,
        )  # fmt: skip


def in_packs(line: OrderLine, quantity: int) -> str:
    """Write a quantity of a line in its item's packs."""
    return pack_words(quantity, line.item.pack_quantity, line.item.pack_name)


def order_facts(order: Order) -> list[tuple[str, object]]:
    """Return the order's facts as label and value."""
    supplier = order.supplier
    return [
        ("Supplier", supplier.name),
        ("How", order.channel.get_kind_display()),
        ("Telephone", supplier.phone),
        ("E-mail", supplier.email),
        ("Our account there", supplier.account_number),
        ("Their reference", order.supplier_reference),
    ]


class StartOrder(ServiceFormView):
    permission = PLACE
    form_class = StartForm
    title = "Order for the yard"
    button = "Start the order"

    def get_back_url(self) -> str:
        return reverse("ordering:list")

    def act(self, form: Any) -> Order:
        return services.start_order(
            channel_id=form.cleaned_data["channel"].pk, by=self.request.user, at=self.request.now
        )


class AddLine(OneOrder, ServiceFormView):
    permission = PLACE
    form_class = NewLineForm
    title = "Add a line"
    button = "Add the line"

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_success_url(self) -> str:
        return self.get_back_url()

    def act(self, form: Any) -> OrderLine:
        values = form.cleaned_data
        return services.add_line(
            order_id=self.found.pk, item_id=values["item"].pk, packs=values["packs"],
            job_id=values["job"].pk if values["job"] else None,
            colour_group=values["colour_group"], by=self.request.user, at=self.request.now,
        )  # fmt: skip


class OneLine:
    kwargs: dict[str, Any]
    found_name: ClassVar[str] = "line"

    def find(self) -> OrderLine:
        line: OrderLine = get_object_or_404(
            OrderLine.objects.select_related("item", "order__supplier"),
            pk=self.kwargs["line"],
            order_id=self.kwargs["pk"],
        )
        return line


class ChangeLine(OneLine, ServiceFormView):
    permission = PLACE
    form_class = LineForm
    button = "Save the line"

    def get_title(self) -> str:
        return str(self.found.item)

    def get_initial(self) -> dict[str, Any]:
        return {"packs": self.found.packs, "pack_price": self.found.pack_price}

    def get_back_url(self) -> str:
        return str(self.found.order.get_absolute_url())

    def get_success_url(self) -> str:
        return self.get_back_url()

    def act(self, form: Any) -> OrderLine:
        return services.change_line(
            line_id=self.found.pk, packs=form.cleaned_data["packs"],
            pack_price=form.cleaned_data["pack_price"], by=self.request.user, at=self.request.now,
        )  # fmt: skip


class RemoveLine(OneLine, ServiceActionView):
    permission = PLACE

    def act(self) -> Order:
        return services.remove_line(
            line_id=self.found.pk, by=self.request.user, at=self.request.now
        )

    def get_success_url(self) -> str:
        return reverse("ordering:detail", args=[self.kwargs["pk"]])


class PlaceOrder(OneOrder, ServiceActionView):
    permission = PLACE

    def act(self) -> services.Placed:
        placed = services.place_order(
            order_id=self.found.pk, by=self.request.user, at=self.request.now
        )
        (messages.success if placed.mailed_to else messages.warning)(self.request, f"{placed}.")
        return placed


class PlaceAnyway(OneOrder, ConfirmView):
    """Order for a job whose deposit is open, with the reason; it stands in the trail."""

    permission = "jobs.override_check"
    form_class = AnywayForm
    button = "Place the order all the same"

    def find(self) -> Order:
        order = super().find()
        if order.state != "draft" or not jobs_without_deposit(order.lines.all()):
            raise Http404
        return order

    def get_title(self) -> str:
        return f"Place the order with {self.found.supplier} before the deposit?"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        words = services.deposit_words(jobs_without_deposit(self.found.lines.all()))
        return super().get_context_data(intro=words, **kwargs)

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def act(self, form: Any) -> Order:
        placed = services.place_order(
            order_id=self.found.pk, override_reason=form.cleaned_data["reason"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip
        (messages.success if placed.mailed_to else messages.warning)(self.request, f"{placed}.")
        return placed.order


class ConfirmOrder(OneOrder, ServiceFormView):
    permission = PLACE
    form_class = ConfirmForm
    title = "The supplier confirmed"
    button = "Note the confirmation"

    def get_initial(self) -> dict[str, Any]:
        return {
            "supplier_reference": self.found.supplier_reference,
            "expected_on": self.found.expected_on,
        }

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def act(self, form: Any) -> Order:
        return services.confirm_order(
            order_id=self.found.pk, by=self.request.user, at=self.request.now, **form.cleaned_data
        )


class CancelOrder(OneOrder, ConfirmView):
    permission = PLACE
    form_class = CancelForm
    intro = "What it was for is short again. An order that went by e-mail is cancelled by e-mail."
    button = "Cancel the order"

    def get_title(self) -> str:
        return f"Cancel {self.found}?"

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def act(self, form: Any) -> Order:
        return services.cancel_order(
            order_id=self.found.pk, reason=form.cleaned_data["reason"], by=self.request.user,
            at=self.request.now,
        )  # fmt: skip


class DeleteDraft(OneOrder, ConfirmView):
    permission = PLACE
    title = "Delete this draft?"
    intro = "It was not placed. Its lines go with it; what was short stays on the list."
    button = "Delete the draft"

    def find(self) -> Order:
        order = super().find()
        if order.state != "draft":
            raise Http404
        return order

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_success_url(self) -> str:
        return reverse("ordering:list")

    def act(self, form: Any) -> None:
        services.delete_draft(order_id=self.found.pk, by=self.request.user, at=self.request.now)
