"""Goods-in: outcomes, lots and their landed cost."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

import pytest

from jobs.kernel.errors import ServiceError
from stock.ledger.models import Lot, Movement
from stock.ordering.models import GoodsIn, Order, Shortage
from stock.ordering.queries import committed
from stock.ordering.rules import Arrived
from stock.ordering.services import (
    ReceivedLine,
    add_line,
    place_order,
    receive_order,
    start_order,
    sweep_shortages,
)
from tests.factories import AT, make_kit, make_place, make_price, make_stone, make_supplier
from tests.stock.ordering.world import first_channel, placed, swept

pytestmark = pytest.mark.django_db
LATER = AT + timedelta(days=4)


def receive(order: Order, *rows: ReceivedLine, carriage: str = "45", **fields: Any) -> GoodsIn:
    values: dict[str, Any] = {
        "place_id": make_place().pk, "key": uuid4(), "by": None, "at": LATER,
        "carriage": Decimal(carriage),
    }  # fmt: skip
    return receive_order(order_id=order.pk, rows=rows, **values | fields)


def stone_order(**fields: Any) -> tuple[Order, Any]:
    order = placed(swept(**fields))
    return order, order.lines.get()


def test_good_packs_become_a_lot_at_landed_cost() -> None:
    order, line = stone_order()
    receive(order, ReceivedLine(line.pk, Arrived(good=44), run="26-0502"))
    lot = Lot.objects.get()
    # 44 × 8.40 + 45.00 carriage, added by hand.
    assert (lot.on_hand, lot.run, lot.cost) == (880_000, "26-0502", Decimal("414.60"))
    assert (lot.status, lot.received_on) == ("released", date(2026, 5, 18))
    order.refresh_from_db()
    assert order.state == "received"


def test_every_outcome_is_kept_apart() -> None:
    order, line = stone_order()
    goods_in = receive(
        order,
        ReceivedLine(line.pk, Arrived(40, 2, 1, 1), run="A", note="wrap torn, damp to the hand"),
    )
    assert {row.outcome: (row.quantity, row.lot and row.lot.status) for row in
            goods_in.lines.select_related("lot")} == {
        "good": (800_000, "released"), "held": (40_000, "held"),
        "refused": (20_000, None), "short": (20_000, None),
    }  # fmt: skip
    assert Lot.objects.get(status="held").held_reason == "wrap torn, damp to the hand"
    line.refresh_from_db()
    order.refresh_from_db()
    assert (line.packs_outstanding, line.closed, order.state) == (2, False, "placed")
    assert goods_in.claim_by == date(2026, 5, 19)


def test_cost_of_good_and_held_adds_up_to_what_was_paid() -> None:
    order, line = stone_order(packs=7)
    receive(order, ReceivedLine(line.pk, Arrived(good=4, held=3), run="A", note="damp"))
    assert sum(lot.cost for lot in Lot.objects.all()) == Decimal("103.80")


def test_over_lies_in_the_same_lot() -> None:
    order, line = stone_order(packs=10)
    goods_in = receive(order, ReceivedLine(line.pk, Arrived(good=10, over=2), run="A"))
    lot = Lot.objects.get()
    assert lot.on_hand == 240_000
    assert [row.lot for row in goods_in.lines.all()] == [lot, lot]


def test_two_deliveries_add_up_to_the_penny_and_the_commitment_falls() -> None:
    order, line = stone_order(packs=3)
    line.pack_price = Decimal("3.3333")
    line.save()
    assert committed([line.job_id]) == {line.job_id: {"materials": Decimal("10.00")}}
    receive(order, ReceivedLine(line.pk, Arrived(good=1), run="A"), carriage="0")
    assert committed([line.job_id]) == {line.job_id: {"materials": Decimal("6.67")}}
    receive(order, ReceivedLine(line.pk, Arrived(good=2), run="A"), carriage="0")
    assert committed([line.job_id]) == {}
    # 3 × 3.3333 = 9.9999, half up 10.00.
    assert sum(lot.cost for lot in Lot.objects.all()) == Decimal("10.00")


def test_carriage_is_shared_by_mass() -> None:
    supplier = make_supplier()
    kit, stone = make_kit(pack_mass_g=7_000), make_stone(run_matched=False)
    for item in (kit, stone):
        make_price(supplier, item, "10")
    order = start_order(channel_id=first_channel(supplier).pk, by=None, at=AT)
    first = add_line(order_id=order.pk, item_id=kit.pk, packs=20, by=None, at=AT)
    second = add_line(order_id=order.pk, item_id=stone.pk, packs=43, by=None, at=AT)
    place_order(order_id=order.pk, by=None, at=AT)
    receive(
        order,
        ReceivedLine(
            first.pk, Arrived(good=20), batch_a="a1", expiry_a=date(2026, 11, 30),
            batch_b="b1", expiry_b=date(2026, 10, 31),
        ),
        ReceivedLine(second.pk, Arrived(good=43)),
        carriage="100",
    )  # fmt: skip
    # 140 kg of kits and 860 kg of stone: 14 and 86 of the 100.
    assert Lot.objects.get(item=kit).cost == Decimal("214.00")
    assert Lot.objects.get(item=stone).cost == Decimal("516.00")
    assert Lot.objects.get(item=kit).expiry == date(2026, 10, 31)
    assert (Lot.objects.get(item=kit).batch_a, Lot.objects.get(item=kit).batch_b) == ("A1", "B1")


def test_double_click_receives_once() -> None:
    order, line = stone_order()
    key, place = uuid4(), make_place()
    row = ReceivedLine(line.pk, Arrived(good=44), run="A")
    first, second = (receive(order, row, key=key, place_id=place.pk) for _ in range(2))
    assert first == second
    assert (Lot.objects.count(), Movement.objects.count()) == (1, 1)


def test_second_run_is_not_good_on_a_line_of_one_run() -> None:
    order, line = stone_order()
    rows = [
        ReceivedLine(line.pk, Arrived(good=40), run="A"),
        ReceivedLine(line.pk, Arrived(good=4), run="b"),
    ]
    with pytest.raises(ServiceError, match="ordered all of one run, and here are A and B"):
        receive(order, *rows)
    assert not Lot.objects.exists()
    receive(order, rows[0], ReceivedLine(line.pk, Arrived(held=4), run="B", note="other run"))
    assert Lot.objects.count() == 2


def test_second_run_in_a_later_delivery_is_found_too() -> None:
    order, line = stone_order()
    receive(order, ReceivedLine(line.pk, Arrived(good=40), run="A"))
    with pytest.raises(ServiceError, match="here are A and B"):
        receive(order, ReceivedLine(line.pk, Arrived(good=4), run="B"))


@pytest.mark.parametrize(
    ("row", "sentence"),
    [
        ({"arrived": Arrived(good=45)}, "Only 44 were still to come"),
        ({"arrived": Arrived(good=-1)}, "a figure cannot be below nothing"),
        ({"arrived": Arrived(good=1), "run": ""}, "Give the production run"),
        ({"arrived": Arrived(held=1)}, "say in the note why it is held"),
        ({"arrived": Arrived()}, "Say what came of at least one line"),
        (
            {"arrived": Arrived(good=1), "expiry": date(2026, 5, 17)},
            "was to be used by 17 May 2026. Hold or refuse it",
        ),
    ],
)
def test_figures_that_cannot_be_are_refused_with_a_sentence(
    row: dict[str, Any], sentence: str
) -> None:
    order, line = stone_order()
    with pytest.raises(ServiceError, match=sentence):
        receive(order, ReceivedLine(line.pk, **{"run": "A"} | row))
    assert not GoodsIn.objects.exists()


def test_good_on_its_last_day_is_taken() -> None:
    order, line = stone_order()
    receive(order, ReceivedLine(line.pk, Arrived(good=44), run="A", expiry=date(2026, 5, 18)))
    assert Lot.objects.get().expiry == date(2026, 5, 18)


def test_kit_needs_the_dates_of_both_parts() -> None:
    supplier, kit = make_supplier(), make_kit()
    make_price(supplier, kit)
    order = start_order(channel_id=first_channel(supplier).pk, by=None, at=AT)
    line = add_line(order_id=order.pk, item_id=kit.pk, packs=2, by=None, at=AT)
    place_order(order_id=order.pk, by=None, at=AT)
    with pytest.raises(ServiceError, match="Give the use-by date of part B") as refused:
        receive(
            order, ReceivedLine(line.pk, Arrived(good=2), batch_a="A", expiry_a=date(2026, 9, 1))
        )
    assert refused.value.field == f"expiry_b_{line.pk}"


def test_line_given_up_ends_the_order_and_is_short_again() -> None:
    order, line = stone_order()
    receive(order, ReceivedLine(line.pk, Arrived(short=44), run="A", close=True))
    order.refresh_from_db()
    assert order.state == "received"
    assert Shortage.objects.get(closed_at=None).quantity == 880_000
    with pytest.raises(ServiceError, match="nothing is to come on it"):
        receive(order, ReceivedLine(line.pk, Arrived(good=44), run="A"))


def test_draft_cannot_be_received() -> None:
    order = start_order(channel_id=first_channel(make_supplier()).pk, by=None, at=AT)
    with pytest.raises(ServiceError, match="is draft; nothing is to come on it"):
        receive(order)


def test_what_came_for_a_job_is_not_short_for_it_again() -> None:
    order, line = stone_order()
    receive(order, ReceivedLine(line.pk, Arrived(good=44), run="A"))
    assert sweep_shortages(at=LATER).open == 0


def test_key_is_what_the_form_sent() -> None:
    order, line = stone_order()
    key = UUID("11111111-1111-4111-8111-111111111111")
    goods_in = receive(order, ReceivedLine(line.pk, Arrived(good=44), run="A"), key=key)
    assert goods_in.key == key
