"""Requests for payment and the money that answers them."""

from django.db.models import TextChoices


class RequestKind(TextChoices):
    DEPOSIT = "deposit", "deposit"
    STAGE = "stage", "stage payment"
    FINAL = "final", "final payment"


class PaidBy(TextChoices):
    TRANSFER = "transfer", "bank transfer"
    CARD = "card", "card"
    CHEQUE = "cheque", "cheque"
    CASH = "cash", "cash"
