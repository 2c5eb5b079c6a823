"""A quote that was sent and whose customer holds a link."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from jobs.attachments.services import keep_file, post_attachment
from quotes.acceptance import services
from quotes.acceptance.models import Acceptance
from quotes.acceptance.services import make_link
from quotes.quoting.models import Revision
from quotes.quoting.services import add_line, plan_payment, send_revision
from tests.factories import AT
from tests.quotes.world import QuoteWorld, make_quote_world

PDF = b"%PDF-1.7 the quote as it was sent"
YES = {"terms": True}


@dataclass
class SentWorld:
    """The world, its sent revision, the link's token, and the option's key."""

    world: QuoteWorld
    revision: Revision
    token: str
    option: int = 0


def make_sent(
    *, option: bool = False, at: datetime = AT, pdf: bool = True, stages: Any = None, **fields: Any
) -> SentWorld:
    """A sent quote with its PDF and a link; with `option` one of £120 before VAT, with
    `stages` paid in these."""
    world = make_quote_world(**fields)
    revision = world.start(at=at)
    key = 0
    if option:
        line = add_line(
            revision_id=revision.pk, kind="option", work_item_id=world.lifting.pk, by=None, at=at
        )
        key = line.pk
    if stages:
        plan_payment(revision_id=revision.pk, stages=stages, by=None, at=at)
    sent = send_revision(revision_id=revision.pk, to="home@customer.example", by=None, at=at)
    if pdf:
        kept = keep_file(data=PDF, name="quote.pdf")
        with transaction.atomic():
            row = post_attachment(
                kept=kept, about=sent, permission="jobs.see_billing", by=None, at=at
            )
        sent.pdf_uid, sent.pdf_digest = row.uid, row.digest
        sent.save()
    _, token = make_link(revision_id=sent.pk, by=None, at=at)
    return SentWorld(world, sent, token, key)


def accept(sent: SentWorld, at: datetime, **fields: Any) -> Acceptance:
    """Accept it by its link, as a householder does, unless `fields` say otherwise."""
    values: dict[str, Any] = {
        "token": sent.token, "name": "A. Householder", "consents": YES, "options": [],
        "network_address": "203.0.113.9", "user_agent": "A browser", "at": at,
    }  # fmt: skip
    return services.accept(**values | fields)
