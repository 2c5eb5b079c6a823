"""The short flows from their pages: once on a double click, sentences at the field."""

from __future__ import annotations

import io
import re
from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse
from pypdf import PdfReader

from stock.ledger.models import Posting
from stock.ledger.services import hold_lot
from stock.movements.services import transfer_stock
from tests.factories import AT, DAY, make_kit, make_lot, make_place, make_stone
from tests.stock.movements.test_services import issue, reserved_job
from tests.stock.pages import queries_of

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_the_same_for_any_number_of_rows(
    count: int, client_for: Any, storeman: Any
) -> None:
    for _ in range(count):
        make_lot(make_kit())
    # session, user, 2 of permissions; count, rows
    assert queries_of(client_for(storeman), reverse("movements:list")) == 6


def test_a_double_click_issues_once(client_for: Any, storeman: Any) -> None:
    job, lot = reserved_job(make_kit(), 3)
    client, url = client_for(storeman), reverse("movements:issue", args=[job.pk])
    data = {"uid": client.get(url).context["form"]["uid"].value(), "day": DAY, "phase": ""}
    for _ in range(2):
        answer = client.post(url, data)
        assert answer.status_code == 302
    # What was booked is shown, with the button that undoes it.
    assert "Undo the posting" in client.get(answer["Location"]).content.decode()
    lot.refresh_from_db()
    assert (lot.at_sites, Posting.objects.filter(kind="issue").count()) == (3, 1)


def test_a_double_click_brings_back_once(client_for: Any, storeman: Any) -> None:
    job, lot = reserved_job(make_kit(), 3)
    issue(job)
    data = {"uid": uuid4(), "day": DAY, "place": make_place().pk, f"whole_{lot.pk}": "2"}
    for _ in range(2):
        url = reverse("movements:return", args=[job.pk])
        assert client_for(storeman).post(url, data).status_code == 302
    lot.refresh_from_db()
    assert (lot.on_hand, lot.at_sites) == (2, 1)


def test_the_same_page_sent_with_other_figures_is_a_sentence(
    client_for: Any, storeman: Any
) -> None:
    job, lot = reserved_job(make_kit(), 3)
    issue(job)
    client, url = client_for(storeman), reverse("movements:return", args=[job.pk])
    data = {"uid": uuid4(), "day": DAY, "place": make_place().pk, f"whole_{lot.pk}": "1"}
    client.post(url, data)
    page = client.post(url, data | {f"whole_{lot.pk}": "2"})
    assert page.status_code == 422
    assert "This page was sent before with other figures." in page.content.decode()


def test_a_held_lot_stops_the_issue_with_what_was_typed_kept(
    client_for: Any, storeman: Any
) -> None:
    job, lot = reserved_job(make_kit(), 3)
    hold_lot(lot_id=lot.pk, reason="frozen", by=None, at=AT)
    url = reverse("movements:issue", args=[job.pk])
    page = client_for(storeman).post(url, {"uid": uuid4(), "day": "2026-05-16", "phase": "lay"})
    assert page.status_code == 422
    text = page.content.decode()
    assert f"{lot.code} is held: frozen. Release it or take another lot." in text
    assert 'value="2026-05-16"' in text


def test_an_opened_kit_is_not_asked_for_and_nothing_is_written(
    client_for: Any, storeman: Any
) -> None:
    job, lot = reserved_job(make_kit(), 3)
    issue(job)
    data = {"uid": uuid4(), "day": DAY, "place": make_place().pk, f"opened_{lot.pk}": "1"}
    client, url = client_for(storeman), reverse("movements:return", args=[job.pk])
    asked = client.get(url).content.decode()
    assert "The book has 3 kits at the site. An opened kit is waste" in asked
    assert f"opened_{lot.pk}" not in asked
    page = client.post(url, data)
    assert page.status_code == 422
    assert "Say what comes back: at least one pack." in page.content.decode()
    assert not Posting.objects.filter(kind="return").exists()


