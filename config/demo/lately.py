"""The demo firm's last days: a small quote, a day more for a job, a stand-in, kits in a van."""

from __future__ import annotations

from decimal import Decimal

from config.demo.world import World, at, key
from config.demo.yard import a_lot
from jobs.attachments.services import keep_file
from jobs.work.models import Job
from jobs.work.services import take_enquiry
from quotes.pricebook.models import SmallJob
from quotes.quoting.services import add_asked_line, send_revision, start_quote
from quotes.variations.documents import draw
from quotes.variations.queries import sheet_of
from quotes.variations.services import (
    add_line,
    change_variation,
    record_paper,
    send_variation,
    start_variation,
)
from stock.allocation.services import reserve_job
from stock.catalogue.services import add_item, add_substitute
from stock.ledger.enums import LotStatus
from stock.ledger.models import Lot
from stock.movements.services import issue_job, transfer_stock, waste_stock

D = Decimal
# How much of each small job of the price book, in its order.
SMALL = ("2", "1", "12")


def load_lately(world: World) -> None:
    """Tell what is new beside the jobs that were told before."""
    quote_small_jobs(world)
    add_a_day(world)
    issue_a_stand_in(world)
    leave_kits_in_a_van(world)


def quote_small_jobs(world: World) -> None:
    """Repairs that nobody measured, priced from the list and sent."""
    office, asked = world.users["office"], at(world.days_ago(4), 13, 35)
    job = take_enquiry(
        title="Repairs to the drive", source="telephone", kind="household",
        words="Two bare spots, a cover that rocks, and a crack along the garage.",
        name="Mr Farrow", phone="01632 960461", email="mrfarrow@home.example",
        address="3 Mill Rise, Orrford", key=key("enquiry", "small"), by=office, at=asked,
    )  # fmt: skip
    owner, moment = world.users["owner"], at(world.days_ago(3), 8, 20)
    revision = start_quote(job_id=job.pk, survey_id=None, by=owner, at=moment)
    for entry, quantity in zip(SmallJob.objects.order_by("pk"), SMALL, strict=False):
        add_asked_line(
            revision_id=revision.pk, kind="small",
            asked={"entry": entry.pk, "quantity": quantity}, by=owner, at=moment,
        )  # fmt: skip
    send_revision(revision_id=revision.pk, to=job.customer.email, by=owner, at=moment)


def add_a_day(world: World) -> None:
    """A second path, signed at the kitchen table; the booking is still the old one."""
    owner, moment = world.users["owner"], at(world.working(-2), 10, 30)
    job = Job.objects.get(customer__name="Ms Garland")
    change = start_variation(
        job_id=job.pk, title="Path to the summer house dug out",
        words="Found on site: soft ground under the path.", by=owner, at=moment,
    )  # fmt: skip
    add_line(
        variation_id=change.pk, kind="free", words="Soft ground dug out and made up, 8 m²",
        quantity=D(8), unit="m2", cost_each=D("38.00"), by=owner, at=moment,
    )  # fmt: skip
    change_variation(variation_id=change.pk, values={"days_added": 1}, by=owner, at=moment)
    change = send_variation(variation_id=change.pk, to=job.customer.email, by=owner, at=moment)
    signed = at(world.working(-1), 18, 10)
    # What he signed is the sheet that was sent.
    paper = keep_file(data=draw(sheet_of(change, signed)).data, name="signed change.pdf")
    record_paper(
        variation_id=change.pk, name=job.customer.name, kept=paper, by=owner, at=signed,
        consents={"terms": True, "begin_early": True},
    )  # fmt: skip


def issue_a_stand_in(world: World) -> None:
    """A tin of primer leaked; that for damp bases went out in its place."""
    storeman, day = world.users["storeman"], world.working(-1)
    damp = add_item(
        code="PRM-DAMP", name="Primer for damp bases", kind="primer", base_unit="ml",
        pack_name="tin", pack_quantity=5_000, pack_mass_g=5_600, packs_per_pallet=60,
        shelf_life_months=12, expiry_margin_days=3, by=storeman, at=at(world.days_ago(30), 9),
    )  # fmt: skip
    world.items[damp.code] = damp
    add_substitute(
        item_id=world.items["PRM-BASE"].pk, stand_in_id=damp.pk, by=storeman,
        at=at(world.days_ago(30), 9, 5),
    )  # fmt: skip
    a_lot(world, damp.code, 1, D("44.50"), 12, 260, "Bay 1, heated", "", 92)
    job = Job.objects.get(customer__name="Mr Ellery")
    lot = Lot.objects.filter(reservations__requirement__job=job, item__code="PRM-BASE").latest("pk")
    waste_stock(
        lot_id=lot.pk, place_id=world.places["Bay 1, heated"].pk,
        quantity=lot.item.pack_quantity, reason="the lid had sprung, skinned over",
        key=key("waste", "primer"), day=day, by=storeman, at=at(day, 15, 5),
    )  # fmt: skip
    reserve_job(job_id=job.pk, by=storeman, at=at(day, 15, 10))
    issue_job(
        job_id=job.pk, phase="prepare", key=key("issue", job.reference, "prepare"), day=day,
        by=storeman, at=at(day, 16, 25),
    )  # fmt: skip


def leave_kits_in_a_van(world: World) -> None:
    """Two kits for a repair stayed in the van overnight."""
    day = world.working(-1)
    lots = Lot.objects.filter(item__code="KIT-ST", status=LotStatus.RELEASED, reserved=0)
    transfer_stock(
        lot_id=lots.earliest("pk").pk, from_place_id=world.places["Bay 1, heated"].pk,
        to_place_id=world.places["Van 2"].pk, quantity=2, key=key("van", 1), day=day,
        by=world.users["storeman"], at=at(day, 17, 20),
    )  # fmt: skip
