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
from stock.ordering.models import GoodsIn, Order, Shortage
from stock.ordering.rules import Arrived
from stock.ordering.services import ReceivedLine, place_order, post_shortages, receive_order
from stock.ordering.services import shortages as module
from tests.factories import AT, make_place
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
