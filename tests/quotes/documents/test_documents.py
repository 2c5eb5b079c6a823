"""The PDF says what the page says: its text is read back with pypdf."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from pypdf import PdfReader

from quotes.documents.documents import draw, html_of
from quotes.quoting.queries import sheet_of
from quotes.quoting.rules import QuoteSheet, SheetLine
from quotes.quoting.rules.sheet import SheetArea
from tests.quotes.world import make_quote_world

PLAN = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 10 10"><path d="M1 1 L9 9"/></svg>'


def make_sheet(**fields: Any) -> QuoteSheet:
    """A household's quote with an option and a provisional sum."""
    values: dict[str, Any] = {
        "firm": "Quillstone", "firm_email": "office@quillstone.example", "reference": "Q-2026-0007",
        "number": 2, "day": date(2026, 5, 14), "valid_until": date(2026, 6, 13),
        "customer": "A. Householder", "customer_address": "1 Mill Lane", "site": "1 Mill Lane",
        "job_reference": "J-2026-0031", "title": "Drive and path", "order_number": "",
        "consumer": True, "message": "Thank you for showing us round.",
        "areas": (SheetArea("drive", Decimal("42.56"), Decimal("20.0")),),
        "lines": (
            SheetLine(1, "Resin-bound surfacing", Decimal("42.560"), "m²", Decimal("3000.00"),
                      Decimal("3600.00"), "surface"),
            SheetLine(2, "Soft ground", Decimal(1), "each", Decimal("400.00"), Decimal("480.00"),
                      "provisional"),
        ),
        "options": (
            SheetLine(3, "Step edge", Decimal(1), "each", Decimal("120.00"), Decimal("144.00"),
                      "option"),
        ),
        "net": Decimal("3400.00"), "vat": Decimal("680.00"), "gross": Decimal("4080.00"),
        "vat_percent": Decimal(20), "vat_words": "VAT at 20 %", "deposit": Decimal("1020.00"),
        "deposit_percent": Decimal(25), "cautions": ("The resin yellows outdoors.",),
        "colour_areas": ("drive",), "exclusions": "Drains.", "terms": "Pay when done.",
        "plan": PLAN,
    }  # fmt: skip
    return QuoteSheet(**values | fields)


def text_of(data: bytes) -> list[str]:
    """Return the text of each page, words parted by single spaces."""
    return [re.sub(r"\s+", " ", page.extract_text()) for page in PdfReader(io.BytesIO(data)).pages]


def test_figures_and_words_are_on_paper() -> None:
    drawn = draw(make_sheet())
    pages = text_of(drawn.data)
    text = " ".join(pages)

    for words in (
        "Drive and path", "Q-2026-0007, revision 2", "A. Householder", "£4,080.00", "£680.00",
        "£3,400.00", "£3,600.00", "£480.00", "£144.00", "£1,020.00", "Sat 13 Jun 2026",
        "The resin yellows outdoors.", "Drains.", "Pay when done.", "(provisional sum)",
    ):  # fmt: skip
        assert words in text, words
    assert len(pages) == drawn.pages
    for number, page in enumerate(pages, start=1):
        assert f"page {number} of {drawn.pages}" in page


def test_a_line_is_read_with_its_caution_and_how_it_is_settled() -> None:
    sheet = make_sheet(firm_address="1 Yard Lane, Orrford")
    lines = (
        *sheet.lines,
        SheetLine(8, "Roots", Decimal(3), "h", Decimal(90), Decimal(108), "daywork",
                  "Cut only where the council allows it."),
    )  # fmt: skip
    text = " ".join(text_of(draw(replace(sheet, lines=lines)).data))

    assert "Roots (provisional quantity) Cut only where the council allows it." in text
    # The model form of the Consumer Contracts Regulations 2013, schedule 3, part B (memory), names
    # the trader's address.
    assert "To Quillstone, 1 Yard Lane, Orrford, office@quillstone.example:" in text


def test_consumers_read_the_price_with_vat_first_and_get_the_cancellation_form() -> None:
    consumer = " ".join(text_of(draw(make_sheet()).data))
    business = " ".join(text_of(draw(make_sheet(consumer=False)).data))

    assert consumer.index("£4,080.00") < consumer.index("£3,400.00")
    assert "Your right to cancel" in consumer
    assert "no legal advice" in consumer
    assert "I cancel my contract" in consumer
    assert business.index("£3,400.00") < business.index("£4,080.00")
    assert "right to cancel" not in business


def test_file_is_tagged_with_language_title_and_embedded_fonts() -> None:
    reader = PdfReader(io.BytesIO(draw(make_sheet()).data))
    root: Any = reader.trailer["/Root"]

    assert root["/MarkInfo"]["/Marked"]
    assert "/StructTreeRoot" in root
    assert root["/Lang"] == "en-GB"
    assert reader.metadata is not None
    assert reader.metadata.title == "Quote Q-2026-0007, Drive and path"
    assert b"pdfuaid" in root["/Metadata"].get_object().get_data()
    pages: list[Any] = list(reader.pages)
    fonts = [font.get_object() for page in pages
             for font in page["/Resources"]["/Font"].values()]  # fmt: skip
    assert fonts
    for font in fonts:
        inner = font["/DescendantFonts"][0].get_object()["/FontDescriptor"].get_object()
        assert {"/FontFile2", "/FontFile3"} & set(inner), font["/BaseFont"]


def test_typed_words_are_words_and_fetch_nothing() -> None:
    evil = '<img src="file:///etc/passwd"><script>x</script>'
    html = html_of(make_sheet(message=evil, title=evil))

    assert "<img" not in html
    assert "<script" not in html


def test_a_sheet_comes_back_from_json_as_it_was() -> None:
    sheet = make_sheet()

    assert QuoteSheet.from_dict(sheet.as_dict()) == sheet
    assert QuoteSheet.from_dict(sheet.as_dict()) != replace(sheet, net=Decimal(1))


def test_a_discount_is_not_so_much_of_something() -> None:
    line = SheetLine(9, "Discount of 5 %", Decimal(1), "each", Decimal("-170.00"),
                     Decimal("-204.00"), "discount")  # fmt: skip
    sheet = make_sheet()

    text = " ".join(text_of(draw(replace(sheet, lines=(*sheet.lines, line))).data))

    assert re.search(r"Discount of 5 % −£204\.00", text), text
    assert "Soft ground (provisional sum) 1 £" in text


@pytest.mark.django_db
def test_pdf_of_a_real_quote_adds_up_from_its_own_text() -> None:
    revision = make_quote_world(base_condition="replace").send()
    sheet = sheet_of(revision)

    text = " ".join(text_of(draw(sheet).data))

    price = text[text.index("£ with VAT") : text.index("Price with VAT")]
    figures = [Decimal(found.replace(",", "")) for found in re.findall(r"£([\d,]+\.\d\d)", price)]
    assert sum(figures) == revision.gross
    assert f"£{revision.gross:,.2f}" in text
    assert f"{revision.direct:,.2f}" not in text
