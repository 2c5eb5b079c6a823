"""Labels: sizes of sheets and single labels, what stands on one, and where it lands on its page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from stock.catalogue.rules import SHEET_LAST_WORD, with_last_word

A4 = (210.0, 297.0)
MOST_LABELS = 480


@dataclass(frozen=True)
class Layout:
    """A page of labels in mm: its size, the labels' size, where the first is, how far the next.

    `words` is how many letters of storage and hazard words fit beside the code; `type_pt` the size
    of the letters.
    """

    code: str
    title: str
    page: tuple[float, float]
    columns: int
    rows: int
    wide: float
    high: float
    left: float = 0.0
    top: float = 0.0
    step_x: float = 0.0
    step_y: float = 0.0
    qr: float = 25.0
    type_pt: float = 7.0
    words: int = 120

    @property
    def on_page(self) -> int:
        """Return how many labels a page has."""
        return self.columns * self.rows

    def corner(self, spot: int) -> tuple[float, float]:
        """Return the upper left corner (mm) of a label, counted from 0 along the rows."""
        row, column = divmod(spot, self.columns)
        return (
            self.left + column * (self.step_x or self.wide),
            self.top + row * (self.step_y or self.high),
        )


# Sizes in common use for A4 sheets and for label printers (common practice, no source).
LAYOUTS = {
    layout.code: layout
    for layout in (
        Layout("a4-24", "A4 sheet, 3 × 8 (70 × 37 mm)", A4, 3, 8, 70, 37, top=0.5, qr=26,
               type_pt=6, words=95),
        Layout("a4-21", "A4 sheet, 3 × 7 (63.5 × 38.1 mm)", A4, 3, 7, 63.5, 38.1, left=7.2,
               top=15.1, step_x=66.0, qr=22, type_pt=6, words=70),
        Layout("a4-14", "A4 sheet, 2 × 7 (99.1 × 38.1 mm)", A4, 2, 7, 99.1, 38.1, left=4.65,
               top=15.1, step_x=101.6, qr=28, type_pt=6.5, words=140),
        Layout("a4-8", "A4 sheet, 2 × 4 (99.1 × 67.7 mm)", A4, 2, 4, 99.1, 67.7, left=4.65,
               top=13.1, step_x=101.6, qr=36, type_pt=8, words=270),
        Layout("100x62", "single labels, 100 × 62 mm", (100, 62), 1, 1, 100, 62, qr=36,
               type_pt=7.5, words=260),
        Layout("100x50", "single labels, 100 × 50 mm", (100, 50), 1, 1, 100, 50, qr=32, type_pt=7,
               words=170),
        Layout("100x150", "single labels, 100 × 150 mm", (100, 150), 1, 1, 100, 150, qr=50,
               type_pt=10, words=605),
    )
}  # fmt: skip


@dataclass(frozen=True)
class LotLabel:
    """What stands on a lot's label; `url` is what its code opens."""

    url: str
    code: str
    item: str
    origin: str
    use_by: date | None
    words: str
    held: bool = False
    # Whose it is, and how much of it: 'J-2026-0031, buff: 4 bags'.
    kept_for: str = ""


@dataclass(frozen=True)
class PlaceLabel:
    """What stands on a place's label; `url` is what its code opens."""

    url: str
    name: str
    kind: str


@dataclass(frozen=True)
class Spot:
    """A label at its place on a page: mm from the upper left corner."""

    label: LotLabel | PlaceLabel
    x: float
    y: float


def lay_out(
    labels: Sequence[LotLabel | PlaceLabel], layout: Layout, *, start: int
) -> list[list[Spot]]:
    """Return the pages of labels; the first begins at position `start`, counted from 1.

    ValueError where the page has no such position.
    """
    if not 1 <= start <= layout.on_page:
        raise ValueError(f"This page has positions 1 to {layout.on_page}.")
    pages: list[list[Spot]] = []
    for number, label in enumerate(labels, start - 1):
        page, spot = divmod(number, layout.on_page)
        if page >= len(pages):
            pages.append([])
        x, y = layout.corner(spot)
        pages[page].append(Spot(label, x, y))
    return pages


def words_for(storage: str, hazard: str, *, most: int) -> str:
    """Return an item's storage and hazard words, hazards first, always with the last word.

    Where they are longer than `most` letters they end at a word with '…', and the label says that
    there are more.
    """
    parts = [part if part.endswith((".", "!")) else f"{part}." for part in
             (" ".join(text.split()) for text in (hazard, storage)) if part]  # fmt: skip
    text = " ".join(parts)
    if not text:
        return SHEET_LAST_WORD
    if len(text) > most:
        cut = text[:most].rsplit(" ", 1)[0].rstrip(",;.")
        return f"{cut}… More in the item's record. {SHEET_LAST_WORD}"
    return with_last_word(text)


def read_codes(text: str) -> list[tuple[str, int]]:
    """Read one lot's code a line, with '× 3' or 'x3' behind it for three labels.

    ValueError with a sentence for a count that is none.
    """
    found = []
    for line in text.replace("\x00", "").splitlines():
        plain = line.strip()
        if not plain:
            continue
        code, count = plain, 1
        for mark in ("×", " x", "*"):
            head, found_mark, tail = plain.rpartition(mark)
            if found_mark and head.strip() and tail.strip().isdecimal():
                code, count = head.strip(), int(tail.strip()[:9])
                break
        if not 1 <= count <= MOST_LABELS:
            raise ValueError(f"'{plain[:40]}': one to {MOST_LABELS} labels of a lot.")
        found.append((code[:100], count))
    return found
