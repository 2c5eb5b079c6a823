"""The numbers over the year: page and files agree, for a fixed number of queries."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from openpyxl import load_workbook

from jobs.work.services import lose_job
from quotes.acceptance import services
from quotes.quoting.models import Line, Revision
from quotes.quoting.services import revise, send_revision
from tests.factories import AT
from tests.quotes.acceptance.world import YES, make_sent
from tests.quotes.results import roles

pytestmark = pytest.mark.django_db
Log = Callable[[Any], Client]
PERIOD = "?first=2026-05-01&last=2026-05-31"
assert roles.ROWS


def accept(sent: Any, options: list[int] | None = None) -> None:
    services.accept(
        token=sent.token, name="A", consents=YES, options=options or [], network_address=None,
        user_agent="", at=AT,
    )  # fmt: skip


def make_season() -> dict[str, Any]:
    """One won with its option, one declined, one lost by us, one open that was sent twice."""
    won = make_sent(option=True)
    accept(won, [won.option])
    declined = make_sent()
    services.decline(token=declined.token, reason="=too dear", at=AT)
    lost = make_sent()
    lose_job(job_id=lost.world.job.pk, reason="timing", note="", by=None, at=AT)
    still = make_sent()
    again = revise(revision_id=still.revision.pk, by=None, at=AT)
    send_revision(
        revision_id=again.pk, to="home@customer.example", by=None, at=AT + timedelta(days=20)
    )
    # The page reads the real clock: what is still open holds for ever.
    Revision.objects.filter(pk=again.pk).update(valid_until="2999-01-01")
    return {"won": won, "declined": declined, "lost": lost, "still": still}


def test_page_and_files_agree(owner: Any, client_for: Log) -> None:
    season = make_season()
    option = Line.objects.get(pk=season["won"].option).net
    client = client_for(owner)

    page = client.get(f"/results/{PERIOD}")
    text = re.sub(r"\s+", " ", page.content.decode())
    data = client.get(f"/results/sums.csv{PERIOD}").content.decode()
    rows = list(csv.DictReader(io.StringIO(data)))

    whole = page.context["whole"]
    net = season["won"].revision.net
    # On the page a month has its name, in a file it sorts.
    assert '<th scope="row">May 2026</th>' in text
    assert {row["group"] for row in rows if row["by"] == "month"} == {"2026-05", "all"}
    assert "<figcaption>Value won of the value sent, by month</figcaption>" in text
    assert (whole.sent, whole.count["won"], whole.count["lost"], whole.count["open"]) == (
        4, 1, 2, 1,
    )  # fmt: skip
    assert whole.value["won"] == net + option
    assert f"£{whole.net:,.2f}" in text
    for name in ("month", "source", "base", "customer"):
        groups = [row for row in rows if row["by"] == name and row["group"] != "all"]
        total = next(row for row in rows if row["by"] == name and row["group"] == "all")
        for column in ("sent", "won", "lost", "value sent", "value won", "margin quoted"):
            assert sum(Decimal(row[column]) for row in groups) == Decimal(total[column])
        assert Decimal(total["value sent"]) == whole.net
        assert total["hit rate %"] == "33.3"
    why = {row["group"]: Decimal(row["value sent"]) for row in rows if row["by"] == "why lost"}
    assert why == {
        "declined by the customer": season["declined"].revision.net,
        "we could not come in time": season["lost"].revision.net,
    }

    book = load_workbook(io.BytesIO(client.get(f"/results/sums.xlsx{PERIOD}").content))
    sheet = list(book.active.iter_rows(values_only=True))  # type: ignore[union-attr]
    assert len(sheet) == len(rows) + 1
    column = sheet[0].index("value sent")
    months = [row for row in sheet[1:] if row[0] == "month"]
    assert sum(Decimal(str(row[column])) for row in months[:-1]) == Decimal(str(months[-1][column]))


def test_the_list_of_quotes_adds_up_and_starts_no_formula(owner: Any, client_for: Log) -> None:
    make_season()
    client = client_for(owner)

    page = client.get(f"/results/{PERIOD}")
    rows = list(csv.DictReader(io.StringIO(
        client.get(f"/results/{PERIOD}&export=csv").content.decode()
    )))  # fmt: skip

    assert sum(Decimal(row["Before VAT"]) for row in rows) == page.context["whole"].net
    assert {row["Why"] for row in rows} == {"", "'=too dear", "we could not come in time"}
    assert {row["Outcome"] for row in rows} == {"won", "lost", "not answered yet"}


def test_period_and_filters_narrow_the_sums(owner: Any, client_for: Log) -> None:
    make_season()
    client = client_for(owner)

    for query, count in (
        ("?first=2026-05-14&last=2026-05-14", 4), ("?first=2026-05-15", 0), ("?last=2026-05-13", 0),
        ("?outcome=lost", 2), ("?source=website", 0),
    ):  # fmt: skip
        assert client.get(f"/results/{query}").context["whole"].sent == count, query
    wrong = client.get("/results/?first=yesterday")
    assert wrong.status_code == 200
    assert "A filter could not be used" in wrong.content.decode()


def test_a_quote_whose_day_is_over_was_never_answered(owner: Any, client_for: Log) -> None:
    make_sent()
    Revision.objects.update(valid_until="2020-01-01")

    assert client_for(owner).get("/results/").context["whole"].count["lapsed"] == 1


def test_margin_is_for_those_who_may_see_it(office: Any, accountant: Any, client_for: Log) -> None:
    make_season()

    for user, sees in ((office, False), (accountant, True)):
        client = client_for(user)
        page = client.get("/results/").content.decode()
        assert ("margin quoted" in page) is sees
        assert ("margin" in client.get("/results/sums.csv").content.decode()) is sees
        assert ("Margin" in client.get("/results/?export=csv").content.decode()) is sees


def test_queries_do_not_grow(
    owner: Any, client_for: Log, django_assert_num_queries: Any
) -> None:  # fmt: skip
    client = client_for(owner)
    make_sent()
    client.get("/results/")

    with django_assert_num_queries(8) as one:
        client.get("/results/")
    for _ in range(2):
        accept(make_sent(option=True))
    with django_assert_num_queries(len(one.captured_queries)):
        client.get("/results/")
