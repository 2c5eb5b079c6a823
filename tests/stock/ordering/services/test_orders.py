"""Drafting, placing, confirming and cancelling.

Long because: each refusal has its own short test.
"""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest

from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import KeyUsedError
from jobs.outbox.models import Message
from stock.ordering.models import Order, OrderLine, Shortage
from stock.ordering.queries import committed
from stock.ordering.services import (
    add_line,
    cancel_order,
    change_line,
    confirm_order,
    delete_draft,
    draft_order,
    place_order,
    remove_line,
    start_order,
    sweep_shortages,
)
from stock.suppliers.models import ChannelCharge
from tests.factories import (
    AT,
    DAY,
    make_charge,
    make_kit,
    make_price,
    make_requirement,
    make_stone,
    make_supplier,
)
from tests.stock.ordering.world import channel_of, drafted, first_channel, placed, short_job, swept

pytestmark = pytest.mark.django_db


def test_draft_orders_whole_packs_all_of_one_run(storeman: Any) -> None:
    shortage = swept(packs=44)
    order = drafted(shortage, storeman)
    (line,) = order.lines.all()
    assert (order.state, order.reference, order.carriage) == ("draft", None, Decimal("45.00"))
    assert (line.packs, line.pack_price, line.one_run) == (44, Decimal("8.4000"), True)
    assert (line.job, line.colour_group) == (shortage.job, "buff")


# 44 bags at £8.40 are £369.60 (by hand): carriage falls away from that sum on, not a penny below.
@pytest.mark.parametrize(
    ("free_from", "carriage"),
    [(None, "45.00"), ("369.61", "45.00"), ("369.60", "0.00"), ("0.00", "0.00")],
)
def test_carriage_is_free_from_the_sum_of_the_channel(
    free_from: str | None, carriage: str, storeman: Any
) -> None:
    shortage = swept(packs=44)
    ChannelCharge.objects.update(free_from=free_from and Decimal(free_from))
    order = drafted(shortage, storeman)
    assert order.carriage == Decimal(carriage)
    assert place_order(order_id=order.pk, by=None, at=AT).order.carriage == Decimal(carriage)


def test_carriage_follows_the_lines_of_a_draft_and_stands_once_it_is_placed(
    storeman: Any, client_for: Any
) -> None:
    order = drafted(swept(packs=44), storeman)
    line = order.lines.get()
    ChannelCharge.objects.update(free_from=Decimal("369.60"))
    found = []
    for packs in (43, 44, 43):
        change_line(line_id=line.pk, packs=packs, pack_price=line.pack_price, by=None, at=AT)
        order.refresh_from_db()
        found.append(order.carriage)
    assert found == [Decimal("45.00"), Decimal(0), Decimal("45.00")]
    # The terms that hold when it is placed are the order's; later ones are not.
    ChannelCharge.objects.update(free_from=Decimal(100))
    assert place_order(order_id=order.pk, by=None, at=AT).order.carriage == 0
    ChannelCharge.objects.update(free_from=None)
    order.refresh_from_db()
    assert order.carriage == 0
    # 43 x £8.40 (by hand), no carriage: the page's sum and the message to the supplier agree.
    page = client_for(storeman).get(order.get_absolute_url()).content.decode()
    assert "361.20" in page
    assert "Carriage £0.00; in all £361.20 before VAT." in Message.objects.latest("pk").body


def test_carriage_is_that_of_the_day_it_is_ordered(storeman: Any, client_for: Any) -> None:
    order = drafted(swept(packs=44), storeman)
    line = order.lines.get()
    make_charge(order.channel, "52.00", valid_from=DAY + timedelta(days=1), minimum=Decimal(500))
    make_charge(order.channel, "99.00", valid_from=DAY + timedelta(days=2))
    change_line(line_id=line.pk, packs=43, pack_price=line.pack_price, by=None, at=AT)
    order.refresh_from_db()
    assert order.carriage == Decimal(45)
    placed_at = AT + timedelta(days=1)
    assert place_order(order_id=order.pk, by=None, at=placed_at).order.carriage == Decimal(52)
    # The least order is that of the day too: 361.20 of goods then, and nothing asked a day later.
    page = client_for(storeman).get(order.get_absolute_url()).content.decode()
    assert "Below their least order" in page
    Order.objects.update(placed_at=AT + timedelta(days=2))
    page = client_for(storeman).get(order.get_absolute_url()).content.decode()
    assert "Below their least order" not in page


