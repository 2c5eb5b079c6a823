"""Material of a demo job: ordered from its shortages, received into lots, reserved, issued."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from config.demo.world import World, key
from config.demo.yard import batch_of
from jobs.kernel.clock import london_day
from jobs.work.models import Job
from stock.allocation.services import reserve_job
from stock.movements.services import issue_job
from stock.ordering.models import Order, Shortage
from stock.ordering.rules.goods import Arrived
from stock.ordering.services import (
    ReceivedLine,
    confirm_order,
    draft_order,
    place_order,
    receive_order,
    sweep_shortages,
)
from stock.suppliers.models import Channel, SupplierPrice


def order_for(world: World, job: Job, moment: datetime) -> None:
    """Order what the job is short of: one order a supplier, online."""
    sweep_shortages(at=moment)
    open_rows = list(Shortage.objects.filter(job=job, closed_at=None).order_by("pk"))
    sold = {
        price.item_id: price.supplier
        for price in SupplierPrice.objects.select_related("supplier").order_by("pk")
    }
    for name, supplier in world.suppliers.items():
        ids = [row.pk for row in open_rows if sold[row.item_id] == supplier]
        if not ids:
            continue
        channel = Channel.objects.get(supplier=supplier, kind="online")
        order = draft_order(
            channel_id=channel.pk, shortage_ids=ids, key=key("order", job.reference, name),
            by=world.users["storeman"], at=moment,
        )  # fmt: skip
        place_order(order_id=order.pk, by=world.users["storeman"], at=moment)
        confirm_order(
            order_id=order.pk, by=world.users["storeman"], at=moment + timedelta(minutes=20),
            supplier_reference=f"{name.split()[0][:3].upper()}-{order.pk:04d}", expected_on=None,
        )  # fmt: skip


def receive_for(world: World, job: Job, number: int, moment: datetime) -> None:
    """Receive the job's orders into the bays, each with its run or its dates."""
    orders = Order.objects.filter(lines__job=job, state__in=["placed", "confirmed"]).distinct()
    for order in orders.order_by("pk"):
        lines = list(order.lines.select_related("item").order_by("pk"))
        rows = [received(line, number, moment) for line in lines]
        heated = any(line.item.kind in {"kit", "primer"} for line in lines)
        place = world.places["Bay 1, heated" if heated else "Bay 2"]
        receive_order(
            order_id=order.pk, rows=rows, place_id=place.pk, carriage=order.carriage,
            key=key("receive", order.reference), delivery_note=f"DN{order.pk:05d}",
            by=world.users["storeman"], at=moment,
        )  # fmt: skip


def received(line: Any, number: int, moment: datetime) -> ReceivedLine:
    """Return one line as it came: all of it good, of one run, in date for five months."""
    item = line.item
    day = london_day(moment)
    run = f"{day:%y}-{number:02d}{line.pk % 100:02d}" if item.run_matched else ""
    label = batch_of(item, number, day + timedelta(days=150 if item.kind == "kit" else 330))
    return ReceivedLine(line_id=line.pk, arrived=Arrived(good=line.packs), run=run, **label)


def reserve_and_issue(world: World, job: Job, moment: datetime, *, issue: bool) -> None:
    """Reserve what is there, and issue it to the site on the day it is loaded."""
    storeman = world.users["storeman"]
    if not issue:
        reserve_job(job_id=job.pk, by=storeman, at=moment)
        return
    issue_job(
        job_id=job.pk, key=key("issue", job.reference), day=london_day(moment), by=storeman,
        at=moment,
    )  # fmt: skip
