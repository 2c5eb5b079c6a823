"""Bills of subcontractors, recorded once, taken back by a counter-entry; a job bears each once."""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import transaction

from jobs.attachments.rules import CheckedFile
from jobs.audit.services import post_event
from jobs.billing.rules import Excluded
from jobs.costing.enums import Category, EntryKind
from jobs.costing.models import CostEntry
from jobs.costing.services import post_cost
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO
from jobs.subcontract.models import SubcontractBill, Subcontractor
from jobs.subcontract.queries import (
    SOURCE,
    cost_key,
    hours_counted,
    standing_bill,
    standing_payment,
)
from jobs.subcontract.rules import KINDS, bill_verdict, number_key, sum_bill
from jobs.subcontract.services.parties import post_evidence
from jobs.work.enums import Stage
from jobs.work.models import Job


@dataclass(frozen=True)
class BillTyped:
    """A bill as it lies on the desk."""

    number: str
    billed_on: date
    words: str
    labour: Decimal
    excluded: Excluded = field(default_factory=Excluded)
    materials_estimated: bool = False
    vat_rate: Decimal = Decimal(20)
    vat: Decimal = ZERO
    reverse_charge: bool = False
    # Why VAT is as it is on the bill, where the conditions say otherwise.
    vat_reason: str = ""
    # The labour is for other work than the hours that are entered already.
    hours_apart: bool = False


@transaction.atomic(durable=True)
def record_bill(
    *, subcontractor_id: int, job_id: int, typed: BillTyped, kept: CheckedFile | None = None,
    key: UUID, by: Any, at: datetime,
) -> SubcontractBill:  # fmt: skip
    """Record a bill and post its net cost to its job; the same key again returns what stands.

    Refuses (ServiceError) a bill that stands already, a day that has not come, a job that was not
    won, sums that do not fit, VAT of one who is not registered, a reverse charge against its
    conditions without a reason, and labour of somebody whose hours are in the job's costs already.
    """
    row = _locked(subcontractor_id)
    done: SubcontractBill | None = SubcontractBill.objects.filter(key=key).first()
    if done is not None:
        return done
    job = Job.objects.get(pk=job_id)
    _check(row, job, typed, at)
    sums = sum_bill(
        labour=typed.labour, excluded=typed.excluded, rate=typed.vat_rate, vat=typed.vat,
        reverse_charge=typed.reverse_charge,
    )  # fmt: skip
    evidence = post_evidence(row, kept, f"bill {typed.number}", by=by, at=at)
    number = number_key(typed.number)
    before = SubcontractBill.objects.filter(subcontractor=row, number_key=number, reverses=None)
    bill = SubcontractBill.objects.create(
        subcontractor=row, job=job, number=typed.number.strip(), number_key=number,
        attempt=before.count() + 1, billed_on=typed.billed_on, words=typed.words.strip(),
        labour=sums.labour, **asdict(sums.excluded), materials_estimated=typed.materials_estimated,
        net=sums.net, vat_rate=typed.vat_rate, vat=sums.vat, reverse_charge=typed.reverse_charge,
        reverse_vat=sums.reverse_vat, vat_reason=typed.vat_reason.strip(), evidence=evidence,
        hours_apart=typed.hours_apart,
        key=key, at=at, by=by,
    )  # fmt: skip
    _post_cost(bill, by=by, at=at)
    post_event(
        verb="record_subcontract_bill", subject=bill, by=by, at=at, reason=typed.vat_reason,
        after={"net": bill.net, "vat": bill.vat},
    )  # fmt: skip
    return bill


def _locked(subcontractor_id: int) -> Subcontractor:
    rows = Subcontractor.objects.select_for_update(no_key=True, of=("self",))
    found: Subcontractor = rows.get(pk=subcontractor_id)
    return found


