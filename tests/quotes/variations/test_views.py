"""Pages of variations: the office's, and the customer's without log-in and without JavaScript."""

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
from django.test import Client
from pypdf import PdfReader

from jobs.kernel.clock import london_day, now
from quotes.acceptance.rules import MOST_A_MINUTE, new_token
from quotes.variations import queries, services
from quotes.variations.documents import draw
from quotes.variations.models import Variation, VariationAnswer, VariationLink
from tests.quotes.variations.world import PDF, AgreedWorld, make_agreed, make_out

pytestmark = pytest.mark.django_db
ANSWER = {"name": "A. Householder", "terms": "on"}
Log = Callable[[Any], Client]


@pytest.fixture(autouse=True)
def fresh_cache() -> None:
    cache.clear()


def test_the_office_writes_the_owner_sends(owner: Any, office: Any, client_for: Log) -> None:
    agreed = make_agreed(at=now())
    client = client_for(office)
    job_page = client.get(f"/jobs/{agreed.world.job.pk}/").content.decode()
    assert f"/variations/start/{agreed.world.job.pk}/" in job_page

    started = client.post(f"/variations/start/{agreed.world.job.pk}/", {"title": "A rail"})
    variation = Variation.objects.get()
    assert started["Location"] == f"/variations/{variation.pk}/"
    line = {"kind": "less", "line": agreed.edging.pk, "quantity": "2", "unit": "m"}
    added = client.post(f"/variations/{variation.pk}/lines/add/", line)
    assert added.status_code == 302
    page = client.get(f"/variations/{variation.pk}/").content.decode()
    variation.refresh_from_db()
    assert f"−£{-variation.gross:,.2f}" in page
    # Cost is not told to the office.
    assert f"{abs(variation.direct):,.2f}" not in page
    assert (
        client.post(f"/variations/{variation.pk}/send/", {"to": "a@b.example"}).status_code == 403
    )
    client_for(owner).post(f"/variations/{variation.pk}/send/", {"to": "home@customer.example"})
    variation.refresh_from_db()
    assert (variation.state, variation.label) == ("sent", "V1")


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        ({"kind": "less", "quantity": "1", "unit": "m"}, "Choose the line of the quote."),
        ({"kind": "work", "quantity": "1", "unit": "m"}, "Choose the work from the list."),
        ({"kind": "free", "quantity": "1", "unit": "m", "fixed": "5"}, "Say what the line is for."),
        ({"kind": "free", "quantity": "-1", "unit": "m", "words": "x"}, "or more."),
        ({"kind": "more", "line": "99999", "quantity": "1", "unit": "m"}, "Select a valid choice"),
    ],
)
def test_a_line_that_lacks_something_keeps_what_was_typed(
    data: dict[str, str], sentence: str, office: Any, client_for: Log
) -> None:
    draft = make_agreed(at=now()).start(at=now())

    response = client_for(office).post(f"/variations/{draft.pk}/lines/add/", data)

    assert response.status_code == 422
    text = response.content.decode()
    assert sentence in text or "Choose" in text or "0.001" in text
    assert f'value="{data["quantity"]}"' in text


def test_the_customers_page_shows_the_change_and_no_cost() -> None:
    variation, token = make_out(at=now())

    response = Client().get(f"/variations/answer/{token}/")

    text = response.content.decode()
    assert response["Cache-Control"] == "no-store"
    assert "noindex" in response["X-Robots-Tag"]
    assert "+£120.00" in text
    before = variation.revision.gross
    assert f"£{before:,.2f}" in text
    assert f"£{before + 120:,.2f}" in text
    assert "60.00" not in text
    assert not re.search(r"<script(?![^>]*\bsrc=)", text)
    assert not re.search(r"\bon\w+=|style=", text)
    assert VariationLink.objects.get().first_opened_at is not None


def test_accepting_without_javascript() -> None:
    _, token = make_out(at=now())
    client = Client(headers={"User-Agent": "A telephone"})

    lacking = client.post(f"/variations/answer/{token}/", {"name": "A. Householder"})
    done = client.post(f"/variations/answer/{token}/", ANSWER)
    again = client.post(f"/variations/answer/{token}/", ANSWER)

    assert (lacking.status_code, done.status_code, again.status_code) == (422, 302, 302)
    assert 'value="A. Householder"' in lacking.content.decode()
    answer = VariationAnswer.objects.get()
    assert (answer.user_agent, answer.network_address) == ("A telephone", "127.0.0.1")
    page = client.get(done["Location"]).content.decode()
    assert "This variation is accepted" in page
    assert "Accept the variation" not in page


def test_forged_posts_are_refused() -> None:
    _, token = make_out(at=now())

    response = Client(enforce_csrf_checks=True).post(f"/variations/answer/{token}/", ANSWER)

    assert response.status_code == 403
    assert not VariationAnswer.objects.exists()


