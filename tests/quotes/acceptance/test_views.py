"""The customer's page: no log-in, no JavaScript, kept by no cache, and a sentence for every end."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from pypdf import PdfReader

from jobs.billing.models import PaymentRequest
from jobs.billing.rules import Stage
from jobs.kernel.clock import london_day, now
from jobs.work.models import Job
from quotes.acceptance.models import Acceptance, QuoteLink
from quotes.acceptance.rules import MOST_A_MINUTE, new_token
from quotes.documents.documents import draw
from quotes.quoting.models import Line, Revision
from quotes.quoting.queries import sheet_of
from tests.quotes.acceptance.world import PDF, SentWorld, accept, make_sent

pytestmark = pytest.mark.django_db
ANSWER = {"name": "A. Householder", "terms": "on"}


@pytest.fixture(autouse=True)
def fresh_cache() -> None:
    cache.clear()


@pytest.fixture
def sent() -> SentWorld:
    # Not the usual quarter, which is the usual margin: its figures would be those of the cost.
    stages = [Stage("Deposit", percent=Decimal(20), deposit=True), Stage("The rest")]
    return make_sent(option=True, at=now(), stages=stages)


def test_page_shows_the_price_with_vat_first_and_no_cost(sent: SentWorld) -> None:
    response = Client().get(f"/q/{sent.token}/")

    text = response.content.decode()
    revision = sent.revision
    assert text.index(f"£{revision.gross:,.2f}") < text.index(f"£{revision.vat:,.2f}")
    for line in Line.objects.filter(revision=revision):
        assert f"{line.direct:,.2f}" not in text
    for figure in (revision.direct, revision.overhead, revision.floor):
        assert f"{figure:,.2f}" not in text
    assert f"{revision.direct:.2f}" not in text
    assert QuoteLink.objects.get().first_opened_at is not None


def test_page_is_private_and_strict(sent: SentWorld) -> None:
    response = Client().get(f"/q/{sent.token}/")

    assert response["Cache-Control"] == "no-store"
    assert "noindex" in response["X-Robots-Tag"]
    policy = response["Content-Security-Policy"]
    assert "default-src 'self'" in policy
    assert "unsafe" not in policy
    text = response.content.decode()
    assert not re.search(r"<script(?![^>]*\bsrc=)", text)
    assert not re.search(r"\bon\w+=|style=", text)


def test_accepting_without_javascript(sent: SentWorld) -> None:
    client = Client(headers={"User-Agent": "A telephone"})

    response = client.post(f"/q/{sent.token}/", ANSWER | {"options": [str(sent.option)]})
    again = client.post(f"/q/{sent.token}/", ANSWER)

    acceptance = Acceptance.objects.get()
    assert (response.status_code, again.status_code) == (302, 302)
    assert acceptance.options == [sent.option]
    assert (acceptance.user_agent, acceptance.network_address) == ("A telephone", "127.0.0.1")
    page = client.get(response["Location"]).content.decode()
    assert "This quote is accepted" in page
    lines = page[page.index("<tbody>") : page.index("</table>")]
    assert "<small>option taken</small>" in lines
    # What the lines come to is what was agreed, the option with them.
    figures = [Decimal(x.replace(",", "")) for x in re.findall(r"£([\d,]+\.\d\d)", lines)]
    assert sum(figures[:-1]) == figures[-1] == acceptance.pounds
    head = page[: page.index("<tbody>")]
    assert head.count(f"£{acceptance.pounds:,.2f}") == 2
    assert f"£{PaymentRequest.objects.get().amount:,.2f}" in head
    assert "Accept the quote" not in page


def test_the_jobs_page_says_what_was_agreed_with_the_options(
    sent: SentWorld, office: Any, client_for: Callable[[Any], Client]
) -> None:
    Client().post(f"/q/{sent.token}/", ANSWER | {"options": [str(sent.option)]})

    page = client_for(office).get(f"/jobs/{sent.world.job.pk}/").content.decode()

    quote = page[page.index("open the quote") :]
    quote = quote[: quote.index("</dl>")]
    assert f"£{Acceptance.objects.get().pounds:,.2f}" in quote
    assert f"£{sent.revision.gross:,.2f}" not in quote
    assert Line.objects.get(pk=sent.option).words in quote
    assert "holds until" not in quote


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_of_quotes_shows_what_was_accepted_with_the_options(
    count: int, owner: Any, client_for: Callable[[Any], Client], django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        one = make_sent(option=True, at=now())
        accept(one, now(), options=[one.option])
    option, revision, client = Line.objects.get(pk=one.option), one.revision, client_for(owner)
    # An option that nobody took is no part of it.
    other = make_sent(option=True, at=now())
    Job.objects.filter(pk=other.world.job.pk).update(title="Other drive")

    # session, user, two for permissions, count, rows, three totals
    with django_assert_num_queries(9):
        page = client.get("/quotes/").content.decode()
    rows = list(csv.DictReader(io.StringIO(client.get("/quotes/?export=csv").content.decode())))

    asked = next(row for row in rows if row["Job"] == "Other drive")
    mine = next(row for row in rows if row["Quote"] == str(revision.quote))
    assert Decimal(mine["Before VAT"]) == revision.net + option.net
    assert Decimal(mine["With VAT"]) == Acceptance.objects.latest("pk").pounds > revision.gross
    assert Decimal(mine["Direct cost"]) == revision.direct + option.direct
    # Option and quote are priced at one margin on cost and overhead.
    assert abs(Decimal(mine["Margin, %"]) - Decimal(asked["Margin, %"])) < Decimal("0.1")
    assert Decimal(asked["Before VAT"]) == other.revision.net
    total = sum(Decimal(row["With VAT"]) for row in rows)
    signed = sum(each.pounds for each in Acceptance.objects.all())
    assert total == signed + other.revision.gross
    assert f"£{total:,.2f}" in page


def test_forged_posts_are_refused(sent: SentWorld) -> None:
    client = Client(enforce_csrf_checks=True)

    assert client.post(f"/q/{sent.token}/", ANSWER).status_code == 403
    assert not Acceptance.objects.exists()


def test_missing_consent_keeps_what_was_typed(sent: SentWorld) -> None:
    response = Client().post(f"/q/{sent.token}/", {"name": "A. Householder"})

    text = response.content.decode()
    assert response.status_code == 422
    assert "Without this it cannot be accepted." in text
    assert 'value="A. Householder"' in text
    assert not Acceptance.objects.exists()


def test_pdf_behind_the_link(sent: SentWorld) -> None:
    response = Client().get(f"/q/{sent.token}/pdf/")

    assert response.content == PDF
    assert response["Cache-Control"] == "no-store"


def test_declining_asks_why(sent: SentWorld) -> None:
    client = Client()

    empty = client.post(f"/q/{sent.token}/decline/", {"reason": ""})
    done = client.post(f"/q/{sent.token}/decline/", {"reason": "We chose paving"})

    assert (empty.status_code, done.status_code) == (422, 200)
    assert Revision.objects.get(pk=sent.revision.pk).state == "declined"
    after = client.get(f"/q/{sent.token}/")
    assert (after.status_code, "was declined" in after.content.decode()) == (410, True)


@pytest.mark.parametrize("path", ["", "decline/", "pdf/"])
@pytest.mark.parametrize("method", ["get", "post"])
def test_an_expired_link_is_a_sentence(sent: SentWorld, path: str, method: str) -> None:
    QuoteLink.objects.update(expires_at=now() - timedelta(seconds=1))

    response = getattr(Client(), method)(f"/q/{sent.token}/{path}", ANSWER | {"reason": "x"})

    assert response.status_code == 410
    assert "no longer holds" in response.content.decode()
    assert Revision.objects.get(pk=sent.revision.pk).state == "sent"


def test_an_unknown_link_is_a_sentence() -> None:
    for token in (new_token(), "nonsense"):
        response = Client().get(f"/q/{token}/")

        assert response.status_code == 404
        assert "This link is not one of ours" in response.content.decode()


def test_one_network_address_cannot_ask_for_ever(sent: SentWorld) -> None:
    client = Client(REMOTE_ADDR="203.0.113.9")
    # A minute may turn while the test runs: two minutes' allowance is certainly used up.
    statuses = [client.get(f"/q/{new_token()}/").status_code for _ in range(2 * MOST_A_MINUTE + 1)]

    assert 429 in statuses
    other = Client(REMOTE_ADDR="203.0.113.10").get(f"/q/{sent.token}/")
    assert other.status_code == 200


def test_office_records_an_order_on_paper(
    sent: SentWorld, office: Any, client_for: Callable[[Any], Client]
) -> None:
    client, url = client_for(office), f"/q/paper/{sent.revision.pk}/"
    foreign = SimpleUploadedFile("order.pdf", b"MZ not a paper")
    paper = SimpleUploadedFile("order.pdf", b"%PDF-1.7 order 4711")

    today, day = london_day(now()), timedelta(days=1)
    form = ANSWER | {"signed_on": f"{today:%Y-%m-%d}"}
    assert f'value="{today:%Y-%m-%d}"' in client.get(url).content.decode()

    refused = client.post(url, form | {"file": foreign})
    for wrong, words in ((today + day, "still to come"), (today - day, "It was sent on")):
        data = form | {"file": paper, "signed_on": f"{wrong:%Y-%m-%d}"}
        impossible = client.post(url, data)
        assert (impossible.status_code, words in impossible.content.decode()) == (422, True)
        paper.seek(0)
    done = client.post(url, form | {"file": paper, "order_number": "4711"})

    assert refused.status_code == 422
    assert "neither a photo" in refused.content.decode()
    assert (done.status_code, done["Location"]) == (302, f"/quotes/{sent.revision.pk}/")
    page = client.get(f"/quotes/{sent.revision.pk}/").content.decode()
    assert "on paper" in page
    assert "A. Householder" in page


def test_the_pdf_has_the_pages_figures(sent: SentWorld) -> None:
    """Each line's and each sum's figure of the customer's page, read back from the PDF's text."""
    page = Client().get(f"/q/{sent.token}/").content.decode()
    table = page[page.index("<tbody>") : page.index("</tfoot>")]
    shown = re.findall(r"£[\d,]+\.\d\d", table)
    assert len(shown) > 2

    data = draw(sheet_of(Revision.objects.get(pk=sent.revision.pk))).data
    text = " ".join(p.extract_text() for p in PdfReader(io.BytesIO(data)).pages)

    price = text[text.index("£ with VAT") : text.index("Not in the price above")]
    assert re.findall(r"£[\d,]+\.\d\d", price)[: len(shown)] == shown
    for figure in (sent.revision.net, sent.revision.vat, sent.revision.gross):
        assert f"£{figure:,.2f}" in price
