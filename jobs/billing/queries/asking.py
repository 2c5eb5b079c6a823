"""What a customer reads of a request for payment, and the message that told him."""

from __future__ import annotations

from django.conf import settings

from jobs.billing.models import PaymentRequest
from jobs.kernel.templatetags.firm import day_year, money
from jobs.outbox.models import Message


def how_to_pay() -> str:
    """Return the sentence that says where the money goes; '' where the firm has not set it."""
    return f" Pay to {settings.FIRM_BANK}." if settings.FIRM_BANK else ""


def request_words(request: PaymentRequest) -> str:
    """Return how much is asked for and by when, under which number and where to pay it."""
    return (
        f"We ask for {money(request.amount - request.received)} by {day_year(request.due_on)}: "
        f"{request.words}. Name {request.reference} when you pay.{how_to_pay()} This is a request "
        "for payment and no VAT invoice; the invoice follows the money."
    )


def request_occasion(request: PaymentRequest) -> str:
    """Return the occasion of a request's message: one for each request."""
    return f"request:{request.pk}"


def request_message(request: PaymentRequest) -> Message | None:
    """Return the message that takes a request to its customer, None before it was sent."""
    return Message.objects.filter(occasion=request_occasion(request)).first()
