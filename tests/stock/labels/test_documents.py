"""The PDF itself: codes decoded again from its picture, words read again from its text."""

from __future__ import annotations

import io
import re
import subprocess
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import zxingcpp
from django.db import connection
from django.test.utils import CaptureQueriesContext
from PIL import Image
from pypdf import PdfReader

from stock.labels.documents import draw_labels
from stock.labels.rules import LAYOUTS, Layout, LotLabel, PlaceLabel, words_for
from tests.environment import need_program

URL = "https://yard.firm.example/labels/l/0b0c0d0e-0000-4000-8000-00000000000{}/"
LONG = "Keep between 5 and 25 °C, dry and closed, out of the sun and away from food and water."


def label(n: int, **fields: Any) -> LotLabel:
    values: dict[str, Any] = {
        "url": URL.format(n), "code": f"L-2026-{n:04d}", "item": "Resin kit, 7.0 kg",
        "origin": "Batch A17 / B23", "use_by": date(2026, 8, 12), "words": f"{LONG} SDS.",
    }  # fmt: skip
    return LotLabel(**values | fields)


def pictures(pdf: bytes, folder: Path, dpi: int = 200) -> list[Image.Image]:
    """Return the pages as a printer of 200 points an inch would make them."""
    source = folder / "labels.pdf"
    source.write_bytes(pdf)
    program = need_program("pdftoppm")
    subprocess.run([program, "-r", str(dpi), "-png", source, folder / "page"], check=True)
    return [Image.open(path) for path in sorted(folder.glob("page*.png"))]


def text_of(pdf: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages]


@pytest.mark.parametrize("layout", LAYOUTS.values(), ids=lambda one: one.code)
def test_every_code_is_decoded_again_at_its_place(layout: Layout, tmp_path: Path) -> None:
    """By zxing-cpp, a decoder of ISO/IEC 18004 that knows nothing of how the code was drawn."""
    labels = [label(n) for n in range(1, 4)]
    pages = pictures(draw_labels(labels, layout), tmp_path)
    found = [
        (code.text, code.position.top_left, page)
        for page, picture in enumerate(pages)
        for code in zxingcpp.read_barcodes(picture)
    ]
    assert sorted(text for text, _, _ in found) == [one.url for one in labels]
    for text, corner, page in found:
        number = [one.url for one in labels].index(text)
        assert page == number // layout.on_page
        x, y = layout.corner(number % layout.on_page)
        mm = 25.4 / 200
        assert x < corner.x * mm < x + layout.qr
        assert y < corner.y * mm < y + layout.qr


@pytest.mark.parametrize("layout", LAYOUTS.values(), ids=lambda one: one.code)
def test_pages_are_of_their_true_size(layout: Layout) -> None:
    reader = PdfReader(io.BytesIO(draw_labels([label(1)], layout)))
    width, height = (float(x) / 72 * 25.4 for x in reader.pages[0].mediabox[2:])
    assert len(reader.pages) == 1
    assert [round(width), round(height)] == list(layout.page)


def test_the_words_are_on_it() -> None:
    (text,) = text_of(draw_labels([label(7, held=True)], LAYOUTS["100x62"]))
    for words in (
        "L-2026-0007 HELD", "Resin kit, 7.0 kg", "Batch A17 / B23", "Use by 12 Aug 2026", LONG,
    ):  # fmt: skip
        assert words in text


def test_a_used_sheet_begins_further_on(tmp_path: Path) -> None:
    layout = LAYOUTS["a4-24"]
    pages = pictures(draw_labels([label(1), label(2)], layout, start=24), tmp_path)
    codes = [zxingcpp.read_barcodes(page)[0] for page in pages]
    assert [code.text for code in codes] == [URL.format(1), URL.format(2)]
    x, y = layout.corner(23)
    assert codes[0].position.top_left.x * 25.4 / 200 > x
    assert codes[0].position.top_left.y * 25.4 / 200 > y


def boxes(pdf: bytes, folder: Path) -> list[tuple[str, list[float]]]:
    """Return every word of the PDF with its box in mm, cut off or not, by poppler's pdftotext."""
    source, out = folder / "words.pdf", folder / "words.html"
    source.write_bytes(pdf)
    subprocess.run([need_program("pdftotext"), "-bbox", source, out], check=True)
    found = re.findall(
        r'<word xMin="(.+?)" yMin="(.+?)" xMax="(.+?)" yMax="(.+?)">(.+?)</word>', out.read_text()
    )
    return [(word, [float(one) / 72 * 25.4 for one in box]) for *box, word in found]


@pytest.mark.parametrize("layout", LAYOUTS.values(), ids=lambda one: one.code)
def test_the_longest_words_stay_inside_the_label(layout: Layout, tmp_path: Path) -> None:
    long = label(
        1, item="Resin kit of the longest name that an item may have, summer grade, 7.5 kg, ab",
        words=words_for(f"{LONG} " * 4, f"{LONG} " * 4, most=layout.words),
        held=True,
    )  # fmt: skip
    words = boxes(draw_labels([long], layout), tmp_path)
    x, y = layout.corner(0)
    assert [word for word, _ in words][-5:] == ["See", "the", "safety", "data", "sheet."]
    outside = [
        word
        for word, (left, top, right, bottom) in words
        if left < x + 1 or top < y + 1 or right > x + layout.wide - 1
        or bottom > y + layout.high - 1
    ]  # fmt: skip
    assert outside == []


def test_labels_of_places(tmp_path: Path) -> None:
    place = PlaceLabel("https://yard.firm.example/labels/p/12/", "Container 1, left", "bay")
    pdf = draw_labels([place], LAYOUTS["100x50"])
    assert "Container 1, left bay" in text_of(pdf)[0]
    (code,) = zxingcpp.read_barcodes(pictures(pdf, tmp_path)[0])
    assert code.text == place.url


def test_what_people_typed_is_text_and_fetches_nothing() -> None:
    hostile = label(1, item='<img src="http://127.0.0.1:9/x"><b>kit</b>', origin="&amp; <style>")
    (text,) = text_of(draw_labels([hostile], LAYOUTS["100x62"]))
    assert "<b>kit</b>" in text
    assert "&amp; <style>" in text


@pytest.mark.django_db
def test_drawing_asks_the_database_nothing() -> None:
    with CaptureQueriesContext(connection) as caught:
        draw_labels([label(1)], LAYOUTS["a4-8"])
    assert len(caught) == 0
