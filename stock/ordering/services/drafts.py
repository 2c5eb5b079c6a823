"""Draft orders: from shortages in one press, or line by line."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction

from jobs.audit.services import post_event
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO
from jobs.kernel.posting import assert_in_transaction, claim_key, finish_key
from jobs.work.models import Job
from stock.catalogue.models import Item
from stock.ordering.enums import OrderState
from stock.ordering.models import Order, OrderLine, Shortage
from stock.ordering.queries import ChannelOffer, draft_lines, offers_for
from stock.ordering.rules import carriage_for, order_total, packs_for
from stock.ordering.rules.goods import MOST_PACKS
from stock.suppliers.models import Channel, ChannelCharge


@dataclass(frozen=True)
class DraftRow:
    """Packs of an item for a draft order; job and colour group are empty for the yard."""

    item: Item
    packs: int
    job_id: int | None = None
    colour_group: str = ""


@transaction.atomic(durable=True)
def draft_order(
    *, channel_id: int, shortage_ids: Collection[int], key: UUID, by: Any, at: datetime
) -> Order:
    """Draft one order on a channel for several shortages; the same key drafts once.

    Whole packs; what must be of one run is ordered as one run. Refuses (ServiceError) a shortage
    that has ended, is in a draft already, or is of an item that the supplier does not sell us.
    """
    ids = sorted(set(shortage_ids))
    inputs: dict[str, object] = {"channel": channel_id, "shortages": ids}
    done = claim_key(key=key, kind="stock.draft_order", inputs=inputs, at=at)
    if done is not None:
        return Order.objects.get(pk=done.result or 0)
    channel = _channel(channel_id)
    shortages = list(
        Shortage.objects.select_for_update(no_key=True, of=("self",))
        .filter(pk__in=ids)
        .select_related("item", "job")
        .order_by("pk")
    )
    _check_shortages(shortages, ids)
    wanted: dict[tuple[int, int, str], int] = defaultdict(int)
    items = {row.item_id: row.item for row in shortages}
    for row in shortages:
        wanted[(row.job_id, row.item_id, row.colour_group)] += row.quantity
    rows = [
        DraftRow(items[item_id], packs_for(quantity, items[item_id].pack_quantity), job_id, group)
        for (job_id, item_id, group), quantity in wanted.items()
    ]
    order = post_draft(channel=channel, rows=rows, by=by, at=at)
    finish_key(key=key, result=order.pk)
    return order


def _check_shortages(shortages: Sequence[Shortage], ids: Sequence[int]) -> None:
    if not ids:
        raise ServiceError("Tick at least one shortage.", code="empty")
    if len(shortages) != len(ids):
        raise ServiceError("One of these shortages is not in the book.", code="shortage")
    for row in shortages:
        if row.closed_at is not None:
            raise ServiceError(
                f"{row.item} for {row.job.reference} is no longer short: {row.closed_because}.",
                code="closed",
            )
    drafted = draft_lines(shortages)
    for row in shortages:
        line = drafted.get((row.job_id, row.item_id, row.colour_group))
        if line is not None:
            raise ServiceError(
                f"{row.item} for {row.job.reference} is in a {line.order} already. Place that one.",
                code="drafted",
            )


def post_draft(*, channel: Channel, rows: Sequence[DraftRow], by: Any, at: datetime) -> Order:
    """Write a draft with its lines at today's prices, in the caller's transaction."""
    assert_in_transaction()
    items = {row.item.pk: row.item for row in rows}
    prices = _offers(channel, items, at)
    packs_of: dict[int, int] = defaultdict(int)
    for row in rows:
        packs_of[row.item.pk] += row.packs
    order = Order.objects.create(
        supplier=channel.supplier, channel=channel, drafted_at=at, drafted_by=by
    )
    for row in rows:
        line = OrderLine(
            order=order, item=row.item, job_id=row.job_id, colour_group=row.colour_group,
            packs=row.packs, one_run=row.item.run_matched,
            pack_price=prices[row.item.pk].pack_price(packs_of[row.item.pk]),
        )  # fmt: skip
        line.full_clean()
        line.save()
    set_carriage(order, at)
    order.save(update_fields=["carriage"])
    post_event(verb="stock.draft_order", subject=order, by=by, at=at, after={"lines": len(rows)})
    return order


def set_carriage(order: Order, at: datetime) -> None:
    """Set a draft's carriage as its channel charges it that day for what is on it; not saved."""
    charge = _charge(order.channel, at)
    lines = order.lines.values_list("pack_price", "packs")
    order.carriage = carriage_for(order_total(list(lines), ZERO), charge.carriage, charge.free_from)


def _charge(channel: Channel, at: datetime) -> ChannelCharge:
    charge = ChannelCharge.objects.of_channel(channel.pk, london_day(at))
    if charge is None:
        raise ServiceError(
            f"{channel}: what it charges is to begin later. Give it from today at the supplier, "
            "or choose another one.",
            field="channel",
            code="charge",
        )
    return charge


