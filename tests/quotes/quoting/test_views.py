"""Pages of quotes: costs are told to those who may see them, on the server, and to nobody else.

Long because: every page of the room is asked for by who may and by who may not.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from openpyxl import load_workbook

from jobs.kernel.templatetags.firm import day_year
from quotes.quoting.models import Line, Revision
from quotes.quoting.services import add_line, change_terms, revise
from tests.factories import AT
from tests.quotes.world import QuoteWorld, make_quote_world

pytestmark = pytest.mark.django_db


@pytest.fixture
def world() -> QuoteWorld:
    return make_quote_world()


def costs_of(revision: Revision) -> list[str]:
    """Return every figure of cost that must not reach those who may not see it."""
    fresh = Revision.objects.get(pk=revision.pk)
    lines = list(fresh.lines.all())
    figures = [fresh.direct, fresh.overhead, fresh.floor, fresh.net - fresh.floor]
    for line in lines:
        figures += [line.direct, line.labour, line.materials, line.plant]
    return [f"{figure:,.2f}" for figure in figures if figure > 5]


def pages_of(revision: Revision) -> list[str]:
    line = revision.lines.first()
    assert line is not None
    base = f"/quotes/{revision.pk}/"
    return [
        base, f"{base}terms/", f"{base}words/", f"{base}lines/add/", f"{base}lines/{line.pk}/",
        "/quotes/", "/quotes/?export=csv", f"/take-off/{revision.survey_id}/",
        f"/jobs/{revision.quote.job_id}/",
    ]  # fmt: skip


@pytest.mark.parametrize("role", ["office", "storeman", "crew"])
def test_cost_and_margin_reach_nobody_without_the_right(
    role: str, world: QuoteWorld, request: Any, client_for: Callable[[Any], Client]
) -> None:
    revision = world.start()
    # The usual deposit of a quarter is the usual margin of a quarter: the same figure.
    values = {"deposit_percent": Decimal(10)}
    change_terms(revision_id=revision.pk, values=values, by=None, at=AT)
    client = client_for(request.getfixturevalue(role))
    hidden = costs_of(revision)
    assert len(hidden) > 8

    for url in pages_of(revision):
        response = client.get(url)
        text = response.content.decode()
        assert response.status_code in {200, 403}, url
        assert [figure for figure in hidden if figure in text] == [], url
        assert "argin" not in text.replace("margin list", ""), url
        assert "Direct cost" not in text, url


def test_office_reads_the_price_and_owner_the_cost(
    world: QuoteWorld, office: Any, owner: Any, client_for: Callable[[Any], Client]
) -> None:
    revision = world.start()
    url = f"/quotes/{revision.pk}/"

    office_text = client_for(office).get(url).content.decode()
    owner_text = client_for(owner).get(url).content.decode()

    assert f"£{revision.gross:,.2f}" in office_text
    for figure in (revision.gross, revision.direct, revision.overhead, revision.floor):
        assert f"£{figure:,.2f}" in owner_text


def test_htmx_gets_only_the_sums_and_the_new_version(
    world: QuoteWorld, owner: Any, client_for: Callable[[Any], Client]
) -> None:
    revision = world.start()
    data = {
        "version": revision.version, "overhead_percent": "0", "margin_percent": "0",
        "deposit_percent": "25", "valid_until": "2026-06-13", "vat_code": "standard",
        "vat_percent": "20", "vat_reason": "", "crew_size": "2",
    }  # fmt: skip

    response = client_for(owner).post(
        f"/quotes/{revision.pk}/terms/", data, headers={"HX-Request": "true"}
    )

    text = response.content.decode()
    fresh = Revision.objects.get(pk=revision.pk)
    assert (response.status_code, fresh.net) == (200, fresh.direct)
    assert text.lstrip().startswith('<div id="sums">')
    assert response["HX-Retarget"] == "#sums"
    assert f"£{fresh.gross:,.2f}" in text
    assert f'name="version" value="{fresh.version}"' in text
    assert "hx-swap-oob" in text
    assert "<form" not in text


def test_htmx_draws_the_form_anew_once_it_showed_what_was_wrong(
    world: QuoteWorld, owner: Any, client_for: Callable[[Any], Client]
) -> None:
    revision, client = world.start(), client_for(owner)
    url, headers = f"/quotes/{revision.pk}/terms/", {"HX-Request": "true"}
    data = {
        "version": revision.version, "overhead_percent": "0", "margin_percent": "lots",
        "deposit_percent": "25", "valid_until": "2026-06-13", "vat_code": "standard",
        "vat_percent": "20", "vat_reason": "", "crew_size": "2",
    }  # fmt: skip

    refused = client.post(url, data, headers=headers)
    mended = client.post(url, data | {"margin_percent": "9", "redraw": "1"}, headers=headers)

    assert 'name="redraw" value="1"' in refused.content.decode()
    text = mended.content.decode()
    assert text.lstrip().startswith('<div id="money">')
    assert "<form" in text
    assert 'name="redraw"' not in text
    assert "HX-Retarget" not in mended


def test_without_javascript_the_terms_lead_back_to_the_quote(
    world: QuoteWorld, office: Any, client_for: Callable[[Any], Client]
) -> None:
    revision = world.start()
    data = {
        "version": revision.version, "discount_percent": "3", "valid_until": "2026-06-13",
        "vat_code": "standard", "vat_percent": "20", "margin_percent": "1", "crew_size": "2",
    }  # fmt: skip

    response = client_for(office).post(f"/quotes/{revision.pk}/terms/", data)

    fresh = Revision.objects.get(pk=revision.pk)
    assert (response.status_code, response["Location"]) == (302, f"/quotes/{revision.pk}/")
    assert [fresh.discount_percent, fresh.margin_percent] == [
        Decimal(3),
        Decimal(25),
    ]  # office sets no margin


def test_bad_terms_keep_what_was_typed(
    world: QuoteWorld, owner: Any, client_for: Callable[[Any], Client]
) -> None:
    revision = world.start()
    data = {
        "version": revision.version, "overhead_percent": "12", "margin_percent": "lots",
        "deposit_percent": "25", "valid_until": "2026-06-13", "vat_code": "reduced",
        "vat_percent": "5",
    }  # fmt: skip
    for headers in ({}, {"HX-Request": "true"}):
        response = client_for(owner).post(f"/quotes/{revision.pk}/terms/", data, headers=headers)

        assert response.status_code == 422
        assert 'value="lots"' in response.content.decode()
    assert Revision.objects.get(pk=revision.pk).version == revision.version


@pytest.mark.parametrize(
    ("code", "typed", "sentence", "rate"),
    [
        ("reduced", "20.00", "Attach it first, then choose the rate.", "5"),
        ("reduced", "19.00", "There is no VAT rate of 19 %; use 20, 5 or 0.", "19"),
        ("zero", "20.00", "Attach it first, then choose the rate.", "0"),
    ],
)
def test_another_choice_of_vat_brings_its_rate_unless_one_is_typed(
    world: QuoteWorld, owner: Any, client_for: Callable[[Any], Client],
    code: str, typed: str, sentence: str, rate: str,
) -> None:  # fmt: skip
    revision = world.start()
    data = {
        "version": revision.version, "overhead_percent": "12", "margin_percent": "20",
        "valid_until": "2026-06-13", "vat_code": code, "vat_percent": typed,
        "vat_reason": "empty two years", "crew_size": "2",
    }  # fmt: skip
    response = client_for(owner).post(f"/quotes/{revision.pk}/terms/", data)

    assert response.status_code == 422
    assert sentence in response.content.decode()
    assert response.context["form"].cleaned_data["vat_percent"] == Decimal(rate)


@pytest.mark.parametrize("count", [1, 3])
def test_list_costs_the_same_for_one_and_three(
    count: int, owner: Any, client_for: Callable[[Any], Client], django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        make_quote_world().start()
    client = client_for(owner)

    # session, user, two for permissions, count, rows, three totals
    with django_assert_num_queries(9):
        response = client.get("/quotes/")

    assert response.content.decode().count("quote in draft") == count


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_the_lines_of_a_file_add_up_to_the_quote(
    kind: str, world: QuoteWorld, owner: Any, office: Any, client_for: Callable[[Any], Client]
) -> None:
    revision = world.start()
    common = {"revision_id": revision.pk, "by": owner, "at": AT}
    add_line(kind="option", words="=Step edge", fixed=Decimal(120), **common)
    add_line(kind="provisional", words="Soft ground", fixed=Decimal(300), **common)
    change_terms(values={"discount_percent": Decimal("7.5")}, **common)
    fresh = Revision.objects.get(pk=revision.pk)

    rows = read(
        client_for(owner).get(f"/quotes/{revision.pk}/lines/file/?export={kind}").content, kind
    )
    hidden = read(
        client_for(office).get(f"/quotes/{revision.pk}/lines/file/?export={kind}").content, kind
    )

    head = list(rows[0])
    counted = [row for row in rows[1:] if row[head.index("Counted")] == "yes"]

    def total(name: str) -> Decimal:
        return sum((Decimal(str(row[head.index(name)])) for row in counted), Decimal(0))

    assert len(rows) == 1 + 5
    assert total("Before VAT").quantize(Decimal("0.01")) == fresh.net
    assert total("Direct cost").quantize(Decimal("0.01")) == fresh.direct
    parts = sum((total(name) for name in ("Labour", "Plant", "Materials", "Other")), Decimal(0))
    assert parts == total("Direct cost")
    assert "Direct cost" not in hidden[0]
    assert len(hidden[0]) == len(head) - 6


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_file_agrees_with_the_page_and_adds_up(
    kind: str, owner: Any, accountant: Any, office: Any, client_for: Callable[[Any], Client]
) -> None:
    revisions = [make_quote_world().start() for _ in range(2)]

    rows = read(client_for(accountant).get(f"/quotes/?export={kind}").content, kind)

    head, body = rows[0], rows[1:]
    total = sum(Decimal(str(row[head.index("With VAT")])) for row in body)
    assert total == sum(revision.gross for revision in revisions)
    net = sum(revision.net for revision in revisions)
    assert f"£{net:,.2f}" in client_for(owner).get("/quotes/").content.decode()
    plain = read(client_for(office).get(f"/quotes/?export={kind}").content, kind)
    assert [name for name in head if name not in plain[0]] == ["Direct cost", "Margin, %"]


def read(content: bytes, kind: str) -> list[list[Any]]:
    if kind == "csv":
        return list(csv.reader(io.StringIO(content.decode())))
    book: Any = load_workbook(io.BytesIO(content))
    return [list(row) for row in book.active.values]


def test_search_and_filter_find_a_quote(owner: Any, client_for: Callable[[Any], Client]) -> None:
    first, second = make_quote_world(), make_quote_world()
    first.start()
    second.send()
    client = client_for(owner)

    found = client.get("/quotes/", {"q": second.job.reference}).content.decode()
    drafts = client.get("/quotes/", {"state": "draft"}).content.decode()

    assert (second.job.title in found, first.job.title in found) == (True, False)
    assert (second.job.title in drafts, first.job.title in drafts) == (False, True)


def test_an_older_revision_names_the_newer(
    world: QuoteWorld, owner: Any, client_for: Callable[[Any], Client]
) -> None:
    first = world.send()
    second = revise(revision_id=first.pk, by=owner, at=AT)

    text = client_for(owner).get(f"/quotes/{first.pk}/").content.decode()

    assert "There is a newer revision of this quote" in text
    assert f'href="/quotes/{second.pk}/"' in text


def test_job_page_shows_the_quote_and_the_way_to_start_one(
    world: QuoteWorld, office: Any, client_for: Callable[[Any], Client]
) -> None:
    client = client_for(office)
    before = client.get(f"/jobs/{world.job.pk}/").content.decode()
    revision = world.start()
    after = client.get(f"/jobs/{world.job.pk}/").content.decode()

    assert f'href="/quotes/start/{world.job.pk}/"' in before
    assert f"£{revision.gross:,.2f}" in after


def test_office_starts_a_quote_without_typing_a_figure(
    office: Any, client_for: Callable[[Any], Client]
) -> None:
    world = make_quote_world(base_condition="replace")
    client = client_for(office)
    page = client.get(f"/quotes/start/{world.job.pk}/")
    form = page.context["form"]
    assert f"survey of {day_year(world.survey.visited_at)}" in page.content.decode()

    response = client.post(
        f"/quotes/start/{world.job.pk}/",
        {"survey": form.initial["survey"], "work_items": form.initial["work_items"]},
    )

    revision = Revision.objects.get(quote__job=world.job)
    assert (response.status_code, response["Location"]) == (302, f"/quotes/{revision.pk}/")
    assert {line.words for line in revision.lines.exclude(kind="surface")} == {
        world.edge_work.name, world.lifting.name,
    }  # fmt: skip


def test_a_line_of_ones_own_needs_words_and_price(
    world: QuoteWorld, office: Any, client_for: Callable[[Any], Client]
) -> None:
    revision = world.start()
    url = f"/quotes/{revision.pk}/lines/add/"
    data = {"version": revision.version, "kind": "free", "unit": "each"}

    no_words = client_for(office).post(url, data)
    no_price = client_for(office).post(url, data | {"words": "Skip"})
    done = client_for(office).post(url, data | {"words": "Skip", "fixed": "240"})

    assert "Say what the line is for." in no_words.content.decode()
    assert "Give the line a price." in no_price.content.decode()
    assert (no_words.status_code, no_price.status_code, done.status_code) == (422, 422, 302)
    assert Line.objects.get(words="Skip").net == 240


def test_what_a_line_of_ones_own_costs_us_is_hidden_and_kept(
    world: QuoteWorld, owner: Any, office: Any, client_for: Callable[[Any], Client]
) -> None:
    revision = world.start()
    line = add_line(
        revision_id=revision.pk, kind="free", words="Skip", cost_each=Decimal("213.70"),
        by=owner, at=AT,
    )  # fmt: skip
    url = f"/quotes/{revision.pk}/lines/{line.pk}/"
    client = client_for(office)
    version = Revision.objects.get(pk=revision.pk).version

    assert "213.7" in client_for(owner).get(url).content.decode()
    assert "213.7" not in client.get(url).content.decode()
    done = client.post(url, {"version": version, "words": "Skip, 6 yd", "quantity": "2"})

    fresh = Line.objects.get(pk=line.pk)
    assert done.status_code == 302
    assert (fresh.words, fresh.direct) == ("Skip, 6 yd", Decimal("427.40"))


# A first discount makes its line; all of it stays within fifteen.
@pytest.mark.parametrize(("discount", "queries"), [("", 14), ("5", 15)])
@pytest.mark.parametrize("lines", [1, 40])
def test_recomputing_over_htmx_takes_few_queries_whatever_its_length(
    lines: int, discount: str, queries: int, world: QuoteWorld, owner: Any,
    client_for: Callable[[Any], Client], django_assert_num_queries: Any,
) -> None:  # fmt: skip
    revision = world.start()
    Line.objects.bulk_create(
        Line(revision=revision, position=10 + n, kind="free", words="x", quantity=1, unit="each",
             other=Decimal(10), direct=Decimal(10))
        for n in range(lines)
    )  # fmt: skip
    version = Revision.objects.get(pk=revision.pk).version
    data = {
        "version": version, "overhead_percent": "12", "margin_percent": "31",
        "deposit_percent": "25", "valid_until": "2026-06-13", "vat_code": "standard",
        "vat_percent": "20", "crew_size": "2", "discount_percent": discount,
    }  # fmt: skip
    client = client_for(owner)

    with django_assert_num_queries(queries):
        response = client.post(
            f"/quotes/{revision.pk}/terms/", data, headers={"HX-Request": "true"}
        )

    assert response.status_code == 200
