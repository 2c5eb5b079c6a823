"""Two at once, on PostgreSQL; the control differs only in that it takes no lock."""

from __future__ import annotations

import threading
from collections.abc import Callable
from contextlib import suppress
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.db import IntegrityError, connection, transaction

from jobs.kernel.errors import ServiceError
from stock.ledger.models import Lot
from stock.movements.queries import audit_stock
from stock.ordering.models import GoodsIn, Order, Shortage
from stock.ordering.rules import Arrived
from stock.ordering.services import (
    ReceivedLine,
    goods_in,
    place_order,
    post_shortages,
    receive_order,
    undo,
)
from stock.ordering.services import shortages as module
from tests.factories import AT, make_place
from tests.races import meeting
from tests.stock.ordering.world import drafted, placed, short_job, swept

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]


def both(work: Callable[[], Any]) -> list[Any]:
    """Run `work` in two threads and return what each answered or raised."""
    answers: list[Any] = []

    def run() -> None:
        try:
            answers.append(work())
        except Exception as error:  # noqa: BLE001 - the answer of the loser
            answers.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=run) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return answers


@pytest.mark.parametrize("lock", [True, False])
def test_two_sweeps_store_one_shortage(lock: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    short_job()
    meet = threading.Barrier(2)
    write = module._new

    def slowly(row: Any, at: Any) -> Any:
        # Both have read what stands before either writes, unless the lock keeps one waiting.
        with suppress(threading.BrokenBarrierError):
            meet.wait(timeout=2)
        return write(row, at)

    monkeypatch.setattr(module, "_new", slowly)

    def sweep() -> Any:
        with transaction.atomic():
            return post_shortages(at=AT, lock=lock)

    failed = [answer for answer in both(sweep) if isinstance(answer, IntegrityError)]
    assert len(failed) == (0 if lock else 1)
    assert Shortage.objects.count() == 1


def test_two_who_place_one_draft_place_it_once(storeman: Any) -> None:
    order = drafted(swept(), storeman)
    answers = both(lambda: place_order(order_id=order.pk, by=storeman, at=AT))
    assert sum(isinstance(answer, ServiceError) for answer in answers) == 1
    assert Order.objects.get().reference == "PO-2026-0001"


@pytest.mark.parametrize("one_key", [True, False])
def test_two_who_receive_one_order_book_it_once(one_key: bool, storeman: Any) -> None:
    order = placed(swept(), storeman)
    row = ReceivedLine(order.lines.get().pk, Arrived(good=44), run="A")
    place, key = make_place(), uuid4()

    def receive() -> Any:
        return receive_order(
            order_id=order.pk, rows=[row], place_id=place.pk, carriage=Decimal(45),
            key=key if one_key else uuid4(), by=storeman, at=AT,
        )  # fmt: skip

    refused = [answer for answer in both(receive) if isinstance(answer, ServiceError)]
    assert len(refused) == (0 if one_key else 1)
    assert (Lot.objects.count(), GoodsIn.objects.count()) == (1, 1)


@pytest.mark.parametrize("lock", [True, False])
def test_what_comes_while_a_delivery_is_undone_is_not_lost(
    lock: bool, storeman: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    # long because: two clients, and where each waits for the other
    order = placed(swept(), storeman)
    line = order.lines.get()
    place = make_place()

    def receive(packs: int) -> GoodsIn:
        return receive_order(
            order_id=order.pk, rows=[ReceivedLine(line.pk, Arrived(good=packs), run="A")],
            place_id=place.pk, carriage=Decimal(0), key=uuid4(), by=storeman, at=AT,
        )  # fmt: skip

    def undone(delivery: GoodsIn, *, lock: bool) -> GoodsIn:
        return undo.undo_goods_in(
            goods_in_id=delivery.pk, reason="twice", key=uuid4(), by=None, at=AT, lock=lock
        )  # fmt: skip

    first = receive(10)
    meet = threading.Barrier(2)
    monkeypatch.setattr(goods_in, "_check", meeting(goods_in._check, meet))
    monkeypatch.setattr(undo, "lines_of", meeting(undo.lines_of, meet))
    turns = [lambda: receive(20), lambda: undone(first, lock=lock)]

    def take_turn() -> GoodsIn:
        return turns.pop()()

    failed = [answer for answer in both(take_turn) if isinstance(answer, Exception)]
    line.refresh_from_db()
    whole = (line.accepted, failed) == (20 * line.item.pack_quantity, [])
    assert whole is lock
    if lock:
        assert audit_stock().ok
        assert Order.objects.get().state == "placed"