def test_a_channel_whose_first_charges_are_to_come_is_not_ordered_from(storeman: Any) -> None:
    shortage = swept(packs=44)
    channel = channel_of(shortage)
    ChannelCharge.objects.update(valid_from=DAY + timedelta(days=1))
    for draft in (
        lambda: start_order(channel_id=channel.pk, by=storeman, at=AT),
        lambda: drafted(shortage, storeman),
    ):
        with pytest.raises(ServiceError, match="begin later"):
            draft()
    assert not Order.objects.exists()
    assert start_order(channel_id=channel.pk, by=storeman, at=AT + timedelta(days=1)).carriage == 45


def test_part_of_a_pack_is_ordered_as_a_whole_one(storeman: Any) -> None:
    shortage = swept(packs=4)
    Shortage.objects.update(quantity=60_001)
    assert drafted(shortage, storeman).lines.get().packs == 4


def test_one_press_drafts_several_shortages_of_one_supplier(storeman: Any) -> None:
    supplier = make_supplier()
    short_job(supplier=supplier)
    short_job(supplier=supplier)
    sweep_shortages(at=AT)
    ids = list(Shortage.objects.values_list("pk", flat=True))
    channel = supplier.channels.get(kind="telephone")
    order = draft_order(channel_id=channel.pk, shortage_ids=ids, key=uuid4(), by=storeman, at=AT)
    assert order.lines.count() == 2


def test_same_key_drafts_once(storeman: Any) -> None:
    shortage = swept()
    channel, key = channel_of(shortage), uuid4()
    first, second = (
        draft_order(channel_id=channel.pk, shortage_ids=[shortage.pk], key=key, by=storeman, at=AT)
        for _ in range(2)
    )
    assert first == second
    assert Order.objects.count() == 1
    with pytest.raises(KeyUsedError):
        draft_order(channel_id=channel.pk, shortage_ids=[], key=key, by=storeman, at=AT)


def test_shortage_in_a_draft_is_not_drafted_again(storeman: Any) -> None:
    shortage = swept()
    drafted(shortage, storeman)
    with pytest.raises(ServiceError, match=r"in a draft for Supplier .* already\. Place that"):
        drafted(shortage, storeman)


def test_supplier_without_a_price_is_refused(storeman: Any) -> None:
    shortage = swept()
    other = first_channel(make_supplier())
    with pytest.raises(ServiceError, match="has no price for"):
        draft_order(
            channel_id=other.pk, shortage_ids=[shortage.pk], key=uuid4(), by=storeman, at=AT
        )


def test_price_of_the_quantity_is_taken(storeman: Any) -> None:
    shortage = swept(packs=44)
    supplier = channel_of(shortage).supplier
    make_price(supplier, shortage.item, "7.90", from_packs=40)
    make_price(supplier, shortage.item, "7.50", from_packs=50)
    assert drafted(shortage, storeman).lines.get().pack_price == Decimal("7.9000")


def test_placing_gives_reference_and_day_and_mails_the_supplier(storeman: Any) -> None:
    shortage = swept()
    result = place_order(order_id=drafted(shortage, storeman).pk, by=storeman, at=AT)
    order = result.order
    assert (order.state, order.reference) == ("placed", "PO-2026-0001")
    assert order.expected_on == date(2026, 5, 18)
    message = Message.objects.get()
    assert (message.audience, message.to) == ("supplier", order.supplier.email)
    assert "- 44 bags of" in message.body
    assert "all of one production run, at £8.40 each" in message.body
    # 44 × 8.40 + 45.00 = 414.60, added by hand.
    assert "in all £414.60 before VAT" in message.body
    assert "expect it on Mon 18 May 2026" in message.body


def test_order_a_second_after_the_cutoff_is_expected_a_day_later(storeman: Any) -> None:
    late = AT.replace(hour=11, minute=45, second=1)
    order = place_order(order_id=drafted(swept(), storeman).pk, by=storeman, at=late).order
    assert order.expected_on == date(2026, 5, 19)


def test_order_by_telephone_says_ring(storeman: Any) -> None:
    shortage = swept(supplier=make_supplier(phone="01632 960123"))
    order = drafted(shortage, storeman, kind="telephone")
    said = str(place_order(order_id=order.pk, by=storeman, at=AT))
    assert said == f"PO-2026-0001 is placed; now ring {order.supplier}: 01632 960123"
    assert not Message.objects.exists()


def test_online_without_an_address_says_ring(storeman: Any) -> None:
    order = drafted(swept(supplier=make_supplier(email="")), storeman)
    assert "now ring" in str(place_order(order_id=order.pk, by=storeman, at=AT))


def test_second_placing_is_refused_and_mails_nobody(storeman: Any) -> None:
    order = placed(swept(), storeman)
    with pytest.raises(ServiceError, match="was placed already; nothing was sent twice"):
        place_order(order_id=order.pk, by=storeman, at=AT)
    assert Message.objects.count() == 1


