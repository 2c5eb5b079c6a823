"""Links: told once, kept as a hash, shut with a sentence; and the letters that carry them."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime
from typing import Any

import pytest
from django.test import Client

from jobs.billing.models import PaymentRequest
from jobs.kernel.clock import now
from jobs.kernel.errors import ServiceError
from jobs.outbox.models import Message
from jobs.work.services import lose_job, reopen_job
from quotes.acceptance import services, tasks
from quotes.acceptance.models import QuoteLink
from quotes.acceptance.queries import open_link
from quotes.acceptance.rules import hash_of, new_token
from quotes.acceptance.services.links import letter, subject_of
from quotes.quoting.models import Revision
from quotes.quoting.queries import sheet_of
from quotes.quoting.services import revise, send_revision
from tests.quotes.acceptance.world import accept, make_sent

pytestmark = pytest.mark.django_db


def test_links_that_are_over_say_why(at: datetime) -> None:
    sent = make_sent()
    last = sent.revision.valid_until
    assert last == date(2026, 6, 13)
    for when, code in (
        (datetime(2026, 6, 13, 23, 59, 59, tzinfo=at.tzinfo), None),
        (datetime(2026, 6, 14, 0, 0, tzinfo=at.tzinfo), "expired"),
    ):
        found = open_link(sent.token, when)
        assert found is not None
        assert (found.shut or None) == code
    with pytest.raises(ServiceError, match="no longer holds"):
        accept(sent, datetime(2026, 6, 14, 0, 0, tzinfo=at.tzinfo))

    services.withdraw_links(revision_id=sent.revision.pk, by=None, at=at)
    with pytest.raises(ServiceError, match="was withdrawn"):
        accept(sent, at)


def test_a_superseded_link_says_so(at: datetime) -> None:
    sent = make_sent()
    second = revise(revision_id=sent.revision.pk, by=None, at=at)
    send_revision(revision_id=second.pk, to="home@customer.example", by=None, at=at)

    with pytest.raises(ServiceError, match="A newer quote replaced this one"):
        accept(sent, at)


def test_a_lost_job_closes_its_quote_and_opened_again_it_can_be_accepted(
    at: datetime, owner: Any, client_for: Callable[[Any], Client]
) -> None:
    sent = make_sent(at=now())
    job, office, when = sent.world.job, client_for(owner), now()
    lose_job(job_id=job.pk, reason="no_answer", note="", by=owner, at=when)

    for method, path in (("get", ""), ("post", ""), ("get", "decline/"), ("get", "pdf/")):
        answer = getattr(Client(), method)(f"/q/{sent.token}/{path}")
        assert answer.status_code == 410
        assert "We closed this quote." in answer.content.decode()
        assert job.reference not in answer.content.decode()  # "is lost" is no word for him
    with pytest.raises(ServiceError, match="We closed this quote"):
        accept(sent, when)
    page = office.get(f"/quotes/{sent.revision.pk}/").content.decode()
    assert "opened again, the quote can be answered" in page
    assert "Mail a new link" not in page
    assert "Record the acceptance" not in page
    assert "sent, job lost" in page
    assert "sent, job lost" in office.get("/quotes/").content.decode()
    assert "sent, job lost" in office.get("/quotes/?export=csv").content.decode()

    reopen_job(job_id=job.pk, note="He rang.", by=owner, at=when)
    assert "Record the acceptance" in office.get(f"/quotes/{sent.revision.pk}/").content.decode()
    accept(sent, when)

    job.refresh_from_db()
    assert job.stage == "won"


def test_nothing_is_kept_of_a_token_but_its_hash(at: datetime) -> None:
    sent = make_sent()

    link = QuoteLink.objects.get()

    assert len(sent.token) == 43  # 256 bits in base64url
    assert link.token_hash == hash_of(sent.token) == hashlib.sha256(sent.token.encode()).hexdigest()
    assert sent.token not in str(QuoteLink.objects.values())
    assert open_link(new_token(), at) is None
    assert open_link("x", at) is None


def test_the_mail_goes_out_once_when_the_pdf_is_kept(at: datetime) -> None:
    sent = make_sent(pdf=False)
    QuoteLink.objects.all().delete()
    assert services.deliver_quote(revision_id=sent.revision.pk, at=at) is None
    pdf = make_sent().revision.pdf_uid
    QuoteLink.objects.all().delete()
    Revision.objects.filter(pk=sent.revision.pk).update(pdf_uid=pdf)

    tasks.sweep()
    assert services.deliver_quote(revision_id=sent.revision.pk, at=at) is None

    message = Message.objects.get(occasion=f"quote:{sent.revision.pk}")
    assert (message.to, message.audience) == ("home@customer.example", "customer")
    assert message.attachments == [str(pdf)]
    token = message.body.split("/q/")[1].split("/")[0]
    assert open_link(token, at) is not None


def test_a_new_link_withdraws_the_old(at: datetime, owner: Any) -> None:
    sent = make_sent()

    services.send_link_again(revision_id=sent.revision.pk, by=owner, at=at)

    old = open_link(sent.token, at)
    assert old is not None
    assert old.shut == "withdrawn"
    token = Message.objects.get().body.split("/q/")[1].split("/")[0]
    new = open_link(token, at)
    assert new is not None
    assert new.shut == ""


def test_the_copy_asks_for_the_deposit_by_its_number(at: datetime) -> None:
    sent = make_sent(option=True)

    accept(sent, at, options=[sent.option])

    asked = PaymentRequest.objects.get()
    body = Message.objects.get(occasion=f"accepted:{sent.revision.pk}:customer").body
    assert f"We ask for £{asked.amount:,.2f} by " in body
    assert f"{asked.words}. Name {asked.reference} when you pay." in body
    assert "no VAT invoice" in body


def test_a_later_revision_says_that_it_takes_the_place_of_the_one_before() -> None:
    first = sheet_of(make_sent().revision)
    second = replace(first, number=2)

    assert subject_of(first) == f"Quote {first.reference}: {first.title}"
    assert subject_of(second) == f"Quote {first.reference}, revision 2: {first.title}"
    assert letter(first, "https://x").startswith(f"Dear {first.customer},\n\nHere is our quote")
    assert "takes the place" not in letter(first, "https://x")
    assert "It takes the place of the one that we sent before." in letter(second, "https://x")
