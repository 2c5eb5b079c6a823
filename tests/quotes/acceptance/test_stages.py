"""A plan of payment, walked: written in the draft, read on page and paper, accepted, on the job."""

from __future__ import annotations

import html
import io
import re
from collections.abc import Callable
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from jobs.billing.models import PaymentRequest, PlanStage
from jobs.kernel.clock import now
from jobs.kernel.money import round_line
from quotes.acceptance.models import Acceptance
from quotes.acceptance.services import make_link
from quotes.documents.documents import draw
from quotes.quoting.models import Revision
from quotes.quoting.queries import sheet_of
from quotes.quoting.services import add_line, revise
from tests.quotes.world import make_quote_world

pytestmark = pytest.mark.django_db
MONEY = re.compile(r"£[\d,]+\.\d\d")


def table_of(page: str, label: str = "Payment stages") -> list[list[str]]:
    """Return the cells of the table with that label, row by row, as they are read."""
    found = re.search(rf'aria-label="{label}">.*?</table>', page, re.DOTALL)
    assert found, label
    rows = re.findall(r"<tr.*?</tr>", found[0], re.DOTALL)[1:]
    return [
        [
            re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", cell))).strip()
            for cell in re.findall(r"<td.*?</td>", row, re.DOTALL)
        ]
        for row in rows
    ]


def pdf_text(revision: Revision) -> str:
    pages = PdfReader(io.BytesIO(draw(sheet_of(revision)).data)).pages
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pages))


CUSTOMERS: dict[str, dict[str, Any]] = {
    "household": {"kind": "household"},
    "builder": {"kind": "builder"},
    # both registered, reported under CIS: the customer accounts for the VAT
    "reverse": {"kind": "builder", "vat_number": "GB980780684", "reports_under_cis": True},
}


@pytest.mark.parametrize("kind", CUSTOMERS)
def test_a_plan_from_the_draft_to_the_job(
    kind: str, owner: Any, client_for: Callable[[Any], Client]
) -> None:
    # long because: one walk through every page that shows the plan
    cache.clear()
    world = make_quote_world(customer=CUSTOMERS[kind])
    revision = world.start(at=now())
    option = add_line(
        revision_id=revision.pk, kind="option", work_item_id=world.lifting.pk, by=None, at=now()
    )
    office, base = client_for(owner), f"/quotes/{revision.pk}/"
    version = Revision.objects.get(pk=revision.pk).version
    plan = {
        "version": version, "deposit_percent": "20", "words_1": "First day on site",
        "percent_1": "33.33", "words_3": "Base ready", "amount_3": "250.55",
        "last_words": "Handed over",
    }  # fmt: skip
    done = office.post(f"{base}stages/", {f"plan-{name}": value for name, value in plan.items()})
    assert done.status_code == 302
    drafted = table_of(office.get(base).content.decode())
    assert office.post(f"{base}send/", {"to": "home@customer.example"}).status_code == 302
    sent = Revision.objects.get(pk=revision.pk)
    _, token = make_link(revision_id=sent.pk, by=None, at=now())

    his = table_of(Client().get(f"/q/{token}/").content.decode())
    assert [row[:2] for row in his] == [
        ["Deposit asked for on acceptance", "20 %"], ["First day on site", "33.33 %"],
        ["Base ready", "£250.55 before VAT"], ["Handed over", "what is left"],
    ]  # fmt: skip
    assert his == drafted == table_of(office.get(base).content.decode())
    # consumers read what they pay, VAT in it, first
    order = [2, 3, 4] if kind == "household" else [4, 3, 2]
    totals = [sum(pence(row[n]) for row in his) for n in order]
    assert totals == [int(each * 100) for each in (sent.gross, sent.vat, sent.net)]
    # the paper has the same figures in the same order
    paper = pdf_text(sent).split("How it is paid", 1)[1]
    assert MONEY.findall(paper)[: 3 * len(his) + 1] == [
        figure for row in his for cell in row[1:] for figure in MONEY.findall(cell)
    ]  # fmt: skip

    answer = {"name": "A. Householder", "terms": "on", "options": [str(option.pk)]}
    # he sees what it comes to with the option before he accepts it
    asked = Client().post(f"/q/{token}/", {"options": [str(option.pk), "x"], "reckon": "1"})
    assert (asked.status_code, Acceptance.objects.exists()) == (200, False)
    assert "nothing is accepted yet" in (reckoned := asked.content.decode())
    assert "to put right" not in reckoned
    assert re.search(rf'value="{option.pk}"[^>]*checked', reckoned)
    assert Client().post(f"/q/{token}/", answer).status_code == 302
    money = table_of(
        office.get(reverse("billing:job", args=[world.job.pk])).content.decode(), "Payment plan"
    )
    accepted = table_of(Client().get(f"/q/{token}/").content.decode())
    assert accepted == table_of(reckoned)
    assert f"£{Acceptance.objects.get().pounds:,.2f}" in reckoned
    assert [[row[n] for n in (4, 3, 2)] if kind == "household" else row[2:] for row in accepted] \
        == [row[1:4] for row in money]  # fmt: skip
    assert sum(pence(row[3]) for row in money) == Acceptance.objects.get().gross
    assert pence(money[0][3]) == int(PaymentRequest.objects.get().amount * 100)
    assert pence(money[2][1]) == 250_55
    assert (sum(pence(row[2]) for row in money) == 0) is (kind == "reverse")


def pence(text: str) -> int:
    return int(re.sub(r"\D", "", text))


def test_revisions_side_by_side_show_another_plan(
    owner: Any, client_for: Callable[[Any], Client]
) -> None:
    first = make_quote_world().send()
    second = revise(revision_id=first.pk, by=None, at=now())
    client = client_for(owner)
    client.post(f"/quotes/{second.pk}/stages/ready/", {"ready": "start"})

    page = client.get(f"/documents/compare/{first.quote_id}/").content.decode()

    rows = re.findall(
        r"<th scope=\"row\">([^<]+)</th>.*?<td>(\w+)</td></tr>",
        page.split('aria-label="How it is paid"')[1].split("</table>")[0],
    )
    assert rows == [
        ("Deposit", "same"), ("The rest, when the work is done", "changed"),
        ("On the first day on site", "added"),
    ]  # fmt: skip


def test_a_quote_sent_before_there_were_stages_is_accepted_as_it_was_read() -> None:
    cache.clear()
    sent = make_quote_world().send(at=now())
    kept = sent.snapshot
    assert kept is not None
    del kept["sheet"]["stages"], kept["sheet"]["firm_address"]
    sent.save()
    _, token = make_link(revision_id=sent.pk, by=None, at=now())

    page = Client().get(f"/q/{token}/").content.decode()
    assert "Payment stages" not in page
    assert "Deposit of 25 %" in pdf_text(sent)
    Client().post(f"/q/{token}/", {"name": "A. Householder", "terms": "on"})

    request = PaymentRequest.objects.get()
    # a quarter of the price with VAT, half up, as such a quote said
    assert request.amount == round_line(sent.gross / 4)
    plan = PlanStage.objects.order_by("position").values_list("words", flat=True)
    assert list(plan) == ["Deposit", "The rest, when the work is done"]
