"""Requests for payment, the money that answers them, and the invoices that follow it."""

from __future__ import annotations

from decimal import Decimal
from enum import nonmember

from django.db.models import TextChoices


class RequestKind(TextChoices):
    DEPOSIT = "deposit", "deposit"
    STAGE = "stage", "stage payment"
    FINAL = "final", "final payment"
    # What an invoice outside the payment plan asks for.
    EXTRA = "extra", "invoice outside the plan"


class PaidBy(TextChoices):
    TRANSFER = "transfer", "bank transfer"
    CARD = "card", "card"
    CHEQUE = "cheque", "cheque"
    CASH = "cash", "cash"


class VatCode(TextChoices):
    """The rates of VAT. Reverse charge is no rate of its own: it says who accounts for the tax."""

    STANDARD = "standard", "standard rate"
    REDUCED = "reduced", "reduced rate"
    ZERO = "zero", "zero rate"

    # Per cent. VAT Act 1994, sections 2 and 29A (memory).
    PERCENT = nonmember({"standard": Decimal(20), "reduced": Decimal(5), "zero": Decimal(0)})
    # Every rate but the standard one needs its reason and the document that shows it.
    NEEDS_DOCUMENT = nonmember(("reduced", "zero"))


class InvoiceKind(TextChoices):
    INVOICE = "invoice", "VAT invoice"
    SIMPLIFIED = "simplified", "simplified VAT invoice"
    CREDIT = "credit", "credit note"


class PaperState(TextChoices):
    DUE = "due", "to be drawn"
    RENDERING = "rendering", "being drawn"
    READY = "ready", "ready"
    FAILED = "failed", "could not be drawn"


class Age(TextChoices):
    """How long money has been due."""

    NOT_DUE = "not_due", "not due"
    TO_30 = "to_30", "1 to 30 days"
    TO_60 = "to_60", "31 to 60 days"
    TO_90 = "to_90", "61 to 90 days"
    OVER_90 = "over_90", "over 90 days"