def _offers(channel: Channel, items: dict[int, Item], at: datetime) -> dict[int, ChannelOffer]:
    found: dict[int, ChannelOffer] = {}
    for item_id, offers in offers_for(items, on=london_day(at)).items():
        mine = [offer for offer in offers if offer.channel.pk == channel.pk]
        if not mine:
            _charge(channel, at)  # refuses where it is this that is missing
            raise ServiceError(
                f"{channel.supplier} has no price for {items[item_id]}. Add it at the supplier, "
                "or choose another one.",
                field="channel",
                code="price",
            )
        found[item_id] = mine[0]
    return found


def _channel(channel_id: int) -> Channel:
    channel = Channel.objects.filter(pk=channel_id).select_related("supplier").first()
    if channel is None or channel.supplier.archived_at is not None:
        raise ServiceError("Choose a supplier that is in use.", field="channel", code="channel")
    return channel


@transaction.atomic(durable=True)
def start_order(*, channel_id: int, by: Any, at: datetime) -> Order:
    """Start an empty draft on a channel."""
    return post_draft(channel=_channel(channel_id), rows=[], by=by, at=at)


def lock_order(order_id: int) -> Order:
    """Lock an order and read it afresh, with supplier and channel."""
    order = (
        Order.objects.select_for_update(of=("self",), no_key=True)
        .select_related("supplier", "channel__supplier")
        .filter(pk=order_id)
        .first()
    )
    if order is None:
        raise ServiceError("This order was deleted while it was a draft.", code="gone")
    return order


def _lock_draft(order_id: int) -> Order:
    order = lock_order(order_id)
    if order.state != OrderState.DRAFT:
        raise ServiceError(f"{order} was placed; its lines stand.", code="placed")
    return order


@transaction.atomic(durable=True)
def add_line(
    *,
    order_id: int,
    item_id: int,
    packs: int,
    job_id: int | None = None,
    colour_group: str = "",
    by: Any,
    at: datetime,
) -> OrderLine:
    """Add packs of an item to a draft at today's price, for a job or for the yard."""
    order = _lock_draft(order_id)
    item = Item.objects.filter(pk=item_id, archived_at=None).first()
    if item is None:
        raise ServiceError("Choose an item from the list.", field="item")
    if job_id is not None and not Job.objects.filter(pk=job_id).exists():
        raise ServiceError("Choose a job from the list.", field="job")
    _check_packs(packs)
    offer = _offers(order.channel, {item.pk: item}, at)[item.pk]
    line = OrderLine(
        order=order, item=item, packs=packs, job_id=job_id, colour_group=colour_group,
        one_run=item.run_matched, pack_price=offer.pack_price(packs),
    )  # fmt: skip
    line.full_clean()
    line.save()
    _touch(order, at)
    post_event(verb="stock.add_line", subject=order, by=by, at=at, after={"line": str(line)})
    return line


@transaction.atomic(durable=True)
def change_line(
    *, line_id: int, packs: int, pack_price: Decimal, by: Any, at: datetime
) -> OrderLine:
    """Change packs or the agreed price of a draft's line."""
    line = _find_line(line_id)
    order = _lock_draft(line.order_id)
    _check_packs(packs)
    if pack_price < 0:
        raise ServiceError("A price cannot be below nothing.", field="pack_price")
    line = OrderLine.objects.select_related("item").get(pk=line_id)
    before = {"packs": line.packs, "pack_price": line.pack_price}
    line.packs, line.pack_price = packs, pack_price
    line.full_clean()
    line.save(update_fields=["packs", "pack_price"])
    _touch(order, at)
    post_event(
        verb="stock.change_line", subject=order, by=by, at=at, before=before,
        after={"packs": packs, "pack_price": pack_price},
    )  # fmt: skip
    return line


@transaction.atomic(durable=True)
def remove_line(*, line_id: int, by: Any, at: datetime) -> Order:
    """Take a line out of a draft."""
    line = _find_line(line_id)
    order = _lock_draft(line.order_id)
    post_event(verb="stock.remove_line", subject=order, by=by, at=at, before={"line": str(line)})
    line.delete()
    _touch(order, at)
    return order


@transaction.atomic(durable=True)
def delete_draft(*, order_id: int, by: Any, at: datetime) -> None:
    """Delete a draft with its lines; what was placed is cancelled instead."""
    order = _lock_draft(order_id)
    post_event(verb="stock.delete_draft", subject=order, by=by, at=at)
    order.delete()


def _find_line(line_id: int) -> OrderLine:
    line = OrderLine.objects.filter(pk=line_id).select_related("item").first()
    if line is None:
        raise ServiceError("This line was taken out already.", code="gone")
    return line


def _check_packs(packs: int) -> None:
    if not 0 < packs <= MOST_PACKS:
        raise ServiceError(
            f"Order 1 pack or more, and not above {MOST_PACKS:,}.", field="packs", code="packs"
        )


def _touch(order: Order, at: datetime) -> None:
    order.version += 1
    set_carriage(order, at)
    order.save(update_fields=["version", "carriage"])
