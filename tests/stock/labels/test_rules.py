"""Where labels land, and what is said on them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.labels.rules import (
    LAYOUTS,
    Layout,
    PlaceLabel,
    lay_out,
    read_codes,
    words_for,
)

LABEL = PlaceLabel("u", "Bay", "bay")


@pytest.mark.parametrize("layout", LAYOUTS.values(), ids=lambda one: one.code)
def test_every_label_lies_on_its_page_and_none_on_another(layout: Layout) -> None:
    corners = [layout.corner(spot) for spot in range(layout.on_page)]
    for x, y in corners:
        assert x >= 0
        assert y >= 0
        assert x + layout.wide <= layout.page[0] + 1e-9
        assert y + layout.high <= layout.page[1] + 1e-9
    for n, (x, y) in enumerate(corners):
        for a, b in corners[n + 1 :]:
            assert abs(a - x) >= layout.wide - 1e-9 or abs(b - y) >= layout.high - 1e-9
    assert layout.qr <= min(layout.wide, layout.high) - 1.5


@given(st.sampled_from(sorted(LAYOUTS)), st.integers(0, 60), st.integers(-2, 30))
def test_no_label_is_lost_and_the_first_is_where_it_was_asked(
    code: str, count: int, start: int
) -> None:
    layout = LAYOUTS[code]
    if not 1 <= start <= layout.on_page:
        with pytest.raises(ValueError, match="positions 1 to"):
            lay_out([LABEL] * count, layout, start=start)
        return
    pages = lay_out([LABEL] * count, layout, start=start)
    assert sum(map(len, pages)) == count
    assert len(pages) == (-(-(count + start - 1) // layout.on_page) if count else 0)
    if count:
        assert (pages[0][0].x, pages[0][0].y) == layout.corner(start - 1)


@given(st.text(max_size=300), st.text(max_size=300), st.integers(40, 400))
def test_the_data_sheet_has_the_last_word(storage: str, hazard: str, most: int) -> None:
    words = words_for(storage, hazard, most=most)
    assert words.casefold().rstrip(".").endswith("see the safety data sheet")
    assert len(words) <= most + len("… More in the item's record. See the safety data sheet.")


def test_words_that_are_cut_say_so() -> None:
    words = words_for("Keep dry. " * 20, "Harmful if inhaled", most=60)
    assert words.startswith("Harmful if inhaled. Keep dry.")
    assert words.endswith("… More in the item's record. See the safety data sheet.")
    assert words_for("", "", most=60) == "See the safety data sheet."
    assert words_for("", "Harmful. See the safety data sheet", most=90).count("sheet") == 1


def test_codes_are_read_a_line_with_how_many() -> None:
    text = "L-1\n\n l-2 x3 \nL-3 × 2\nL-4*5\nhttps://yard.example/labels/l/x1/\nbox x\n"
    assert read_codes(text) == [
        ("L-1", 1), ("l-2", 3), ("L-3", 2), ("L-4", 5), ("https://yard.example/labels/l/x1/", 1),
        ("box x", 1),
    ]  # fmt: skip


@pytest.mark.parametrize("line", ["L-1 x0", "L-1 × 481", "L-1 x99999999999999999999"])
def test_a_count_that_is_none_is_a_sentence(line: str) -> None:
    with pytest.raises(ValueError, match="one to 480 labels"):
        read_codes(line)


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text: str) -> None:
    try:
        rows = read_codes(text)
    except ValueError:
        return
    assert all(code and 1 <= count <= 480 for code, count in rows)
