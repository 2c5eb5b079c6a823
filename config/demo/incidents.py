"""What went wrong in the demo firm: a torn pallet, an odd tin, a drain asked for late."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from config.demo.world import World, at, key
from jobs.messages.enums import Kind
from jobs.messages.queries import default_details, filled
from jobs.messages.services import write_to_customer
from jobs.outbox.enums import Channel as Way
from jobs.work.enums import Stage
from jobs.work.models import Job
from quotes.quoting.models import Revision
from quotes.variations.services import add_line, send_variation, start_variation
from stock.claims.services import notify_claim, open_claim, record_answer, record_credit
from stock.ledger.enums import LotStatus
from stock.ledger.models import Lot
from stock.ledger.services import keep_back
from stock.movements.services import keep_tin, record_note, waste_stock
from stock.ordering.rules.goods import Arrived
from stock.ordering.services import (
    ReceivedLine,
    place_order,
    receive_order,
    start_order,
)
from stock.ordering.services import (
    add_line as add_order_line,
)
from stock.suppliers.models import Channel

D = Decimal
WORDS = {"torn": "a fork went through the wrap", "whole": ""}


def load_incidents(world: World) -> None:
    """Tell what happened beside the jobs, oldest first."""
    torn_pallet(world)
    short_delivery(world)
    keep_stone_back(world)
    damp_bag_to_waste(world)
    split_tin(world)
    tell_customers(world)
    ask_for_a_drain(world)


def a_delivery(world: World, code: str, packs: int, came: date, arrived: Arrived, wrap: str) -> Any:
    """Order something for the yard by telephone and book what came of it."""
    storeman = world.users["storeman"]
    ordered = world.calendar.before(came, 3)
    channel = Channel.objects.get(supplier__name="Ashgill Aggregates", kind="telephone")
    order = start_order(channel_id=channel.pk, by=storeman, at=at(ordered, 10))
    line = add_order_line(
        order_id=order.pk, item_id=world.items[code].pk, packs=packs, by=storeman,
        at=at(ordered, 10, 5),
    )  # fmt: skip
    place_order(order_id=order.pk, by=storeman, at=at(ordered, 10, 10))
    order.refresh_from_db()
    came_of_it = ReceivedLine(line_id=line.pk, arrived=arrived, note=WORDS[wrap], close=True)
    return receive_order(
        order_id=order.pk, rows=[came_of_it],
        place_id=world.places["Bay 3"].pk, carriage=order.carriage, wrap=wrap,
        wrap_note=WORDS[wrap], by=storeman,
        delivery_note=f"DN{order.pk:05d}", key=key("delivery", code, came.isoformat()),
        at=at(came, 11, 20),
    )  # fmt: skip


def torn_pallet(world: World) -> None:
    """A pallet of sand came torn: the carrier was told in time and pays a part of it."""
    came = world.working(-12)
    arrived = Arrived(good=26, held=1, refused=2, short=1)
    goods = a_delivery(world, "SND-FINE", 30, came, arrived, "torn")
    storeman = world.users["storeman"]
    bad = goods.lines.filter(outcome__in=["held", "refused", "short"])
    claim = open_claim(
        goods_in_id=goods.pk, line_ids=[line.pk for line in bad], against="carrier",
        what="Wrap torn by a fork: two bags burst, one damp, one missing.",
        credit_expected=D("8.60"), key=key("claim", 1), by=storeman, at=at(came, 11, 40),
    )  # fmt: skip
    told = at(came, 14, 5)
    notify_claim(
        claim_id=claim.pk, how="email", words="Photos and the signed note sent.", told_at=told,
        by=storeman, at=told,
    )  # fmt: skip
    answered = world.calendar.after(came, 4)
    record_answer(
        claim_id=claim.pk, answer="partly", answered_on=answered,
        words="The burst bags and the missing one, not the damp one.", credit_expected=D("6.45"),
        by=storeman, at=at(answered, 9, 30),
    )  # fmt: skip
    record_credit(
        claim_id=claim.pk, amount=D("4.30"), credit_on=world.calendar.after(answered, 3),
        reference="CN 2207", key=key("credit", 1), by=storeman,
        at=at(world.calendar.after(answered, 3), 9),
    )  # fmt: skip


def short_delivery(world: World) -> None:
    """Yesterday's sand was two bags short; the claim is still to be made."""
    arrived = Arrived(good=18, short=2)
    a_delivery(world, "SND-FINE", 20, world.working(-1), arrived, "whole")


