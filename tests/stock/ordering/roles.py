"""Who may see, draft, place and receive orders."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction

from jobs.billing.services import post_deposit_request
from stock.ordering.models import GoodsIn, Order
from tests.factories import AT, make_place, make_price, make_stone
from tests.jobs.attachments.files import photo
from tests.role_rows import Row, World, only
from tests.stock.ordering.world import channel_of, drafted, placed, swept

SEE = only("owner", "office", "storeman", "accountant")
PLACE = only("owner", "office", "storeman")
DONE = only("owner", "office", "storeman", status=302)
RECEIVE = only("owner", "storeman")
RECEIVED = only("owner", "storeman", status=302)
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
TABLES = (
    "stock.Order", "stock.OrderLine", "stock.GoodsIn", "stock.GoodsInLine", "stock.Lot",
    "stock.Posting", "stock.Shortage", "jobs.Message", "jobs.Event", "jobs.NumberSeries",
    "jobs.PostingKey",
)  # fmt: skip


def short() -> World:
    shortage = swept()
    return World(
        data={
            "uid": str(uuid4()), "channel": str(channel_of(shortage).pk),
            "shortages": [str(shortage.pk)],
        },
        query=f"?shortage={shortage.pk}",
    )  # fmt: skip


def start() -> World:
    return World(data={"channel": str(channel_of(swept()).pk)})


def draft() -> World:
    return World({"pk": drafted(swept()).pk})


def draft_line() -> World:
    order = drafted(swept())
    return World(
        {"pk": order.pk, "line": order.lines.get().pk}, {"packs": "45", "pack_price": "8.20"}
    )


def new_line() -> World:
    order = drafted(swept())
    item = make_stone()
    make_price(order.supplier, item)
    return World({"pk": order.pk}, {"item": str(item.pk), "packs": "3"})


def open_order() -> World:
    order = placed(swept())
    line = order.lines.get()
    return World(
        {"pk": order.pk},
        {
            "uid": str(uuid4()), "place": str(make_place().pk), "carriage": "45",
            f"good_{line.pk}": "44", f"run_{line.pk}": "A", "reason": "wrong colour",
            "supplier_reference": "S-1", "expected_on": "2026-05-19",
        },
    )  # fmt: skip


def delivered() -> World:
    order = placed(swept())
    with transaction.atomic():
        made = GoodsIn.objects.create(order=order, key=uuid4(), received_at=AT)
    return World({"pk": made.pk}, {"uid": str(uuid4()), "reason": "the wrong order"})


def photographed() -> World:
    file = SimpleUploadedFile("load.jpg", photo(), "image/jpeg")
    return World(delivered().kwargs, {"file": file, "caption": "the load"})


def without_deposit() -> World:
    order = drafted(swept())
    job: Any = order.lines.get().job
    with transaction.atomic():
        post_deposit_request(
            job=job, amount=Decimal(1000), words="Deposit", due_on=AT.date(),
            by=None, at=AT,
        )  # fmt: skip
    return World({"pk": order.pk}, {"reason": "old customer"})


def missing() -> World:
    return World({"pk": 999_999}, {"reason": "none"})


def other_line() -> World:
    first, second = drafted(swept()), drafted(swept())
    return World({"pk": first.pk, "line": second.lines.get().pk})


def placed_one() -> World:
    order = placed(swept())
    assert Order.objects.filter(pk=order.pk, state="placed").exists()
    return World({"pk": order.pk})


ROWS = [
    Row("ordering:list", "GET", SEE),
    Row("ordering:clock", "GET", SEE, short),
    Row("ordering:shortages", "GET", SEE),
    Row("ordering:reminders", "GET", SEE),
    Row("ordering:deliveries", "GET", SEE),
    Row("ordering:draft", "GET", PLACE, short),
    Row("ordering:draft", "POST", DONE, short, models=TABLES),
    Row("ordering:create", "GET", PLACE),
    Row("ordering:create", "POST", DONE, start, models=TABLES),
    Row("ordering:detail", "GET", SEE, draft),
    Row("ordering:detail", "GET", GONE, missing, "other"),
    Row("ordering:place", "POST", DONE, draft, models=TABLES),
    Row("ordering:place", "POST", GONE, missing, "other", TABLES),
    Row("ordering:place_anyway", "GET", only("owner"), without_deposit),
    Row("ordering:place_anyway", "POST", only("owner", status=302), without_deposit, models=TABLES),
    Row("ordering:place_anyway", "POST", GONE, draft, "other", TABLES),
    Row("ordering:delivery", "GET", SEE, delivered),
    Row("ordering:delivery", "GET", GONE, missing, "other"),
    Row("ordering:undo_delivery", "GET", RECEIVE, delivered),
    Row("ordering:undo_delivery", "POST", RECEIVED, delivered, models=TABLES),
    Row("ordering:undo_delivery", "POST", GONE, missing, "other", TABLES),
    Row("ordering:photos", "GET", RECEIVE, delivered),
    Row("ordering:photos", "POST", RECEIVED, photographed, models=("jobs.Attachment",)),
    Row("ordering:photos", "POST", GONE, missing, "other", ("jobs.Attachment",)),
    Row("ordering:confirm", "GET", PLACE, open_order),
    Row("ordering:confirm", "POST", DONE, open_order, models=TABLES),
    Row("ordering:confirm", "POST", GONE, missing, "other", TABLES),
    Row("ordering:cancel", "GET", PLACE, open_order),
    Row("ordering:cancel", "POST", DONE, open_order, models=TABLES),
    Row("ordering:cancel", "POST", GONE, missing, "other", TABLES),
    Row("ordering:delete", "GET", PLACE, draft),
    Row("ordering:delete", "POST", DONE, draft, models=TABLES),
    Row("ordering:delete", "POST", GONE, placed_one, "other", TABLES),
    Row("ordering:receive", "GET", RECEIVE, open_order),
    Row("ordering:receive", "POST", RECEIVED, open_order, models=TABLES),
    Row("ordering:receive", "GET", GONE, draft, "other"),
    Row("ordering:receive", "POST", GONE, missing, "other", TABLES),
    Row("ordering:add_line", "GET", PLACE, new_line),
    Row("ordering:add_line", "POST", DONE, new_line, models=TABLES),
    Row("ordering:add_line", "POST", GONE, missing, "other", TABLES),
    Row("ordering:change_line", "GET", PLACE, draft_line),
    Row("ordering:change_line", "POST", DONE, draft_line, models=TABLES),
    Row("ordering:change_line", "POST", GONE, other_line, "other", TABLES),
    Row("ordering:remove_line", "POST", DONE, draft_line, models=TABLES),
    Row("ordering:remove_line", "POST", GONE, other_line, "other", TABLES),
]
