"""Subcontractors, their verifications, bills and payments: every write of the room."""

from jobs.subcontract.services.bills import BillTyped, record_bill, take_back_bill
from jobs.subcontract.services.parties import (
    add_subcontractor,
    bring_back,
    change_subcontractor,
    put_away,
    record_verification,
)
from jobs.subcontract.services.payments import pay_bill, show_payment, take_back_payment

__all__ = [
    "BillTyped", "add_subcontractor", "bring_back", "change_subcontractor", "pay_bill", "put_away",
    "record_bill", "record_verification", "show_payment", "take_back_bill", "take_back_payment",
]  # fmt: skip