def _check(row: Subcontractor, job: Job, typed: BillTyped, at: datetime) -> None:
    if row.archived_at is not None:
        raise ServiceError(f"{row.name} was put away. Bring him back first.")
    if not number_key(typed.number):
        raise ServiceError("Give the number that stands on the bill.", field="number")
    if (found := standing_bill(row, number_key(typed.number))) is not None:
        raise ServiceError(
            f"Bill {found.number} of {row.name} is recorded already: £{found.net:,.2f} before VAT "
            f"of {found.billed_on:%-d %b %Y}. Take that one back first if it is wrong.",
            field="number", code="recorded_already",
        )  # fmt: skip
    if typed.billed_on > london_day(at):
        raise ServiceError("That day has not come yet.", field="billed_on")
    if job.stage not in Stage.AFTER_WON:
        raise ServiceError(f"{job.reference} was not won; no costs belong to it.", field="job")
    if typed.vat and not row.vat_number:
        raise ServiceError(
            f"{row.name} has no VAT number here, so that he charges no VAT. Add it, or ask for a "
            "bill without VAT.",
            field="vat",
        )
    verdict = bill_verdict(
        supplier_vat=row.vat_number, our_vat=settings.FIRM_VAT_NUMBER, rate=typed.vat_rate,
        billed_on=typed.billed_on,
    )  # fmt: skip
    if verdict.applies != typed.reverse_charge and not typed.vat_reason.strip():
        word = "applies" if verdict.applies else "does not apply"
        raise ServiceError(
            f"The reverse charge {word}: {'; '.join(verdict.reasons)}. Say why his bill has it "
            "otherwise, or ask him for another one.",
            field="vat_reason", code="reverse_charge",
        )  # fmt: skip
    counted = hours_counted(row, job.pk) if typed.labour else ZERO
    if counted and not typed.hours_apart:
        raise ServiceError(
            f"Hours of {row.name} on {job.reference} are in its costs already, £{counted:,.2f}. "
            "Take them back, or say that this bill is for other work.",
            field="hours_apart", code="counted_twice",
        )  # fmt: skip


def _post_cost(
    bill: SubcontractBill, *, by: Any, at: datetime, reverses: CostEntry | None = None
) -> None:
    back = ", taken back" if reverses else ""
    post_cost(
        job=bill.job, kind=EntryKind.ACTUAL, category=Category.SUBCONTRACT,
        what=f"{bill.subcontractor.name}, bill {bill.number}{back}", amount=bill.net,
        day=bill.billed_on, source=SOURCE, source_id=bill.pk, key=cost_key(bill), by=by, at=at,
        reverses=reverses,
    )  # fmt: skip


@transaction.atomic(durable=True)
def take_back_bill(
    *, bill_id: int, reason: str, key: UUID, by: Any, at: datetime
) -> SubcontractBill:
    """Take a bill back with a counter-entry, off its job's costs too.

    Its number can then be recorded again. Refuses (ServiceError) one that is paid.
    """
    bill = SubcontractBill.objects.select_related("subcontractor", "job").get(pk=bill_id)
    _locked(bill.subcontractor_id)
    done: SubcontractBill | None = SubcontractBill.objects.filter(key=key).first()
    if done is not None:
        return done
    if bill.reverses_id is not None or SubcontractBill.objects.filter(reverses=bill).exists():
        raise ServiceError("This bill was taken back already.")
    if standing_payment(bill) is not None:
        raise ServiceError("This bill is paid; take its payment back first.")
    if not reason.strip():
        raise ServiceError("Say why it is taken back.", field="reason")
    parts = {name: -getattr(bill, name) for name in (*KINDS, "labour", "net", "vat", "reverse_vat")}
    counter = SubcontractBill.objects.create(
        subcontractor=bill.subcontractor, job=bill.job, number=bill.number,
        number_key=bill.number_key, attempt=bill.attempt, billed_on=bill.billed_on,
        words=reason.strip()[:200], materials_estimated=bill.materials_estimated,
        vat_rate=bill.vat_rate, reverse_charge=bill.reverse_charge, key=key, at=at, by=by,
        reverses=bill, **parts,
    )  # fmt: skip
    _post_cost(counter, by=by, at=at, reverses=CostEntry.objects.get(key=cost_key(bill)))
    post_event(verb="take_back_subcontract_bill", subject=bill, by=by, at=at, reason=reason)
    return counter
