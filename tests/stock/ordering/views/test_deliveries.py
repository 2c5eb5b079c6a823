"""A delivery's page: wrap and photos, undone from there; and the gate of an open deposit."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.urls import reverse

from jobs.attachments.queries import attachments_of
from jobs.audit.models import Event
from jobs.billing.models import PaymentRequest
from jobs.billing.services import post_deposit_request, record_receipt
from jobs.outbox.models import Message
from stock.ledger.models import Lot
from stock.ordering.models import GoodsIn, Order
from tests.factories import DAY, make_place
from tests.jobs.attachments.files import photo
from tests.stock.ordering.world import drafted, placed, swept


def upload(data: bytes | None = None, name: str = "load.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, photo() if data is None else data, "image/jpeg")


def receive(client: Any, order: Order, **changes: Any) -> Any:
    line = order.lines.get()
    form: dict[str, Any] = {
        "uid": str(uuid4()), "place": make_place().pk, "carriage": "45",
        f"good_{line.pk}": "44", f"run_{line.pk}": "26-0502",
    }  # fmt: skip
    return client.post(reverse("ordering:receive", args=[order.pk]), form | changes)


@pytest.mark.django_db
def test_the_wrap_and_photos_of_damage_stand_on_the_delivery(
    storeman: Any, crew: Any, client_for: Any
) -> None:
    client, order = client_for(storeman), placed(swept())
    answer = receive(
        client, order, wrap="torn", wrap_note="two corners open", file=[upload(), upload()]
    )
    assert answer.status_code == 302
    goods_in = GoodsIn.objects.get()
    assert (goods_in.wrap, attachments_of(goods_in).count()) == ("torn", 1)  # the same photo once
    page = client.get(goods_in.get_absolute_url()).content.decode()
    assert "The wrap was torn: two corners open." in page
    assert str(attachments_of(goods_in).get().uid) in page


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"wrap": "wet"}, "wrap_note"), ({"wrap": "moon"}, "wrap"),
        ({"file": [upload(b"no picture")]}, "file"), ({"wrap_note": "x" * 201}, "wrap_note"),
    ],
)  # fmt: skip
def test_what_cannot_be_used_books_nothing(
    changes: dict[str, Any], field: str, storeman: Any, client_for: Any
) -> None:
    answer = receive(client_for(storeman), placed(swept()), **changes)
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [field]
    assert not GoodsIn.objects.exists()


@pytest.mark.django_db
def test_a_delivery_is_undone_on_its_page_once(storeman: Any, client_for: Any) -> None:
    client, order = client_for(storeman), placed(swept())
    receive(client, order)
    goods_in = GoodsIn.objects.get()
    url = reverse("ordering:undo_delivery", args=[goods_in.pk])
    form = {"uid": str(uuid4()), "reason": "booked on the wrong order"}
    assert client.post(url, form | {"reason": ""}).status_code == 422
    for _ in range(2):
        assert client.post(url, form).status_code == 302
    assert Lot.objects.get().on_hand == 0
    page = client.get(goods_in.get_absolute_url()).content.decode()
    assert "This delivery was undone." in page
    assert client.get(url).status_code == 404
    assert (
        "undone: booked on the wrong order" in client.get(order.get_absolute_url()).content.decode()
    )


@pytest.mark.django_db
def test_photos_are_added_later(storeman: Any, client_for: Any) -> None:
    client, order = client_for(storeman), placed(swept())
    receive(client, order)
    goods_in = GoodsIn.objects.get()
    url = reverse("ordering:photos", args=[goods_in.pk])
    answer = client.post(url, {"file": [upload()], "caption": "the label"})
    assert (answer.status_code, attachments_of(goods_in).get().caption) == (302, "the label")


# -- the deposit -----------------------------------------------------------------------------------


def unpaid() -> Order:
    """A draft for a job whose deposit was asked for."""
    order = drafted(swept())
    job: Any = order.lines.get().job
    with transaction.atomic():
        post_deposit_request(
            job=job, amount=Decimal("1000.00"), words="Deposit", due_on=DAY + timedelta(days=7),
            by=None, at=order.drafted_at,
        )  # fmt: skip
    return order


@pytest.mark.django_db
def test_nothing_is_ordered_for_a_job_whose_deposit_is_open(storeman: Any, client_for: Any) -> None:
    client, order = client_for(storeman), unpaid()
    page = client.get(order.get_absolute_url()).content.decode()
    assert "A deposit is open" in page
    assert reverse("ordering:place", args=[order.pk]) not in page
    answer = client.post(reverse("ordering:place", args=[order.pk]), follow=True)
    assert "is not settled" in answer.content.decode()
    order.refresh_from_db()
    assert (order.state, Message.objects.count()) == ("draft", 0)
    assert client.post(reverse("ordering:place_anyway", args=[order.pk])).status_code == 403


@pytest.mark.django_db
def test_the_owner_orders_all_the_same_and_the_trail_says_why(owner: Any, client_for: Any) -> None:
    client, order = client_for(owner), unpaid()
    url = reverse("ordering:place_anyway", args=[order.pk])
    job: Any = order.lines.get().job
    assert job.reference in client.get(url).content.decode()
    assert client.post(url, {"reason": ""}).status_code == 422
    assert client.post(url, {"reason": "old customer"}).status_code == 302
    order.refresh_from_db()
    assert order.state == "placed"
    event = Event.objects.get(verb="stock.place_order")
    assert (event.reason, event.by) == ("old customer", owner)
    assert client.get(url).status_code == 404


@pytest.mark.django_db(transaction=True)
def test_once_the_money_is_there_the_order_goes_as_ever(storeman: Any, client_for: Any) -> None:
    client, order = client_for(storeman), unpaid()
    record_receipt(
        request_id=PaymentRequest.objects.get().pk, amount=Decimal("1000.00"), received_on=DAY,
        paid_by="transfer", key=uuid4(), by=None, at=order.drafted_at,
    )  # fmt: skip
    client.post(reverse("ordering:place", args=[order.pk]))
    order.refresh_from_db()
    assert order.state == "placed"
