"""Several variations open at once: quote and variations come to what the plan of payments does."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import transaction
from django.test import Client

from jobs.attachments.services import keep_file
from jobs.billing.models import PlanShare
from jobs.kernel.money import round_vat
from jobs.outbox.models import Message
from jobs.work.models import Job
from quotes.acceptance import services as answers
from quotes.quoting.services import attach_vat_document, change_terms, send_revision
from quotes.variations import queries, services
from quotes.variations.models import Variation, VariationAnswer
from tests.factories import AT
from tests.quotes.acceptance.world import YES
from tests.quotes.variations.test_services import accept, add, link_to, send
from tests.quotes.world import make_quote_world

pytestmark = pytest.mark.django_db
HOME = "home@customer.example"
BUILDER = {"kind": "builder", "vat_number": "GB980780684", "reports_under_cis": True}
REDUCED = {"vat_code": "reduced", "vat_percent": Decimal(5), "vat_reason": "empty for two years"}
# By pencil: 20 % of £x.02 leaves four tenths of a penny, so that whatever the quote comes to, three
# of them taken each alone come to another VAT than taken together.
NETS = (Decimal("10.02"), Decimal("20.02"), Decimal("-5.02"), Decimal("35.02"))
ORDERS = ((1, 0), (0, 1, 3), (3, 2, 1), (2, 0, 1))


def job_at(code: str) -> Job:
    """A job whose quote was accepted at a rate; the acceptance wrote its plan of payments."""
    world = make_quote_world(customer=BUILDER if code == "reverse" else None)
    call: dict[str, Any] = {"revision_id": world.start().pk, "by": None, "at": AT}
    if code == "reduced":
        attach_vat_document(**call, kept=keep_file(data=b"%PDF-1.7 shows it", name="v.pdf"))
        change_terms(**call, values=REDUCED)
    revision = send_revision(**call, to=HOME)
    assert revision.vat_code == code
    _, token = answers.make_link(**call)
    answers.accept(
        token=token, name="A", consents=YES, options=[], network_address=None, user_agent="",
        at=AT,
    )  # fmt: skip
    return world.job


def open_ones(job: Job) -> list[tuple[Variation, str]]:
    found = []
    for net in NETS:
        draft = services.start_variation(job_id=job.pk, title="A step", words="", by=None, at=AT)
        add(draft, "free", "1", words="Step", fixed=net)
        sent = send(Variation.objects.get(pk=draft.pk))
        found.append((sent, link_to(sent)))
    return found


def planned(job: Job) -> tuple[Decimal, Decimal]:
    shares = list(PlanShare.objects.filter(stage__plan__job=job))
    return sum((x.net for x in shares), Decimal(0)), sum((x.vat for x in shares), Decimal(0))


@pytest.mark.parametrize(("code", "rate"), [("standard", 20), ("reduced", 5), ("reverse", 0)])
def test_in_any_order_they_come_to_the_plan_and_to_the_vat_on_the_whole(
    code: str, rate: int, at: datetime
) -> None:
    """VAT Notice 700, 17.5 (memory): VAT once on the total of its rate, here half up."""
    job, moved = job_at(code), set()
    ones = open_ones(job)
    for order in ORDERS:
        mark = transaction.savepoint()
        for step, place in enumerate(order):
            variation, token = ones[place]
            answer = accept(token, at + timedelta(minutes=step))
            fresh = Variation.objects.get(pk=variation.pk)
            # What was shown and signed stays: net, sheet, and the price on the signature.
            assert (fresh.net, answer.pounds) == (variation.net, variation.gross)
            assert queries.sheet_of(fresh, at).gross == variation.gross
            moved.add(fresh.gross - variation.gross)
        last = Variation.objects.get(pk=ones[order[-1]][0].pk)
        net, vat = planned(job)
        found = queries.counted(last)
        assert found.after == net + vat
        assert vat == round_vat(net, Decimal(rate))
        transaction.savepoint_rollback(mark)
    penny = Decimal("0.01")
    assert moved <= {-penny, Decimal(0), penny}
    assert (moved != {Decimal(0)}) == (code == "standard")


def test_the_penny_is_named_where_it_moves(at: datetime) -> None:
    job = job_at("standard")
    ones = open_ones(job)
    for place in (0, 1, 3):
        accept(ones[place][1], at + timedelta(minutes=place))
    rows = [Variation.objects.get(pk=ones[place][0].pk) for place in (0, 1, 3)]
    signed = {one.variation_id: one.pounds for one in VariationAnswer.objects.all()}
    row = next(row for row in rows if row.gross != signed[row.pk])
    token = next(token for sent, token in ones if sent.pk == row.pk)

    page = Client().get(f"/variations/answer/{token}/").content.decode()
    body = Message.objects.get(occasion=f"variation-accepted:{row.pk}:customer").body

    assert f"this one counts +£{row.gross:,.2f} with VAT" in page
    assert f"this change counts +£{row.gross:,.2f} with VAT" in body
    assert f"The job now comes to £{queries.counted(row).after:,.2f}" in body
    # One that still waits says what the job comes to by now, not when it was sent.
    net, vat = planned(job)
    assert queries.counted(ones[2][0]).before == net + vat
