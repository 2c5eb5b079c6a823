"""Papers as PDF: what every paper of the firm is, whoever draws it."""

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import Any

import pytest
from pypdf import PdfReader

from jobs.kernel.papers import Paper, draw_paper, faces, font_fetcher, letter_style

ROOT = Path(__file__).resolve().parents[3]
HTML = (
    '<!doctype html><html lang="en-GB"><head><meta charset="utf-8"><title>A paper</title></head>'
    "<body><h1>A paper</h1><p>Laid £5</p></body></html>"
)


def read(paper: Paper) -> Any:
    return PdfReader(io.BytesIO(paper.data))


def fonts_of(reader: Any) -> list[str]:
    """Return the names of the fonts that are embedded."""
    found = []
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():
            inner = font.get_object()["/DescendantFonts"][0].get_object()
            if {"/FontFile2", "/FontFile3"} & set(inner["/FontDescriptor"].get_object()):
                found.append(str(inner["/BaseFont"]))
    return found


def test_a_paper_is_tagged_and_holds_its_fonts() -> None:
    paper = draw_paper(HTML, letter_style())
    reader = read(paper)
    root = reader.trailer["/Root"]

    assert paper.pages == len(reader.pages) == 1
    assert "/StructTreeRoot" in root
    assert root["/Lang"] == "en-GB"
    assert "Laid £5" in reader.pages[0].extract_text()
    assert fonts_of(reader)
    if faces():
        assert all("DejaVu" in name for name in fonts_of(reader))


def test_a_paper_for_scanners_is_not_tagged() -> None:
    assert "/StructTreeRoot" not in read(draw_paper(HTML, tagged=False)).trailer["/Root"]


def test_a_paper_asks_for_nothing_but_its_fonts() -> None:
    for address in ("file:///etc/hostname", "https://paper.example/x.png"):
        with pytest.raises(ValueError, match="no addresses"):
            font_fetcher().fetch(address)


def test_every_paper_is_drawn_here() -> None:
    """A drawer of its own would fetch what a typed word names, and leave the tags out."""
    others = [
        str(path.relative_to(ROOT))
        for app in ("jobs", "quotes", "stock")
        for path in (ROOT / app).rglob("*.py")
        if re.search(r"\b(from|import) weasyprint", path.read_text(encoding="utf-8"))
    ]

    assert others == ["jobs/kernel/papers.py"]
