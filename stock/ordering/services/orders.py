"""Placing, confirming and cancelling orders."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.conf import settings
from django.db import transaction

from jobs.audit.services import post_event
from jobs.calendar.rules import NoOpenDayError
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.series import next_reference
from jobs.kernel.templatetags.firm import day_year, money, rate
from jobs.outbox.enums import Audience
from jobs.outbox.services import post_message
from jobs.work.models import Job
from stock.ledger.rules import pack_words
from stock.ordering.enums import OrderState
from stock.ordering.models import Order, OrderLine
from stock.ordering.queries import jobs_without_deposit, terms_of
from stock.ordering.rules import arrival, order_total
from stock.ordering.services.drafts import lock_order, set_carriage
from stock.ordering.services.shortages import post_shortages
from stock.suppliers.enums import ChannelKind


@dataclass(frozen=True)
class Placed:
    """A placed order; `mailed_to` is empty where somebody must ring or go there."""

    order: Order
    mailed_to: str = ""

    def __str__(self) -> str:
        if self.mailed_to:
            return f"{self.order} is placed; it goes by e-mail to {self.mailed_to}"
        supplier = self.order.supplier
        if self.order.channel.kind == ChannelKind.COUNTER:
            return f"{self.order} is placed; give it in at {supplier}'s counter"
        number = supplier.phone or "their number is not in the book"
        return f"{self.order} is placed; now ring {supplier}: {number}"


@transaction.atomic(durable=True)
def place_order(
    *, order_id: int, by: Any, at: datetime, override_reason: str = ""
) -> Placed:  # fmt: skip
    """Place a draft: reference, expected day, and the e-mail where the channel takes one.

    An order by telephone or at the counter is for a person to give: the answer says so.
    Refuses an empty draft, one that was placed already, and goods for a job whose deposit is open;
    with `override_reason`, from one who may override checks, those are ordered all the same.
    """
    # long because: one write: what is refused, what is promised, what is sent
    order = lock_order(order_id)
    if order.state != OrderState.DRAFT:
        raise ServiceError(f"{order} was placed already; nothing was sent twice.", code="placed")
    lines = list(order.lines.select_related("item", "job"))
    if not lines:
        raise ServiceError("There is nothing on this order yet. Add a line.", code="empty")
    unpaid = jobs_without_deposit(lines)
    if unpaid and not override_reason.strip():
        raise ServiceError(deposit_words(unpaid), code="deposit")
    order.reference = next_reference("PO", london_day(at))
    order.state, order.placed_at = OrderState.PLACED, at
    order.expected_on = _expected(order, at)
    set_carriage(order, at)
    order.version += 1
    order.full_clean()
    order.save()
    mailed = ""
    if order.channel.kind == ChannelKind.ONLINE and order.supplier.email:
        mailed = order.supplier.email
        post_message(
            occasion=f"order-{order.uid}",
            audience=Audience.SUPPLIER,
            to=mailed,
            subject=f"Order {order.reference} from {settings.FIRM_NAME}",
            body=order_text(order, lines),
            about=order,
            at=at,
        )
    post_event(
        verb="stock.place_order", subject=order, by=by, at=at,
        after={"expected_on": order.expected_on, "mailed_to": mailed,
               "before the deposit of": [job.reference for job in unpaid]},
        reason=override_reason.strip() if unpaid else "",
    )  # fmt: skip
    post_shortages(at=at)
    return Placed(order, mailed)


def deposit_words(unpaid: Sequence[Job]) -> str:
    """Say whose deposit is open, and who may order all the same."""
    named = ", ".join(job.reference for job in unpaid)
    return (
        f"The deposit of {named} is not settled. Wait for the money, or have the owner order all "
        "the same and say why."
    )


def _expected(order: Order, at: datetime) -> date | None:
    try:
        return arrival(at, terms_of([order.channel])[order.channel_id])
    except NoOpenDayError:
        return None


def order_text(order: Order, lines: list[OrderLine]) -> str:
    """Return the words of an order as they go to the supplier."""
    said = [f"Please supply on our order {order.reference}:", ""]
    for line in lines:
        packs = pack_words(line.quantity, line.item.pack_quantity, line.item.pack_name)
        one_run = ", all of one production run" if line.one_run else ""
        said.append(f"- {packs} of {line.item}{one_run}, at {rate(line.pack_price)} each")
    total = order_total([(line.pack_price, line.packs) for line in lines], order.carriage)
    said += [
        "",
        f"Carriage {money(order.carriage)}; in all {money(total)} before VAT.",
    ]
    if order.expected_on:
        said.append(f"We expect it on {day_year(order.expected_on)}. Tell us if that cannot be.")
    if any(line.one_run for line in lines):
        said.append(
            "If the whole of a line marked so is not there in one run, ring before you send it."
        )
    if order.supplier.account_number:
        said.append(f"Our account with you: {order.supplier.account_number}.")
    return "\n".join([*said, "", settings.FIRM_NAME])


@transaction.atomic(durable=True)
def confirm_order(
    *, order_id: int, supplier_reference: str, expected_on: date | None, by: Any, at: datetime
) -> Order:
    """Note that the supplier confirmed, with his reference and the day he promised."""
    order = lock_order(order_id)
    if order.state not in OrderState.OPEN:
        raise ServiceError(
            f"{order} is {order.get_state_display()}; only a placed order is confirmed.",
            code="state",
        )
    if expected_on is not None and order.placed_at and expected_on < london_day(order.placed_at):
        raise ServiceError("It cannot come before it was ordered.", field="expected_on")
    before = {"expected_on": order.expected_on, "supplier_reference": order.supplier_reference}
    order.state = OrderState.CONFIRMED
    order.supplier_reference = supplier_reference.strip()
    order.expected_on = expected_on or order.expected_on
    order.version += 1
    order.full_clean()
    order.save()
    post_event(
        verb="stock.confirm_order", subject=order, by=by, at=at, before=before,
        after={"expected_on": order.expected_on, "supplier_reference": order.supplier_reference},
    )  # fmt: skip
    return order


@transaction.atomic(durable=True)
def cancel_order(*, order_id: int, reason: str, by: Any, at: datetime) -> Order:
    """Cancel a placed order of which nothing has come; what it was for is short again."""
    order = lock_order(order_id)
    if order.state not in OrderState.OPEN:
        raise ServiceError(
            f"{order} is {order.get_state_display()} and cannot be cancelled.", code="state"
        )
    if order.deliveries.filter(undone_at=None).exists():
        raise ServiceError(
            "Part of it has come. Receive the rest as short and close those lines.", code="came"
        )
    if not reason.strip():
        raise ServiceError("Say why it is cancelled.", field="reason")
    was = order.state
    order.state = OrderState.CANCELLED
    order.version += 1
    order.save(update_fields=["state", "version"])
    post_event(
        verb="stock.cancel_order", subject=order, by=by, at=at, reason=reason,
        before={"state": was}, after={"state": order.state},
    )  # fmt: skip
    if order.channel.kind == ChannelKind.ONLINE and order.supplier.email:
        post_message(
            occasion=f"order-cancelled-{order.uid}",
            audience=Audience.SUPPLIER,
            to=order.supplier.email,
            subject=f"Order {order.reference} is cancelled",
            body=f"Please do not send our order {order.reference}.\n\n{settings.FIRM_NAME}",
            about=order,
            at=at,
        )
    post_shortages(at=at)
    return order
