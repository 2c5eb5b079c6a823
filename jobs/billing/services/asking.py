"""Sending a request for payment to its customer."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.conf import settings
from django.db import transaction

from jobs.audit.services import post_event
from jobs.billing.enums import RequestKind
from jobs.billing.models import PaymentRequest
from jobs.billing.queries import request_message, request_occasion, request_words
from jobs.kernel.errors import ServiceError
from jobs.outbox.services import post_message


@transaction.atomic(durable=True)
def send_request(*, request_id: int, to: str, by: Any, at: datetime) -> PaymentRequest:
    """Send a request to its customer, once; asked twice it goes once.

    Refuses (ServiceError) one that was withdrawn or settled, and what an invoice asks for itself.
    """
    rows = PaymentRequest.objects.select_for_update(no_key=True, of=("self",))
    request: PaymentRequest = rows.select_related("job__customer").get(pk=request_id)
    if request_message(request) is not None:
        return request
    if request.withdrawn_at is not None:
        raise ServiceError("This request was withdrawn; nothing is asked for.", code="withdrawn")
    if request.received >= request.amount:
        raise ServiceError("All of it has come in; nothing is to be asked for.", code="settled")
    if request.kind == RequestKind.EXTRA:
        raise ServiceError("Its invoice asks for the money; send that.", code="extra")
    job = request.job
    post_message(
        occasion=request_occasion(request), audience="customer", to=to,
        subject=f"Request for payment {request.reference}: {job.title}",
        body=f"Dear {job.customer.name},\n\n{request_words(request)}\n\n{settings.FIRM_NAME}\n",
        about=job, at=at,
    )  # fmt: skip
    post_event(verb="send_request", subject=request, by=by, at=at)
    return request
