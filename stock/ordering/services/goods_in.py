"""Goods-in: what came of each line, into lots at their landed cost."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction

from jobs.attachments.rules import CheckedFile
from jobs.attachments.services import keep_file, post_attachment
from jobs.audit.services import post_event
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO, share_out
from jobs.kernel.posting import claim_key, finish_key
from stock.catalogue.enums import PlaceKind
from stock.catalogue.models import Place
from stock.ledger.enums import LotStatus
from stock.ledger.models import Lot
from stock.ledger.rules import kit_use_by
from stock.ledger.services import post_lot
from stock.ordering.enums import OrderState, Outcome
from stock.ordering.models import GoodsIn, GoodsInLine, Order, OrderLine
from stock.ordering.rules import (
    Arrived,
    check_arrived,
    claim_by,
    cost_of_delivery,
    plain_run,
    share_carriage,
)
from stock.ordering.services.drafts import lock_order
from stock.ordering.services.shortages import post_shortages

# Who may look at the photos of a delivery.
SEEN_BY = "jobs.view_yard"


@dataclass(frozen=True)
class ReceivedLine:
    """What came of one order line with one label: packs by outcome, run, batches and dates.

    A line may stand twice, for a second batch or run. `close`: nothing more will come of it.
    """

    line_id: int
    arrived: Arrived
    run: str = ""
    batch_a: str = ""
    expiry_a: date | None = None
    batch_b: str = ""
    expiry_b: date | None = None
    expiry: date | None = None
    note: str = ""
    close: bool = False


def receive_with_photos(*, files: Sequence[tuple[str, bytes]], **values: Any) -> GoodsIn:
    """Book one delivery with photos (name, bytes) of what is amiss; see `receive_order`.

    The photos are looked into and written first, so that one that is refused books nothing.
    """
    kept = [keep_file(data=data, name=name) for name, data in files]
    return receive_order(photos=kept, **values)


@transaction.atomic(durable=True)
def receive_order(
    *,
    order_id: int,
    rows: Sequence[ReceivedLine],
    place_id: int,
    carriage: Decimal,
    key: UUID,
    by: Any,
    at: datetime,
    delivery_note: str = "",
    wrap: str = "",
    wrap_note: str = "",
    photos: Sequence[CheckedFile] = (),
) -> GoodsIn:
    """Book one delivery: good and over into a released lot, held into a held one.

    A lot's landed cost is its packs at the line's price and its share by mass of this delivery's
    carriage, to the penny in sum. The same key books once. Refuses (ServiceError) figures that do
    not fit what was to come, a label without its run or dates, goods past their date counted as
    good, and a second run on a line that was ordered all of one run. `photos` are kept files.
    """
    # long because: one write, in the order it is checked, booked and told
    inputs: dict[str, object] = {
        "order": order_id, "place": place_id, "carriage": carriage, "note": delivery_note,
        "rows": [asdict(row) for row in rows], "wrap": [wrap, wrap_note],
        "photos": [photo.digest for photo in photos],
    }  # fmt: skip
    done = claim_key(key=key, kind="stock.receive_order", inputs=inputs, at=at)
    if done is not None:
        return GoodsIn.objects.get(pk=done.result or 0)
    order = _lock_open(order_id)
    place = _bay(place_id)
    lines = {line.pk: line for line in order.lines.select_related("item")}
    rows = [row for row in rows if row.arrived.anything or row.close]
    _check(rows, lines, london_day(at))
    if carriage < 0:
        raise ServiceError("Carriage cannot be below nothing.", field="carriage")
    goods_in = GoodsIn.objects.create(
        order=order, key=key, received_at=at, delivery_note=delivery_note.strip(),
        carriage=carriage, by=by, claim_by=claim_by(london_day(at), order.supplier.claim_days),
        wrap=wrap, wrap_note=wrap_note.strip(), order_was=order.state,
    )  # fmt: skip
    _book(goods_in, rows, lines, place, by, at)
    goods_in.closed_lines = _close(order, lines, rows)
    goods_in.save(update_fields=["closed_lines"])
    for photo in {one.digest: one for one in photos}.values():
        post_attachment(
            kept=photo, about=goods_in, permission=SEEN_BY, caption=wrap_note, by=by, at=at
        )
    post_event(
        verb="stock.receive_order", subject=order, by=by, at=at,
        after={"goods_in": goods_in.pk, "state": order.state},
    )  # fmt: skip
    finish_key(key=key, result=goods_in.pk)
    post_shortages(at=at)
    return goods_in


# -- what is refused ---------------------------------------------------------------------------


def _lock_open(order_id: int) -> Order:
    order = lock_order(order_id)
    if order.state not in OrderState.OPEN:
        raise ServiceError(
            f"{order} is {order.get_state_display()}; nothing is to come on it.", code="state"
        )
    return order


def _bay(place_id: int) -> Place:
    place = Place.objects.filter(
        pk=place_id, kind__in=[PlaceKind.BAY, PlaceKind.VAN], archived_at=None
    ).first()
    if place is None:
        raise ServiceError("Choose the bay it was put in.", field="place", code="place")
    return place


def _refuse(line: OrderLine, sentence: str, what: str = "good") -> ServiceError:
    return ServiceError(f"{line.item}: {sentence}", field=f"{what}_{line.pk}", code=what)


def _check(rows: Sequence[ReceivedLine], lines: dict[int, OrderLine], today: date) -> None:
    if not rows:
        raise ServiceError("Say what came of at least one line.", code="empty")
    sums: dict[int, Arrived] = defaultdict(Arrived)
    for row in rows:
        line = lines.get(row.line_id)
        if line is None:
            raise ServiceError("One of these lines is not on this order.", code="line")
        if line.closed:
            raise _refuse(line, "nothing more was to come of this line.")
        if min(asdict(row.arrived).values()) < 0:
            raise _refuse(line, "a figure cannot be below nothing.")
        if row.arrived.held and not row.note.strip():
            raise _refuse(line, "say in the note why it is held.", "note")
        _check_dates(row, line, today)
        before = sums[row.line_id]
        sums[row.line_id] = Arrived(
            *(getattr(before, name) + figure for name, figure in asdict(row.arrived).items())
        )
    for line_id, arrived in sums.items():
        line = lines[line_id]
        wrong = check_arrived(arrived, line.packs_outstanding)
        if wrong:
            raise _refuse(line, wrong)
        if line.one_run:
            _check_one_run(line, [row for row in rows if row.line_id == line_id])


def _check_dates(row: ReceivedLine, line: OrderLine, today: date) -> None:
    use_by = kit_use_by(row.expiry_a, row.expiry_b) or row.expiry
    if use_by is not None and use_by < today and row.arrived.good + row.arrived.over:
        raise _refuse(line, f"it was to be used by {use_by:%d %b %Y}. Hold or refuse it.", "expiry")


def _check_one_run(line: OrderLine, rows: Sequence[ReceivedLine]) -> None:
    runs = {plain_run(row.run) for row in rows if row.arrived.good + row.arrived.over}
    runs |= {
        plain_run(run)
        for run in GoodsInLine.objects.filter(
            order_line=line, outcome__in=[Outcome.GOOD, Outcome.OVER], goods_in__undone_at=None
        ).values_list("lot__run", flat=True)
    }
    if len(runs) > 1:
        raise _refuse(
            line,
            f"it was ordered all of one run, and here are {' and '.join(sorted(runs))}. "
            "Hold or refuse what is of another run.",
            "run",
        )


# -- what is written ---------------------------------------------------------------------------


def _book(
    goods_in: GoodsIn,
    rows: Sequence[ReceivedLine],
    lines: dict[int, OrderLine],
    place: Place,
    by: Any,
    at: datetime,
) -> None:
    shares = share_carriage(
        goods_in.carriage,
        [lines[row.line_id].item.pack_mass_g * row.arrived.accepted for row in rows],
        [row.arrived.accepted for row in rows],
    )
    for number, (row, carriage) in enumerate(zip(rows, shares, strict=True)):
        line = lines[row.line_id]
        pack, arrived = line.item.pack_quantity, row.arrived
        so_far = line.accepted // pack
        cost = cost_of_delivery(line.pack_price, so_far, arrived.accepted) + carriage
        usable = arrived.good + arrived.over
        costs = share_out(cost, [Decimal(usable), Decimal(arrived.held)]) if cost else (ZERO, ZERO)
        key = uuid5(goods_in.key, str(number))
        good = _lot(goods_in, row, line, usable, costs[0], place, uuid5(key, "good"), by, at)
        held = _lot(
            goods_in, row, line, arrived.held, costs[1], place, uuid5(key, "held"), by, at,
            held_reason=row.note.strip(),
        )  # fmt: skip
        lots = {Outcome.GOOD: good, Outcome.OVER: good, Outcome.HELD: held}
        for outcome in Outcome:
            packs = getattr(arrived, outcome.value)
            if packs:
                GoodsInLine.objects.create(
                    goods_in=goods_in, order_line=line, outcome=outcome, quantity=packs * pack,
                    lot=lots.get(outcome), note=row.note.strip(),
                )  # fmt: skip
        line.accepted += arrived.accepted * pack
        line.save(update_fields=["accepted"])


def _lot(
    goods_in: GoodsIn,
    row: ReceivedLine,
    line: OrderLine,
    packs: int,
    cost: Decimal,
    place: Place,
    key: UUID,
    by: Any,
    at: datetime,
    held_reason: str = "",
) -> Lot | None:
    if not packs:
        return None
    try:
        return post_lot(
            item=line.item, quantity=packs * line.item.pack_quantity, cost=cost, place=place,
            run=plain_run(row.run), batch_a=plain_run(row.batch_a), expiry_a=row.expiry_a,
            batch_b=plain_run(row.batch_b), expiry_b=row.expiry_b, expiry=row.expiry,
            status=LotStatus.HELD if held_reason else LotStatus.RELEASED, held_reason=held_reason,
            received_on=london_day(goods_in.received_at), key=key, by=by, at=at,
        )  # fmt: skip
    except ServiceError as refusal:
        raise _refuse(line, refusal.message, refusal.field or "good") from refusal


def _close(
    order: Order, lines: dict[int, OrderLine], rows: Sequence[ReceivedLine]
) -> list[int]:  # fmt: skip
    given_up = {row.line_id for row in rows if row.close}
    closed = [
        line
        for line in lines.values()
        if not line.closed and (line.pk in given_up or line.outstanding == 0)
    ]
    for line in closed:
        line.closed = True
        line.save(update_fields=["closed"])
    order.version += 1
    if all(line.closed for line in lines.values()):
        order.state = OrderState.RECEIVED
    order.save(update_fields=["state", "version"])
    return [line.pk for line in closed]