def test_declining_asks_why_and_the_link_says_so() -> None:
    variation, token = make_out(at=now())
    client = Client()

    empty = client.post(f"/variations/answer/{token}/decline/", {"reason": ""})
    done = client.post(f"/variations/answer/{token}/decline/", {"reason": "Not needed"})

    assert (empty.status_code, done.status_code) == (422, 200)
    assert Variation.objects.get(pk=variation.pk).state == "declined"
    after = client.get(f"/variations/answer/{token}/")
    assert (after.status_code, "was declined" in after.content.decode()) == (410, True)


def test_pdf_behind_the_link_is_what_was_sent() -> None:
    _, token = make_out(at=now())

    assert Client().get(f"/variations/answer/{token}/pdf/").content == PDF


def test_one_network_address_cannot_ask_for_ever() -> None:
    client = Client(REMOTE_ADDR="203.0.113.9")
    statuses = [
        client.get(f"/variations/answer/{new_token()}/").status_code
        for _ in range(2 * MOST_A_MINUTE + 1)
    ]

    assert 429 in statuses


def drawn(agreed: AgreedWorld) -> tuple[Variation, str]:
    draft = agreed.start(at=now(), title="Shorter edge", words="As agreed on site.")
    for kind, fields in (
        ("less", {"line_id": agreed.edging.pk, "quantity": Decimal("3.5")}),
        ("free", {"words": "Rail", "quantity": Decimal(1), "fixed": Decimal("250.00")}),
    ):
        services.add_line(variation_id=draft.pk, kind=kind, by=None, at=now(), **fields)  # type: ignore[arg-type]
    variation = services.send_variation(
        variation_id=draft.pk, to="home@customer.example", by=None, at=now()
    )
    data = draw(queries.sheet_of(variation, now())).data
    pages = [page.extract_text() for page in PdfReader(io.BytesIO(data)).pages]
    return variation, re.sub(r"\s+", " ", " ".join(pages))


def test_pdf_adds_up_from_its_own_text() -> None:
    variation, text = drawn(make_agreed(at=now()))

    table = text[text.index("£ with VAT") : text.index("Change with VAT")]
    figures = [
        Decimal(f"{sign.replace('−', '-')}{amount.replace(',', '')}")
        for sign, amount in re.findall(r"([+−])£([\d,]+\.\d\d)", table)
    ]
    assert len(figures) == 2
    assert sum(figures) == variation.gross
    assert "page 1 of 2" in text
    assert "As agreed on site." in text
    assert "Your right to cancel this change" in text
    assert "no legal advice" in text


def test_a_business_reads_no_consumers_notice() -> None:
    customer = {"kind": "builder", "name": "B. Builders"}
    _, text = drawn(make_agreed(at=now(), customer=customer))

    assert "right to cancel" not in text
    assert "Change before VAT" in text


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_is_as_many_queries_for_three_as_for_one(
    count: int, office: Any, client_for: Log, django_assert_num_queries: Any
) -> None:
    agreed = make_agreed(at=now())
    for _ in range(count):
        agreed.start(at=now(), title="A rail")
    client = client_for(office)

    # session, user, two for permissions, count, rows, two totals
    with django_assert_num_queries(8):
        text = client.get("/variations/").content.decode()

    assert text.count("A rail") == count


def test_the_list_is_searched_filtered_and_taken_away(
    owner: Any, office: Any, client_for: Log
) -> None:
    agreed = make_agreed(at=now())
    agreed.start(at=now(), title="Only a draft")
    first, token = make_out(agreed, at=now(), days=1)
    over, _ = make_out(agreed, at=now())
    day_before = london_day(now()) - timedelta(days=1)
    Variation.objects.filter(pk=over.pk).update(valid_until=day_before, title="Too late")
    taken, key = make_out(agreed, at=now())
    Client().post(f"/variations/answer/{key}/", ANSWER)
    client = client_for(office)

    def found(query: str) -> set[str]:
        text = client.get(f"/variations/?export=csv&{query}").content.decode("utf-8-sig")
        rows = list(csv.DictReader(io.StringIO(text)))
        return {f"{row['Variation']} {row['State']}" for row in rows}

    quote = agreed.revision.quote.reference
    assert found("state=open") == {f"{quote} V1 sent"}
    assert found("state=over") == {f"{quote} V2 sent"}
    assert found("state=accepted") == {f"{quote} V3 accepted"}
    assert found("state=draft") == {f"{quote} variation in draft draft"}
    assert found("state=withdrawn") == set()
    assert found("days=yes") == {f"{quote} V1 sent"}
    assert found("q=too+late") == {f"{quote} V2 sent"}
    assert len(found(f"q={agreed.world.job.reference}")) == 4
    text = client.get("/variations/?export=csv").content.decode("utf-8-sig")
    total = sum(Decimal(row["Before VAT"]) for row in csv.DictReader(io.StringIO(text)))
    assert f"£{total:,.2f}" in client.get("/variations/").content.decode()
    assert "/variations/" in client.get("/quotes/").content.decode()
    assert (first.days_added, taken.gross) == (1, Decimal("120.00"))
    assert token