def keep_stone_back(world: World) -> None:
    """Two bags of the run of a finished job stay here for a year, for a call-back."""
    left = Lot.objects.filter(item__run_matched=True, status=LotStatus.RELEASED).exclude(run="")
    for lot in left.select_related("item").order_by("-pk"):
        pack, free = lot.item.pack_quantity, lot.on_hand - lot.reserved
        job = Job.objects.filter(
            stage=Stage.IN_GUARANTEE, pk__in=lot.movements.values("posting__job")
        ).first()
        if job is not None and free >= pack:
            keep_back(
                lot_id=lot.pk, job_id=job.pk, quantity=min(2, free // pack) * pack,
                until=world.on + timedelta(days=365), note="same run as the surface",
                key=key("kept back", job.reference), by=world.users["storeman"],
                at=world.limit - timedelta(days=1),
            )  # fmt: skip
            return


def damp_bag_to_waste(world: World) -> None:
    """A bag of the held slate went away with its note."""
    day = world.working(-1)
    storeman = world.users["storeman"]
    lot = Lot.objects.get(run="26-0417", status=LotStatus.HELD)
    gone = waste_stock(
        lot_id=lot.pk, place_id=world.places["Bay 3"].pk, quantity=lot.item.pack_quantity,
        reason="burst and soaked", key=key("waste", 1), day=day, by=storeman, at=at(day, 15, 30),
    )  # fmt: skip
    record_note(
        posting_ids=[gone.pk], kind="transfer", number="TN 0418", carrier="Orrford Skips",
        registration="CBDU 000000", taken_to="Orrford transfer station", taken_on=day,
        words="Inert stone, one bag.", key=key("note", 1), by=storeman, at=at(day, 16),
    )  # fmt: skip


def split_tin(world: World) -> None:
    """Part B of a kit was spilt; its part A stays as an odd tin, which is no kit."""
    lot = Lot.objects.get(batch_a="A2691")  # one of those that stood in the cold
    place = world.places["Container"]
    keep_tin(
        lot_id=lot.pk, place_id=place.pk, part="A", count=1, why="part B knocked over and spilt",
        key=key("tin", 1), by=world.users["storeman"], at=at(world.working(-3), 8, 40),
    )  # fmt: skip


def tell_customers(world: World) -> None:
    """Those whose lay day comes next know their dates, and when to move the car."""
    office, moment = world.users["office"], at(world.working(-1), 16, 20)
    told = 0
    for job in Job.objects.filter(stage=Stage.BOOKED).select_related("customer").order_by("pk"):
        if told == 2 or not job.customer.email:
            continue
        for kind in (Kind.DATES, Kind.CAR):
            details = default_details(job, kind, moment.date())
            words = filled(job, kind, Way.MAIL, details, moment.date())
            write_to_customer(
                job_id=job.pk, kind=kind, channel=Way.MAIL, to=job.customer.email,
                subject=words.subject, body=words.body, details=details,
                key=key("told", job.reference, kind), by=office, at=moment,
            )  # fmt: skip
        told += 1


def ask_for_a_drain(world: World) -> None:
    """A customer wants a channel drain beside his drive: a change, sent and not yet answered."""
    owner, moment = world.users["owner"], at(world.working(-1), 17)
    job = Job.objects.filter(stage=Stage.BOOKED).exclude(customer__email="").latest("pk")
    assert Revision.objects.filter(quote__job=job, state="accepted").exists()  # noqa: S101
    change = start_variation(
        job_id=job.pk, title="Channel drain at the garage door",
        words="As agreed at the gate on site.", by=owner, at=moment,
    )  # fmt: skip
    add_line(
        variation_id=change.pk, kind="free", words="Channel drain, 3 m, with its connection",
        quantity=D(3), unit="m", cost_each=D("64.00"), by=owner, at=moment,
    )  # fmt: skip
    send_variation(variation_id=change.pk, to=job.customer.email, by=owner, at=moment)
