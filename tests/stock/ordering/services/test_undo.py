"""A delivery is undone by its counter-movements, or refused with what stands in the way."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest

from jobs.kernel.errors import ServiceError
from stock.ledger.models import Balance, Lot, Posting
from stock.ledger.services import keep_back, split_lot
from stock.movements.queries import audit_stock
from stock.movements.services import count_place, transfer_stock, undo_posting, waste_stock
from stock.ordering.models import GoodsIn, GoodsInLine, Order, Shortage
from stock.ordering.rules import Arrived
from stock.ordering.services import (
    ReceivedLine,
    cancel_order,
    confirm_order,
    sweep_shortages,
    undo_goods_in,
)
from tests.factories import AT, DAY, make_job, make_place
from tests.stock.ordering.services.test_goods_in import LATER, receive, stone_order

pytestmark = pytest.mark.django_db
BAG = 20_000


def undo(goods_in: GoodsIn, reason: str = "booked on the wrong order", **fields: Any) -> GoodsIn:
    values: dict[str, Any] = {"key": uuid4(), "by": None, "at": LATER}
    return undo_goods_in(goods_in_id=goods_in.pk, reason=reason, **values | fields)


def received(**figures: int) -> tuple[Order, GoodsIn]:
    order, line = stone_order()
    arrived = Arrived(**figures or {"good": 44})
    return order, receive(order, ReceivedLine(line.pk, arrived, run="A", note="wet"))


def test_the_yard_is_empty_and_the_order_waits_again() -> None:
    order, goods_in = received(good=40, held=2, refused=1, short=1)
    undo(goods_in)
    assert set(Lot.objects.values_list("on_hand", flat=True)) == {0}
    order.refresh_from_db()
    line = order.lines.get()
    assert (order.state, line.accepted, line.closed) == ("placed", 0, False)
    assert line.packs_outstanding == 44
    assert audit_stock().ok
    assert Posting.objects.filter(reverses__isnull=False, kind="receive").count() == 2


def test_a_confirmed_order_and_a_line_given_up_come_back_as_they_were() -> None:
    order, line = stone_order()
    confirm_order(
        order_id=order.pk, supplier_reference="S-1", expected_on=None, by=None, at=AT
    )  # fmt: skip
    goods_in = receive(order, ReceivedLine(line.pk, Arrived(good=10), run="A", close=True))
    undo(goods_in)
    order.refresh_from_db()
    assert (order.state, order.lines.get().closed) == ("confirmed", False)


def test_what_it_was_for_is_short_again_and_can_be_received_anew() -> None:
    order, goods_in = received()
    sweep_shortages(at=LATER)
    undo(goods_in)
    line = order.lines.get()
    receive(order, ReceivedLine(line.pk, Arrived(good=44), run="B"))  # another run than before
    order.refresh_from_db()
    assert order.state == "received"
    assert not Shortage.objects.open().exists()


def test_one_key_undoes_once_and_a_second_undo_is_refused() -> None:
    _, goods_in = received()
    key = uuid4()
    assert undo(goods_in, key=key) == undo(goods_in, key=key)
    with pytest.raises(ServiceError) as refusal:
        undo(goods_in)
    assert refusal.value.code == "undone"
    assert Posting.objects.filter(reverses__isnull=False).count() == 1


def test_without_a_reason_nothing_is_undone() -> None:
    _, goods_in = received()
    with pytest.raises(ServiceError):
        undo(goods_in, reason=" ")
    assert Lot.objects.get().on_hand == 44 * BAG


def moved(lot: Lot, bay: Any) -> None:
    transfer_stock(
        lot_id=lot.pk, from_place_id=bay.pk, to_place_id=make_place().pk, quantity=BAG,
        key=uuid4(), day=DAY, by=None, at=LATER,
    )  # fmt: skip


def wasted(lot: Lot, bay: Any) -> None:
    waste_stock(
        lot_id=lot.pk, place_id=bay.pk, quantity=BAG, reason="torn", key=uuid4(), day=DAY,
        by=None, at=LATER,
    )  # fmt: skip


def counted_off(lot: Lot, bay: Any) -> None:
    count_place(
        place_id=bay.pk, counted={lot.pk: 43 * BAG}, key=uuid4(), by=None, at=LATER,
        may_approve=True,
    )  # fmt: skip


def split(lot: Lot, bay: Any) -> None:
    split_lot(lot_id=lot.pk, quantity=BAG, place_id=bay.pk, key=uuid4(), by=None, at=LATER)


def kept_back(lot: Lot, bay: Any) -> None:
    keep_back(
        lot_id=lot.pk, job_id=make_job().pk, quantity=BAG, until=LATER.date(), key=uuid4(),
        by=None, at=LATER,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("step", "code"),
    [
        (moved, "moved"), (wasted, "moved"), (counted_off, "moved"), (split, "moved"),
        (kept_back, "reserved"),
    ],
)  # fmt: skip
def test_what_has_moved_stands_in_the_way(step: Callable[[Lot, Any], None], code: str) -> None:
    order, goods_in = received()
    lot = Lot.objects.get()
    step(lot, Balance.objects.get(lot=lot, quantity__gt=0).place)
    with pytest.raises(ServiceError) as refusal:
        undo(goods_in)
    assert (refusal.value.code, lot.code in refusal.value.message) == (code, True)
    order.refresh_from_db()
    assert (order.state, GoodsInLine.objects.get().goods_in.undone_at) == ("received", None)


def test_a_move_that_was_undone_itself_does_not() -> None:
    _, goods_in = received()
    lot = Lot.objects.get()
    moved(lot, Balance.objects.get(lot=lot).place)
    undo_posting(
        posting_id=Posting.objects.get(kind="transfer").pk, reason="wrong bay", key=uuid4(),
        by=None, at=LATER,
    )  # fmt: skip
    assert undo(goods_in).undone_at == LATER


def test_an_order_whose_only_delivery_was_undone_can_be_cancelled() -> None:
    order, goods_in = received()
    undo(goods_in)
    cancel_order(order_id=order.pk, reason="too late", by=None, at=LATER)
    order.refresh_from_db()
    assert order.state == "cancelled"