def test_empty_draft_is_not_placed(storeman: Any) -> None:
    order = start_order(channel_id=first_channel(make_supplier()).pk, by=storeman, at=AT)
    with pytest.raises(ServiceError, match="There is nothing on this order yet"):
        place_order(order_id=order.pk, by=storeman, at=AT)


def test_lines_are_added_changed_and_removed_while_it_is_a_draft(storeman: Any) -> None:
    supplier, kit = make_supplier(), make_kit()
    make_price(supplier, kit, "52.00")
    order = start_order(channel_id=first_channel(supplier).pk, by=storeman, at=AT)
    line = add_line(order_id=order.pk, item_id=kit.pk, packs=6, by=storeman, at=AT)
    assert line.net == Decimal("312.00")
    change_line(line_id=line.pk, packs=5, pack_price=Decimal("50.1"), by=storeman, at=AT)
    line.refresh_from_db()
    assert (line.packs, line.net) == (5, Decimal("250.50"))
    with pytest.raises(ServiceError, match="Order 1 pack or more"):
        change_line(line_id=line.pk, packs=0, pack_price=Decimal(50), by=storeman, at=AT)
    remove_line(line_id=line.pk, by=storeman, at=AT)
    assert not OrderLine.objects.exists()
    with pytest.raises(ServiceError, match="was taken out already"):
        remove_line(line_id=line.pk, by=storeman, at=AT)


def test_placed_lines_stand(storeman: Any) -> None:
    order = placed(swept(), storeman)
    line = order.lines.get()
    with pytest.raises(ServiceError, match="was placed; its lines stand"):
        change_line(line_id=line.pk, packs=1, pack_price=Decimal(1), by=storeman, at=AT)
    with pytest.raises(ServiceError, match="was placed; its lines stand"):
        delete_draft(order_id=order.pk, by=storeman, at=AT)


def test_draft_is_deleted_with_its_lines(storeman: Any) -> None:
    delete_draft(order_id=drafted(swept(), storeman).pk, by=storeman, at=AT)
    assert (Order.objects.count(), OrderLine.objects.count()) == (0, 0)


def test_confirmation_takes_the_promised_day(storeman: Any) -> None:
    order = placed(swept(), storeman)
    order = confirm_order(
        order_id=order.pk, supplier_reference="S-77", expected_on=date(2026, 5, 19),
        by=storeman, at=AT,
    )  # fmt: skip
    assert (order.state, order.expected_on) == ("confirmed", date(2026, 5, 19))
    with pytest.raises(ServiceError, match="cannot come before it was ordered"):
        confirm_order(
            order_id=order.pk, supplier_reference="", expected_on=date(2026, 5, 13),
            by=storeman, at=AT,
        )  # fmt: skip


def test_draft_cannot_be_confirmed(storeman: Any) -> None:
    order = drafted(swept(), storeman)
    with pytest.raises(ServiceError, match="only a placed order is confirmed"):
        confirm_order(
            order_id=order.pk, supplier_reference="", expected_on=None, by=storeman, at=AT
        )


def test_cancelling_makes_it_short_again(storeman: Any) -> None:
    shortage = swept()
    order = placed(shortage, storeman)
    with pytest.raises(ServiceError, match="Say why it is cancelled"):
        cancel_order(order_id=order.pk, reason=" ", by=storeman, at=AT)
    cancel_order(order_id=order.pk, reason="wrong colour", by=storeman, at=AT)
    again = Shortage.objects.get(closed_at=None)
    assert (again.job, again.quantity) == (shortage.job, shortage.quantity)
    assert Message.objects.filter(subject="Order PO-2026-0001 is cancelled").exists()


def test_commitment_is_the_open_line_of_a_job(storeman: Any) -> None:
    shortage = swept()
    drafted(shortage, storeman)
    assert committed([shortage.job_id]) == {}
    place_order(order_id=Order.objects.get().pk, by=storeman, at=AT)
    assert committed([shortage.job_id]) == {shortage.job_id: {"materials": Decimal("369.60")}}


def test_two_orders_get_two_references(storeman: Any) -> None:
    supplier, stone = make_supplier(), make_stone()
    first = placed(swept(supplier=supplier), storeman)
    job = short_job(supplier=supplier, item=stone)
    make_requirement(job, make_stone(), 3, colour_group="grey")
    sweep_shortages(at=AT + timedelta(minutes=1))
    second = placed(Shortage.objects.get(job=job, item=stone, closed_at=None), storeman)
    assert [first.reference, second.reference] == ["PO-2026-0001", "PO-2026-0002"]
