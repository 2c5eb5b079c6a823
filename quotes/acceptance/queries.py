"""Finding the quote behind a link, and why it cannot be answered."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from quotes.acceptance.models import Acceptance, QuoteLink
from quotes.acceptance.rules import hash_of, looks_like_token
from quotes.quoting.enums import RevisionState
from quotes.quoting.models import Revision

SHUT = {
    "withdrawn": "This link was withdrawn. Ask us for a new one.",
    "replaced": "A newer quote replaced this one; its link is in our later message.",
    "declined": "This quote was declined. If that was a mistake, tell us.",
    "expired": "This quote no longer holds: its day is over. Ask us, and we price it again.",
}


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
    return "expired" if at >= link.expires_at else ""


def acceptance_of(revision: Revision) -> Acceptance | None:
    """Return the acceptance of a revision, if there is one."""
    return Acceptance.objects.filter(revision=revision).select_related("recorded_by").first()


def to_deliver() -> list[int]:
    """Return sent revisions whose PDF is kept and whose link was never made: a bell was lost."""
    rows = Revision.objects.filter(state=RevisionState.SENT, links=None).exclude(pdf_uid=None)
    return list(rows.order_by("sent_at").values_list("pk", flat=True))