@pytest.mark.parametrize("flow", ["waste", "transfer"])
def test_where_a_lot_lies_in_one_place_nobody_is_asked(
    flow: str, client_for: Any, storeman: Any
) -> None:
    bay, other = make_place(), make_place()
    lot = make_lot(make_kit(), 3, place=bay)
    client, url = client_for(storeman), reverse(f"movements:{flow}", args=[lot.pk])
    assert client.get(url).context["form"]["from_place"].value() == bay.pk
    transfer_stock(
        lot_id=lot.pk, from_place_id=bay.pk, to_place_id=other.pk, quantity=1, key=uuid4(),
        day=DAY, by=None, at=AT,
    )  # fmt: skip
    assert client.get(url).context["form"]["from_place"].value() is None


@pytest.mark.parametrize("packs", ["-1", "0", "two", "1e9", "0.00001", ""])
def test_quantities_that_cannot_be_are_sentences(
    packs: str, client_for: Any, storeman: Any
) -> None:
    bay = make_place()
    lot = make_lot(make_kit(), 3, place=bay)
    data = {"uid": uuid4(), "from_place": bay.pk, "packs": packs, "reason": "torn"}
    page = client_for(storeman).post(reverse("movements:waste", args=[lot.pk]), data)
    assert page.status_code == 422
    assert page.context["form"].errors["packs"]


def test_half_a_kit_is_no_quantity_and_half_a_bag_is(client_for: Any, storeman: Any) -> None:
    client, bay = client_for(storeman), make_place()
    for item, status in ((make_kit(), 422), (make_stone(), 302)):
        lot = make_lot(item, 3, place=bay)
        data = {"uid": uuid4(), "from_place": bay.pk, "packs": "0.5", "reason": "torn"}
        url = reverse("movements:waste", args=[lot.pk])
        assert client.post(url, data).status_code == status


def test_a_count_is_blind_and_takes_in_a_lot_found_there(client_for: Any, storeman: Any) -> None:
    client, bay = client_for(storeman), make_place()
    kit = make_kit(name="Resin kit")  # no figure of its own that could be taken for the count
    lot, stray = make_lot(kit, 7331, place=bay), make_lot(make_kit(), 2)
    url = reverse("movements:count", args=[bay.pk])
    text = client.get(url).content.decode()
    assert lot.code in text
    assert not re.search(r"\b7,?331\b", text.replace(lot.code, ""))
    data = {"uid": uuid4(), f"lot_{lot.pk}": "7330", "also": stray.code, "also_packs": "1"}
    page = client.post(url, data, follow=True)
    assert f"{lot.code}: −1 kit, {stray.code}: +1 kit" in page.content.decode()


def test_the_pick_list_as_pdf_has_every_line(client_for: Any, storeman: Any) -> None:
    job, lot = reserved_job(make_kit(), 3, place=make_place(name="container 1"))
    page = client_for(storeman).get(reverse("movements:pick_pdf", args=[job.pk]))
    assert page.headers["Content-Type"] == "application/pdf"
    reader = PdfReader(io.BytesIO(page.content))
    text = " ".join(reader.pages[0].extract_text().split())
    for words in (f"Pick list {job.reference}", "container 1", lot.code, "3 kits", "21.0"):
        assert words in text
    width, height = (float(x) / 72 * 25.4 for x in reader.pages[0].mediabox[2:])
    assert (round(width), round(height)) == (210, 297)  # A4 of ISO 216


def test_undo_from_the_page(client_for: Any, storeman: Any) -> None:
    job, lot = reserved_job(make_kit(), 3)
    posting = issue(job)
    client = client_for(storeman)
    assert (
        "Undo the posting"
        in client.get(reverse("movements:detail", args=[posting.pk])).content.decode()
    )
    url = reverse("movements:undo", args=[posting.pk])
    assert client.post(url, {"uid": uuid4(), "reason": "wrong job"}).status_code == 302
    lot.refresh_from_db()
    assert lot.on_hand == 3
