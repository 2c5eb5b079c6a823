"""An accepted quote, and a variation of it that was sent."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from jobs.attachments.services import keep_file
from quotes.acceptance import services as answers
from quotes.acceptance.services import new_link
from quotes.quoting.models import Line, Revision
from quotes.variations import services
from quotes.variations.models import Variation, VariationLink
from tests.factories import AT
from tests.quotes.acceptance.world import YES, make_sent
from tests.quotes.world import QuoteWorld

PDF = b"%PDF-1.7 the variation as it was sent"


@dataclass
class AgreedWorld:
    """The world, its accepted revision, and its surfacing and edging lines."""

    world: QuoteWorld
    revision: Revision
    surface: Line
    edging: Line

    def start(self, at: datetime = AT, **fields: Any) -> Variation:
        """Draft a variation."""
        values = {"title": "Smaller drive", "words": "", "by": None, "at": at}
        return services.start_variation(job_id=self.world.job.pk, **values | fields)


def make_agreed(at: datetime = AT, **fields: Any) -> AgreedWorld:
    """A quote for a drive that was accepted by its link."""
    sent = make_sent(at=at, **fields)
    answers.accept(
        token=sent.token, name="A. Householder", consents=YES, options=[], network_address=None,
        user_agent="", at=at,
    )  # fmt: skip
    revision = Revision.objects.get(pk=sent.revision.pk)
    lines = revision.lines.all()
    return AgreedWorld(
        sent.world, revision, lines.get(kind="surface"),
        lines.get(work_item=sent.world.edge_work),
    )  # fmt: skip


def make_out(
    agreed: AgreedWorld | None = None, at: datetime = AT, days: int = 0
) -> tuple[Variation, str]:
    """A variation with one own line of £100 before VAT, sent, with its PDF and a link."""
    agreed = agreed or make_agreed(at=at)
    draft = agreed.start(at=at, title="A step")
    services.add_line(
        variation_id=draft.pk, kind="free", words="Step", quantity=Decimal(1),
        cost_each=Decimal("60.00"), fixed=Decimal("100.00"), by=None, at=at,
    )  # fmt: skip
    Variation.objects.filter(pk=draft.pk).update(days_added=days)
    sent = services.send_variation(
        variation_id=draft.pk, to="home@customer.example", by=None, at=at
    )  # fmt: skip
    services.keep_pdf(variation_id=sent.pk, kept=keep_file(data=PDF, name="v.pdf"), at=at)
    with transaction.atomic():
        _, token = new_link(
            VariationLink, valid_until=sent.valid_until, at=at, variation=sent
        )  # fmt: skip
    return Variation.objects.get(pk=sent.pk), token
