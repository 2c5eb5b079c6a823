"""A quote of small jobs alone, without a survey: from the job's page to the job's budget."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from jobs.billing.models import PlanShare
from jobs.costing.models import CostEntry
from jobs.kernel.clock import now
from jobs.work.models import Job
from quotes.acceptance.services import make_link
from quotes.documents.documents import draw, html_of
from quotes.quoting.models import Revision
from quotes.quoting.queries import sheet_of
from stock.allocation.models import Requirement
from tests.factories import make_job
from tests.quotes.world import make_quote_world, make_rates, make_small_job, make_work_item

pytestmark = pytest.mark.django_db
D = Decimal
# What is said of surfacing, and of nothing else.
SURFACING = (
    "frost-free",
    "areas and depths",
    "clear of feet",
    "Stone is",
    "Resin-bound",
    "Depth",
    "m²",
)


@pytest.fixture
def job() -> Job:
    make_rates(valid_from=date(2026, 1, 1))
    return make_job()


@pytest.fixture
def client(owner: Any, client_for: Callable[[Any], Client]) -> Client:
    cache.clear()
    return client_for(owner)


def start(client: Client, job: Job) -> Revision:
    """Start it as the job's page leads to it."""
    page = client.get(f"/jobs/{job.pk}/").content.decode()
    assert "Quote small jobs alone" in page
    url = f"/quotes/start/{job.pk}/"
    assert url in page
    asked = client.get(url).content.decode()
    assert "Nothing is measured on this job" in asked
    done = client.post(url, {})
    assert done.status_code == 302
    return Revision.objects.get(quote__job=job)


def test_an_empty_quote_says_what_it_wants(client: Client, job: Job) -> None:
    revision = start(client, job)
    base = f"/quotes/{revision.pk}/"
    page = client.get(base).content.decode()
    assert "Nothing is priced yet" in page
    assert f'href="{base}lines/add/"' in page
    assert "price a m²" not in page
    assert "take-off/" not in page.split("<main", 1)[1]
    assert "£0.00" in html_of(sheet_of(revision))

    # an enquiry with a draft has the draft as its next step, not the site's measuring alone
    assert "finish the quote" in client.get(f"/jobs/{job.pk}/").content.decode().lower()

    refused = client.post(f"{base}send/", {"to": "home@customer.example"})

    assert refused.status_code == 422
    assert "Nothing is priced yet: add a line or a small job" in refused.content.decode()
    assert Revision.objects.get(pk=revision.pk).is_draft


def sheet_text(revision: Revision) -> list[str]:
    pages = PdfReader(io.BytesIO(draw(sheet_of(revision)).data)).pages
    return [re.sub(r"\s+", " ", page.extract_text()) for page in pages]


def test_small_jobs_alone_from_the_job_to_its_budget(client: Client, job: Job) -> None:
    # long because: one walk through every page of the quote
    skip = make_work_item("SKIP", "each", "none", {"plant": "240"}, name="Skip for a week")
    lifting = make_work_item("LIFT2", "m2", "area", {"labour_hours": "0.25"}, name="Lift and cart")
    small = make_small_job()
    revision = start(client, job)
    base = f"/quotes/{revision.pk}/"
    assert client.post(f"{base}small-job/", {"entry": small.pk}).status_code == 302

    def add(url: str, **data: Any) -> int:
        version = Revision.objects.get(pk=revision.pk).version
        return client.post(f"{base}lines/add/{url}", {"version": version} | data).status_code

    line = {"kind": "work", "unit": "each"}
    assert add("", **line, work_item=skip.pk, quantity="1") == 302
    assert add("", **line, work_item=lifting.pk, quantity="4.5") == 302
    # nothing is measured, so that the quantity must be typed
    assert add("", **line, work_item=lifting.pk) == 422
    assert add("daywork/", hours="3") == 302
    assert add("travel/", trips="1", miles="12", people="2") == 302
    assert client.post(f"{base}reprice/").status_code == 302

    fresh = Revision.objects.get(pk=revision.pk)
    # by hand: an hour at 30 and 12 of material; 240; 4.5 m² × 0.25 h × 30; 3 h × 30; the way
    costs = {line.words.split(" ")[0]: line.direct for line in fresh.lines.exclude(kind="travel")}
    assert sorted(costs.values()) == [D("33.75"), D("42.00"), D("90.00"), D("240.00")]
    assert fresh.direct == sum(line.direct for line in fresh.lines.all())
    for url in ("", "terms/", "stages/", "words/", "workings/", "lines/file/?export=csv", "send/"):
        assert client.get(base + url).status_code == 200, url
    html, text = html_of(sheet_of(fresh)), " ".join(sheet_text(fresh))
    assert "<svg" not in html
    # lifting is counted in m²; nothing else of the paper is about a surface
    said = text.replace("4.5 m²", "")
    assert [words for words in SURFACING if words in said] == []
    assert "Surface" not in said
    assert small.name in text
    assert f"£{fresh.gross:,.2f}" in text

    assert client.post(f"{base}send/", {"to": "home@customer.example"}).status_code == 302
    assert client.get(base).status_code == 200
    _, token = make_link(revision_id=revision.pk, by=None, at=now())
    his = Client().get(f"/q/{token}/").content.decode()
    assert f"£{fresh.gross:,.2f}" in his
    assert [words for words in SURFACING[:-1] if words in his] == []
    answer = {"name": "A. Householder", "terms": "on"}
    assert Client().post(f"/q/{token}/", answer).status_code == 302

    job.refresh_from_db()
    assert job.stage == "won"
    budget = CostEntry.objects.filter(job=job, kind="budget")
    assert sum(entry.amount for entry in budget) == fresh.direct
    assert not Requirement.objects.filter(job=job).exists()
    shares = PlanShare.objects.filter(stage__plan__job=job)
    assert sum(share.net + share.vat for share in shares) == fresh.gross
    # a change of it is a variation like any other
    change = client.post(reverse("variations:start", args=[job.pk]), {"title": "One more cover"})
    assert change.status_code == 302
    assert client.get(change["Location"]).status_code == 200
    for url in (f"/jobs/{job.pk}/", "/quotes/", "/quotes/?export=csv", reverse("results:list")):
        assert client.get(url).status_code == 200, url


def test_a_revision_of_small_jobs_is_held_beside_its_forerunner(client: Client, job: Job) -> None:
    revision = start(client, job)
    base = f"/quotes/{revision.pk}/"
    client.post(f"{base}small-job/", {"entry": make_small_job().pk})
    client.post(f"{base}send/", {"to": "home@customer.example"})
    assert client.post(f"{base}revise/").status_code == 302
    page = client.get(f"/documents/compare/{revision.quote_id}/")
    assert page.status_code == 200
    assert "They say the same" in page.content.decode()


def test_a_surveyed_job_may_have_small_jobs_alone(client: Client) -> None:
    job = make_quote_world().job
    page = client.get(f"/quotes/start/{job.pk}/").content.decode()
    assert "none: small jobs alone" in page
    assert client.post(f"/quotes/start/{job.pk}/", {"survey": ""}).status_code == 302
    revision = Revision.objects.get(quote__job=job)
    assert (revision.survey, revision.lines.count()) == (None, 0)
