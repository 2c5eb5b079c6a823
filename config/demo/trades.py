"""The demo's subcontractors with their bills, and what is invoiced beside the payment plans."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from config.demo.world import World, at, key
from jobs.billing.models import PaymentRequest
from jobs.billing.rules import Excluded, HandLine
from jobs.billing.services import HandInvoice, issue_by_hand, record_receipt
from jobs.customers.enums import CustomerKind
from jobs.subcontract.models import SubcontractBill, Subcontractor
from jobs.subcontract.services import (
    BillTyped,
    add_subcontractor,
    pay_bill,
    record_bill,
    record_verification,
    take_back_bill,
)
from jobs.work.enums import Stage
from jobs.work.models import Job

D = Decimal
# Name, telephone, taxpayer reference, VAT number, rate and number of its verification; all
# invented, with check figures that fit. The last has not been verified.
PARTIES: tuple[tuple[str, str, str, str, str, str], ...] = (
    ("Fellgate Groundworks", "01632 960441", "9999100001", "GB999100140", "20", "V0000441071"),
    ("Hobbs kerbs and edging", "01632 960442", "9999200002", "", "20", "V0000441072"),
    ("Tarnfoot Tarmac", "01632 960443", "9999300003", "GB999200233", "0", "V0000441073"),
    ("Mossdale Sawing", "01632 960444", "", "", "", ""),
)
# Whose, bill number, days ago, words, labour, materials, other costs, paid so many days after.
BILLS: tuple[tuple[int, str, int, str, str, str, dict[str, str], int | None], ...] = (
    (0, "FG-118", 88, "Dug out and carted, sub-base laid", "1240.00", "386.40",
     {"fuel": "62.00"}, 9),
    (0, "FG-121", 52, "Dug out and carted", "860.00", "0.00", {"plant_hire": "240.00"}, 8),
    (1, "14", 47, "Kerbs set on concrete, 22 m", "610.00", "198.75", {}, 10),
    (2, "TT/2207", 41, "Open-graded tarmac, 60 mm", "1480.00", "1912.00", {}, 12),
    (3, "Invoice 6", 33, "Saw cuts along the garage", "180.00", "25.00", {}, 7),
    (1, "15", 20, "Kerbs and a gully", "455.00", "141.20", {}, 6),
    (0, "FG-127", 9, "Dug out and carted, sub-base laid", "1115.00", "402.10", {}, None),
)  # fmt: skip


def load_trades(world: World) -> None:
    """Tell what subcontractors did and were paid, and what was invoiced by hand."""
    parties = [take_on(world, number) for number in range(len(PARTIES))]
    jobs = list(Job.objects.filter(stage__in=Stage.AFTER_WON).order_by("reference")[:12])
    for number in range(len(BILLS)):
        a_bill(world, parties, jobs[number % len(jobs)], number)
    recorded_wrongly(world, parties[3], jobs[-1])
    invoice_beside_the_plan(world)


def take_on(world: World, number: int) -> Subcontractor:
    """Add a subcontractor and record what HMRC said of him."""
    name, phone, utr, vat, percent, reference = PARTIES[number]
    day, accountant = world.days_ago(120), world.users["accountant"]
    row = add_subcontractor(
        name=name, phone=phone, utr=utr, vat_number=vat, by=accountant, at=at(day, 10, number)
    )
    if percent:
        record_verification(
            subcontractor_id=row.pk, percent=D(percent), reference=reference, verified_on=day,
            how="online", key=key("verification", name), by=accountant, at=at(day, 10, 20 + number),
        )  # fmt: skip
    return row


def a_bill(world: World, parties: list[Subcontractor], job: Job, number: int) -> None:
    """Record a bill and, but for the newest, pay it."""
    whose, name, ago, words, labour, materials, others, after = BILLS[number]
    row, day = parties[whose], world.days_ago(ago)
    accountant = world.users["accountant"]
    parts: dict[str, Any] = {kind: D(amount) for kind, amount in others.items()}
    typed = BillTyped(
        number=name, billed_on=day, words=words, labour=D(labour),
        excluded=Excluded(materials=D(materials), **parts),
        # He keeps no receipts of blades.
        materials_estimated=whose == 3,
        vat_rate=D(20) if row.vat_number else D(0), reverse_charge=bool(row.vat_number),
    )  # fmt: skip
    bill = record_bill(
        subcontractor_id=row.pk, job_id=job.pk, typed=typed, key=key("bill", row.name, name),
        by=accountant, at=at(day, 16),
    )  # fmt: skip
    if after is not None:
        pay(world, bill, world.days_ago(ago - after))


def pay(world: World, bill: SubcontractBill, day: date) -> None:
    pay_bill(
        bill_id=bill.pk, paid_on=day, paid_by="transfer", key=key("paid", bill.number),
        by=world.users["accountant"], at=at(day, 16, 30),
    )  # fmt: skip


def recorded_wrongly(world: World, row: Subcontractor, job: Job) -> None:
    """A bill typed with a nought too many, taken back and recorded rightly."""
    day, accountant = world.days_ago(6), world.users["accountant"]
    for labour, step in (("2400.00", 0), ("240.00", 1)):
        typed = BillTyped(
            number="Invoice 9", billed_on=day, words="Saw cuts, two drives", labour=D(labour),
            vat_rate=D(0),
        )  # fmt: skip
        bill = record_bill(
            subcontractor_id=row.pk, job_id=job.pk, typed=typed,
            key=key("bill", row.name, "9", step), by=accountant, at=at(day, 15, 10 * step),
        )  # fmt: skip
        if not step:
            take_back_bill(
                bill_id=bill.pk, reason="A nought too many.", key=key("bill back", bill.number),
                by=accountant, at=at(day, 15, 5),
            )  # fmt: skip


def invoice_beside_the_plan(world: World) -> None:
    """A household's extra, paid at once, and a builder's under the reverse charge, less CIS."""
    done = Job.objects.filter(stage__in=(Stage.COMPLETE, Stage.IN_GUARANTEE)).order_by("reference")
    household = done.filter(customer__kind=CustomerKind.HOUSEHOLD).first()
    builder = done.filter(customer__reports_under_cis=True).first()
    day = world.calendar.before(world.on, 2)
    if household is not None:
        line = HandLine("Rust marks from a planter cleaned and sealed", D(1), "visit", D(95), D(20))
        short = HandInvoice((line,), day, day + timedelta(days=14), simplified=True)
        by_hand(world, household, day, short)
    if builder is None:
        return
    lines = (
        HandLine("Edging set again after the kerb was run over", D("3.5"), "m", D("46.00"), D(20)),
        HandLine("Half a day, two men", D("0.5"), "day", D("560.00"), D(20)),
    )
    typed = HandInvoice(lines, day, day + timedelta(days=30), materials=D("58.00"))
    request = by_hand(world, builder, day, typed)
    paid = world.calendar.before(world.on, 1)
    # He has kept back on all of it: the money page shows the difference.
    kept_back = (request.amount * D("0.2")).quantize(D("0.01"))
    record_receipt(
        request_id=request.pk, amount=request.amount - kept_back, cis_deducted=kept_back,
        received_on=paid, paid_by="transfer", note=builder.reference,
        key=key("receipt", request.reference), by=world.users["office"], at=at(paid, 11, 15),
    )  # fmt: skip


def by_hand(world: World, job: Job, day: date, typed: HandInvoice) -> PaymentRequest:
    """Issue an invoice outside the plan; return the request by which its money comes in."""
    invoice = issue_by_hand(
        job_id=job.pk, typed=typed, key=key("by hand", job.reference),
        by=world.users["accountant"], at=at(day, 15),
    )  # fmt: skip
    return PaymentRequest.objects.get(invoices=invoice)
