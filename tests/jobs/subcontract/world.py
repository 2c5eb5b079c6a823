"""Subcontractors with verifications, bills and payments, made through the services."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any
from uuid import uuid4

from jobs.billing.rules import Excluded
from jobs.subcontract import services
from jobs.subcontract.models import (
    SubcontractBill,
    Subcontractor,
    SubcontractPayment,
    Verification,
)
from jobs.subcontract.services import BillTyped
from tests.factories import AT, DAY, make_job, numbers

D = Decimal
UTR = "1955839661"  # its check figure fits; given to nobody that we know of
# Labour 500 and materials 200 without VAT: the worked example of tests/outside.
TYPED = BillTyped(
    number="B-1", billed_on=DAY, words="Tarmac base laid", labour=D("500.00"),
    excluded=Excluded(materials=D("200.00")),
)  # fmt: skip


def subcontractor(**fields: Any) -> Subcontractor:
    values = {"name": f"Groundworks {next(numbers)}", "utr": "", "vat_number": ""}
    return services.add_subcontractor(by=None, at=AT, **values | fields)


def verified(row: Subcontractor | None = None, percent: int = 20, **more: Any) -> Verification:
    row = row or subcontractor(utr=UTR)
    values: dict[str, Any] = {
        "reference": "V0123456789", "verified_on": DAY, "how": "online", "key": uuid4(),
    }  # fmt: skip
    return services.record_verification(
        subcontractor_id=row.pk, percent=D(percent), by=None, at=AT, **values | more
    )


def bill(row: Subcontractor | None = None, job: Any = None, **changes: Any) -> SubcontractBill:
    row, job = row or subcontractor(), job or make_job(stage="won")
    if not row.vat_number:
        changes = {"vat_rate": D(0)} | changes
    return services.record_bill(
        subcontractor_id=row.pk, job_id=job.pk, typed=replace(TYPED, **changes), key=uuid4(),
        by=None, at=AT,
    )  # fmt: skip


def paid(found: SubcontractBill | None = None, **more: Any) -> SubcontractPayment:
    values: dict[str, Any] = {"paid_on": DAY, "paid_by": "transfer", "key": uuid4()}
    return services.pay_bill(bill_id=(found or bill()).pk, by=None, at=AT, **values | more)


def bill_back(found: SubcontractBill) -> SubcontractBill:
    return services.take_back_bill(
        bill_id=found.pk, reason="wrong sum", key=uuid4(), by=None, at=AT
    )


def payment_back(found: SubcontractPayment) -> SubcontractPayment:
    return services.take_back_payment(
        payment_id=found.pk, reason="bank refused it", key=uuid4(), by=None, at=AT
    )
