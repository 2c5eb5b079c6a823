"""Finding the quote behind a link, and why it cannot be answered."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from jobs.customers.enums import CustomerKind
from jobs.work.enums import Stage
from jobs.work.rules import CLOSED
from quotes.acceptance.models import Acceptance, AnswerModel, QuoteLink
from quotes.acceptance.rules import day_of_contract, hash_of, last_day_to_cancel, looks_like_token
from quotes.quoting.enums import RevisionState
from quotes.quoting.models import Revision

SHUT = {
    "withdrawn": "This link was withdrawn. Ask us for a new one.",
    "replaced": "A newer quote replaced this one; its link is in our later message.",
    "declined": "This quote was declined. If that was a mistake, tell us.",
    "expired": "This quote no longer holds: its day is over. Ask us, and we price it again.",
    # The job was lost or cancelled; opened again, its link can be answered until its day.
    "closed": "We closed this quote. If you still want the work, tell us, and we open it again.",
}

# A claim under a contract may be brought for six years: Limitation Act 1980, section 5 (memory).
KEPT = "Kept: {} with name and what was signed, for the six years in which a claim may be brought."


@dataclass(frozen=True)
class Opened:
    """What a link leads to. `shut` names why it cannot be answered, '' when it can."""

    link: QuoteLink
    revision: Revision
    shut: str = ""

    @property
    def sentence(self) -> str:
        """Why it cannot be answered, as the customer reads it."""
        return SHUT.get(self.shut, "")

    @property
    def accepted(self) -> bool:
        """Whether it was accepted already."""
        return bool(self.revision.state == RevisionState.ACCEPTED)


def open_link(token: str, at: datetime) -> Opened | None:
    """Return what a token leads to, or None where there is no such link."""
    if not looks_like_token(token):
        return None
    link = (
        QuoteLink.objects.filter(token_hash=hash_of(token))
        .select_related("revision__quote__job__customer", "revision__quote__job__site")
        .first()
    )
    if link is None:
        return None
    return Opened(link, link.revision, why_shut(link, link.revision, at))


def why_shut(link: QuoteLink, revision: Revision, at: datetime) -> str:
    """Return why a link cannot be answered at an instant; '' when it can, or was accepted."""
    if link.withdrawn_at is not None:
        return "withdrawn"
    if revision.state == RevisionState.ACCEPTED:
        return ""
    if revision.state in {RevisionState.REPLACED, RevisionState.DECLINED}:
        return str(revision.state)
    if Stage(revision.quote.job.stage) in CLOSED:
        return "closed"
    return "expired" if at >= link.expires_at else ""


def acceptance_of(revision: Revision) -> Acceptance | None:
    """Return the acceptance of a revision, if there is one."""
    return Acceptance.objects.filter(revision=revision).select_related("recorded_by").first()


def to_deliver() -> list[int]:
    """Return sent revisions whose PDF is kept and whose link was never made: a bell was lost."""
    rows = Revision.objects.filter(state=RevisionState.SENT, links=None).exclude(pdf_uid=None)
    return list(rows.order_by("sent_at").values_list("pk", flat=True))


def why_not_mail(occasion: str) -> str:
    """Return why the message that brings a quote must not go any more; '' if it may.

    `occasion` is 'quote:PK' for the first link and 'quote:PK:N' for the one made after N others.
    """
    _, pk, *rest = occasion.split(":")
    place = int(rest[0]) if rest and rest[0].isdigit() else 0
    row = Revision.objects.filter(pk=pk if pk.isdigit() else 0).only("state").first()
    if row is None:
        return ""
    if row.state != RevisionState.SENT:
        return "The quote was answered or replaced since this was written."
    link = row.links.order_by("pk")[place : place + 1].first()
    if link is not None and link.withdrawn_at is not None:
        return "The link in it was withdrawn since this was written."
    return ""


def may_cancel_until(job_ids: Collection[int]) -> dict[int, date]:
    """Return job -> last day to cancel, of consumers who did not ask to begin before; one query."""
    rows = Acceptance.objects.filter(
        revision__quote__job_id__in=job_ids,
        revision__quote__job__customer__kind=CustomerKind.HOUSEHOLD,
    ).values_list("revision__quote__job_id", "signed_on", "at", "consents")
    return {
        job_id: last_day_to_cancel(day_of_contract(signed_on, at))
        for job_id, signed_on, at, consents in rows
        if not consents.get("begin_early", {}).get("given")
    }


def signature_of(row: AnswerModel) -> dict[str, object]:
    """Return what a signature says of a person, as it is given out to him."""
    return {
        "name": row.name, "at": row.at.isoformat(), "signed_on": row.signed_day.isoformat(),
        "how": row.get_answered_by_display(),
        "said": [each["words"] for each in row.consents.values() if each.get("given")],
        "network_address": row.network_address or "", "browser": row.user_agent,
        "price_with_vat": str(row.pounds),
    }  # fmt: skip


def records_of(customer_id: int) -> dict[str, Any]:
    """Return the customer's signatures under quotes."""
    rows = Acceptance.objects.filter(revision__quote__job__customer_id=customer_id)
    found = rows.select_related("revision__quote").order_by("at")
    return {"accepted": [{"quote": str(row.revision), **signature_of(row)} for row in found]}


def kept_of(customer_id: int) -> list[str]:
    """Say which signatures stay when a customer is erased, and why."""
    count = Acceptance.objects.filter(revision__quote__job__customer_id=customer_id).count()
    return [KEPT.format(f"{count} accepted quote{'s' if count > 1 else ''}")] if count else []
