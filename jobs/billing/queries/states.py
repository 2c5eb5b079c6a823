"""What was asked for and what came in."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from django.db.models import Exists, OuterRef, QuerySet, Sum

from jobs.billing.enums import RequestKind
from jobs.billing.models import Invoice, PaymentRequest, Receipt
from jobs.kernel.money import ZERO


def deposit_state(job_ids: Iterable[int]) -> dict[int, str]:
    """Return for each job 'none', 'open' or 'settled'; one query."""
    ids = list(job_ids)
    states = dict.fromkeys(ids, "none")
    requests = PaymentRequest.objects.filter(
        job_id__in=ids, kind=RequestKind.DEPOSIT, withdrawn_at=None
    )
    for request in requests:
        states[request.job_id] = "settled" if request.is_settled else "open"
    return states


def asked_for(job_id: int) -> Decimal:
    """Return what the standing requests of a job's plan come to, with VAT."""
    standing = PaymentRequest.objects.filter(job_id=job_id, withdrawn_at=None).exclude(
        kind=RequestKind.EXTRA
    )
    found: Decimal | None = standing.order_by().aggregate(sum=Sum("amount"))["sum"]
    return found or ZERO


def receipts_to_invoice() -> QuerySet[Receipt]:
    """Return money received for which no VAT invoice stands, the oldest first: one query.

    Money for a request that was invoiced before it came needs no other invoice.
    """
    standing = Invoice.objects.all().standing()
    return (
        Receipt.objects.filter(amount__gt=0, reversed_by=None)
        .exclude(Exists(standing.filter(receipt=OuterRef("pk"))))
        .exclude(Exists(standing.filter(request=OuterRef("request_id"))))
        .select_related("request__job__customer")
        .order_by("received_on", "pk")
    )


def invoices_to_credit() -> QuerySet[Invoice]:
    """Return the standing invoices for money that was taken back since: one query."""
    standing: QuerySet[Invoice] = Invoice.objects.all().standing()
    return standing.filter(receipt__reversed_by__isnull=False).select_related("job")
