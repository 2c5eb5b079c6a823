"""Finding the variation behind a link, and what the worker has to do."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from jobs.customers.enums import CustomerKind
from quotes.acceptance.queries import KEPT, signature_of
from quotes.acceptance.rules import (
    day_of_contract,
    hash_of,
    last_day_to_cancel,
    looks_like_token,
)
from quotes.variations.enums import VariationState
from quotes.variations.models import Variation, VariationAnswer, VariationLink

STUCK_AFTER = timedelta(minutes=5)
SHUT = {
    "withdrawn": "This variation was withdrawn. Ask us if you want it after all.",
    "replaced": "A newer variation replaced this one; its link is in our later message.",
    "declined": "This variation was declined. If that was a mistake, tell us.",
    "expired": "This variation no longer holds: its day is over. Ask us, and we price it again.",
}


@dataclass(frozen=True)
class Opened:
    """What a link leads to. `shut` names why it cannot be answered, '' when it can."""

    link: VariationLink
    variation: Variation
    shut: str = ""

    @property
    def sentence(self) -> str:
        """Why it cannot be answered, as the customer reads it."""
        return SHUT.get(self.shut, "")

    @property
    def accepted(self) -> bool:
        """Whether it was accepted already."""
        return self.variation.state == VariationState.ACCEPTED


def open_link(token: str, at: datetime) -> Opened | None:
    """Return what a token leads to, or None where there is no such link."""
    if not looks_like_token(token):
        return None
    rows = VariationLink.objects.filter(token_hash=hash_of(token)).select_related(
        "variation__revision__quote__job__customer", "variation__revision__quote__job__site"
    )
    link = rows.first()
    if link is None:
        return None
    return Opened(link, link.variation, why_shut(link, link.variation, at))


def why_shut(link: VariationLink, variation: Variation, at: datetime) -> str:
    """Return why a link cannot be answered at an instant; '' when it can, or was accepted."""
    if variation.state == VariationState.ACCEPTED:
        return "withdrawn" if link.withdrawn_at else ""
    if variation.state in SHUT:
        return str(variation.state)
    if link.withdrawn_at is not None:
        return "withdrawn"
    return "expired" if at >= link.expires_at else ""


@dataclass(frozen=True)
class Cancellable:
    """A change that a consumer signed: its label, its day, and the last day to cancel it."""

    label: str
    signed: date
    last: date


def may_cancel_changes(job_ids: Collection[int]) -> dict[int, list[Cancellable]]:
    """Return job -> changes of consumers who did not ask to begin them before; one query."""
    rows = VariationAnswer.objects.filter(
        variation__revision__quote__job_id__in=job_ids,
        variation__revision__quote__job__customer__kind=CustomerKind.HOUSEHOLD,
    ).order_by("variation__number")
    found: dict[int, list[Cancellable]] = {}
    for job_id, number, signed_on, at, consents in rows.values_list(
        "variation__revision__quote__job_id", "variation__number", "signed_on", "at", "consents"
    ):
        if not consents.get("begin_early", {}).get("given"):
            day = day_of_contract(signed_on, at)
            change = Cancellable(f"V{number}", day, last_day_to_cancel(day))
            found.setdefault(job_id, []).append(change)
    return found


def why_not_mail(occasion: str) -> str:
    """Return why the message that brings a variation must not go any more; '' if it may.

    `occasion` is 'variation:PK' for the first link and 'variation:PK:N' for the one made after N
    others.
    """
    _, pk, *rest = occasion.split(":")
    row = Variation.objects.filter(pk=pk).only("state").first()
    if row is None or row.state != VariationState.SENT:
        return "The variation was answered, replaced or withdrawn since this was written."
    place = int(rest[0]) if rest else 0
    link = row.links.order_by("pk")[place : place + 1].first()
    if link is not None and link.withdrawn_at is not None:
        return "The link in it was withdrawn since this was written."
    return ""


def answer_of(variation: Variation) -> VariationAnswer | None:
    """Return the signature under a variation, if there is one."""
    return VariationAnswer.objects.filter(variation=variation).first()


def to_draw(at: datetime) -> list[int]:
    """Return sent variations without a PDF that no worker has, or that a stopped one left."""
    rows = Variation.objects.filter(state=VariationState.SENT, pdf_uid=None)
    free = rows.filter(drawing_at=None) | rows.filter(drawing_at__lt=at - STUCK_AFTER)
    return list(free.order_by("sent_at").values_list("pk", flat=True))


def to_deliver() -> list[int]:
    """Return sent variations whose PDF is kept and whose link was never made."""
    rows = Variation.objects.filter(state=VariationState.SENT, links=None).exclude(pdf_uid=None)
    return list(rows.order_by("sent_at").values_list("pk", flat=True))


def records_of(customer_id: int) -> dict[str, Any]:
    """Return the customer's signatures under variations."""
    rows = VariationAnswer.objects.filter(
        variation__revision__quote__job__customer_id=customer_id
    ).select_related("variation__revision__quote")
    return {
        "accepted": [
            {"variation": str(row.variation), **signature_of(row)} for row in rows.order_by("at")
        ]
    }


def kept_of(customer_id: int) -> list[str]:
    """Say which signatures stay when a customer is erased, and why."""
    count = VariationAnswer.objects.filter(
        variation__revision__quote__job__customer_id=customer_id
    ).count()
    return [KEPT.format(f"{count} signed variation{'s' if count > 1 else ''}")] if count else []
