"""From the yard to paper and back: the code on a label opens the lot it is stuck on."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
import zxingcpp
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from stock.ledger.queries import find_lot
from tests.factories import make_kit, make_lot, make_place, make_stone
from tests.stock.labels.test_documents import pictures
from tests.stock.pages import queries_of

pytestmark = pytest.mark.django_db


def pdf_of(client: Client, codes: str, **query: str) -> Any:
    return client.get(
        reverse("labels:lots_pdf"), {"codes": codes, "layout": "100x62", "start": "1"} | query
    )


def test_the_printed_code_opens_the_lot_by_phone_and_by_scanner(
    client_for: Any, storeman: Any, crew: Any, tmp_path: Path
) -> None:
    lot = make_lot(make_kit(storage_note="Keep at 5 to 25 °C", hazard_note="Harmful if inhaled"))
    page = pdf_of(client_for(storeman), lot.code)
    assert page["Content-Type"] == "application/pdf"
    text = " ".join(PdfReader(io.BytesIO(page.content)).pages[0].extract_text().split())
    assert "Harmful if inhaled. Keep at 5 to 25 °C. See the safety data sheet." in text
    (code,) = zxingcpp.read_barcodes(pictures(page.content, tmp_path)[0])
    path = urlsplit(code.text).path
    opened = client_for(crew).get(path)
    assert (opened.status_code, opened["Location"]) == (302, lot.get_absolute_url())
    # A scanner at the bench types the same text into the yard's field.
    assert find_lot(code.text) == lot
    stranger = Client().get(path)
    assert stranger["Location"] == f"{reverse('account_login')}?next={path}"


def test_a_places_code_opens_what_lies_there(client_for: Any, crew: Any) -> None:
    bay, lot = make_place(), make_lot(make_kit())
    here = make_lot(make_kit(), place=bay)
    page = client_for(crew).get(reverse("labels:open_place", args=[bay.pk]), follow=True)
    assert here.code in page.content.decode()
    assert lot.code not in page.content.decode()


def test_several_lots_several_labels(client_for: Any, storeman: Any) -> None:
    lots = [make_lot(make_stone()) for _ in range(3)]
    codes = f"{lots[0].code.lower()}\n{lots[1].code} × 3\nhttps://x.example/labels/l/{lots[2].uid}/"
    page = pdf_of(client_for(storeman), codes)
    texts = [one.extract_text() for one in PdfReader(io.BytesIO(page.content)).pages]
    assert [next(lot.code for lot in lots if lot.code in text) for text in texts] == [
        lots[0].code, *[lots[1].code] * 3, lots[2].code,
    ]  # fmt: skip
    assert f"Run {lots[0].run}" in texts[0]


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ({"codes": ""}, "codes"), ({"codes": "L-0"}, "codes"), ({"codes": "\x00"}, "codes"),
        ({"codes": "L-1 x481"}, "codes"), ({"codes": "L-1 x300\nL-1 x300"}, "codes"),
        ({"codes": "x" * 20_001}, "codes"),
        ({"layout": "a5"}, "layout"), ({"layout": ""}, "layout"), ({"start": "2"}, "start"),
        ({"start": "0"}, "start"), ({"start": "-1"}, "start"), ({"start": "x"}, "start"),
        ({"start": "99999999999999999999"}, "start"),
    ],
)  # fmt: skip
def test_what_cannot_be_printed_is_a_sentence(
    query: dict[str, str], field: str, client_for: Any, storeman: Any
) -> None:
    lot = make_lot(make_kit())
    page = pdf_of(client_for(storeman), **{"codes": lot.code} | query)
    assert page.status_code == 422
    assert page.context["form"].errors[field]


@pytest.mark.parametrize("places", [[], ["x"], ["0"], ["99999999999999999999"]])
def test_places_that_are_not_there_are_a_sentence(
    places: list[str], client_for: Any, storeman: Any
) -> None:
    query = {"places": places, "layout": "a4-8"}
    page = client_for(storeman).get(reverse("labels:places_pdf"), query)
    assert page.status_code == 422
    assert page.context["form"].errors["places"]


def test_the_lots_page_leads_to_its_label(client_for: Any, storeman: Any) -> None:
    lot = make_lot(make_kit())
    client = client_for(storeman)
    url = f"{reverse('labels:list')}?codes={lot.code}"
    assert url in client.get(lot.get_absolute_url()).content.decode()
    assert f"{lot.code}</textarea>" in client.get(url).content.decode()


@pytest.mark.parametrize("count", [1, 3])
def test_labels_cost_the_same_for_any_number(count: int, client_for: Any, storeman: Any) -> None:
    codes = "%0A".join(make_lot(make_kit()).code for _ in range(count))
    url = f"{reverse('labels:lots_pdf')}?codes={codes}&layout=100x62&start=1"
    # session, user, 2 of permissions; lots with their items
    assert queries_of(client_for(storeman), url) == 5


def test_a_scanner_in_the_yards_field_opens_the_place(client_for: Any, storeman: Any) -> None:
    bay = make_place()
    url = reverse("labels:open_place", args=[bay.pk])
    page = client_for(storeman).get(reverse("ledger:scan"), {"code": f"http://yard.example{url}"})
    assert page["Location"] == f"{reverse('ledger:list')}?place={bay.pk}"
