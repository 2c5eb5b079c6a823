from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest

from jobs.kernel.charts import Bar, Span, draw_bars, draw_strip, draw_trace, steps
from jobs.kernel.clock import LONDON

SVG = "{http://www.w3.org/2000/svg}"
SEVEN = datetime(2026, 5, 14, 7, 0, tzinfo=LONDON)


def parsed(svg: str) -> ET.Element:
    return ET.fromstring(svg)  # noqa: S314 - our own drawing


def hours(count: float) -> timedelta:
    return timedelta(hours=count)


def rects(root: ET.Element) -> list[tuple[float, float]]:
    """Return the left edge and width of every box."""
    found = root.iter(f"{SVG}rect")
    return [(float(part.get("x", "")), float(part.get("width", ""))) for part in found]


def texts(root: ET.Element) -> list[str]:
    return [part.text or "" for part in root.iter(f"{SVG}text")]


def test_spans_are_as_long_as_their_time_and_clipped_to_the_strip() -> None:
    spans = [
        Span(SEVEN, SEVEN + hours(2), "stop", "dew"),
        Span(SEVEN + hours(2), SEVEN + hours(8), "ready", "dry"),
        Span(SEVEN + hours(8), SEVEN + hours(30), "look", "film"),
        Span(SEVEN + hours(20), SEVEN + hours(30), "", "after the strip"),
    ]
    root = parsed(draw_strip(SEVEN, SEVEN + hours(10), spans))
    (_, two), (_, six), (left, rest) = rects(root)
    assert six == pytest.approx(3 * two, abs=0.2)
    assert rest == pytest.approx(two, abs=0.2)
    assert left + rest == pytest.approx(520 - 8, abs=0.2)
    assert [word for word in texts(root) if not word.isdigit()] == ["■ dew", "● dry", "▲ film"]


def test_strip_measures_elapsed_time_over_the_change_of_the_clock() -> None:
    # 25 October 2026: from midnight to four by the clock are five hours, one of them twice.
    start = datetime(2026, 10, 25, 0, 0, tzinfo=LONDON)
    end = datetime(2026, 10, 25, 4, 0, tzinfo=LONDON)
    first = datetime(2026, 10, 25, 1, 0, tzinfo=UTC)  # an hour and the repeated hour's start
    root = parsed(draw_strip(start, end, [Span(start, first, "", "x")]))
    assert rects(root)[0][1] == pytest.approx((520 - 16) * 2 / 5, abs=0.2)
    assert [word for word in texts(root) if word.isdigit()] == ["00", "01", "01", "02", "03", "04"]


def test_strip_needs_an_end_after_its_start() -> None:
    with pytest.raises(ValueError, match="end after its start"):
        draw_strip(SEVEN, SEVEN, [])


def test_bars_are_as_long_as_their_figures() -> None:
    root = parsed(draw_bars([Bar("a", 300, 400), Bar("b", 150), Bar("c", 0)], unit="£"))
    widths = [width for _, width in rects(root)]
    assert widths == pytest.approx([2 * widths[1], widths[1], 0], abs=0.2)
    assert "£300 of £400" in texts(root)
    assert root.findtext(f"{SVG}desc") == "a: £300, held against £400. b: £150. c: £0."
    limit = next(part for part in root.iter(f"{SVG}line") if part.get("class") == "limit")
    left = rects(root)[0][0]
    assert float(limit.get("x1", "")) - left == pytest.approx(widths[0] * 4 / 3, abs=0.2)


def test_pounds_have_their_pence() -> None:
    said = texts(parsed(draw_bars([Bar("a", 1288.6), Bar("b", 22626.7, 25000)], unit="£")))
    assert {"£1,288.60", "£22,626.70 of £25,000"} <= set(said)


def test_the_longest_figure_has_room_beside_its_bar() -> None:
    """A letter of the drawing's size is less than 7 wide (measured)."""
    root = parsed(draw_bars([Bar("Nov 2026", 18700.61, 34551.62)], unit="£"))
    text = next(part for part in root.iter(f"{SVG}text") if "of £34" in str(part.text))
    assert float(text.get("x", "")) + 6.8 * len(str(text.text)) <= 520


@pytest.mark.parametrize("value", [-1, float("nan"), float("inf")])
def test_bar_needs_a_figure_that_can_be_drawn(value: float) -> None:
    with pytest.raises(ValueError, match="finite figure of zero or more"):
        draw_bars([Bar("a", value)])


def test_trace_leaves_a_gap_open_and_draws_its_limits() -> None:
    points = [(SEVEN + hours(n), 10.0 + n) for n in (0, 1, 2, 6, 7)]
    root = parsed(draw_trace(points, unit="°C", high=30))
    path = next(part for part in root.iter(f"{SVG}path") if part.get("class") == "trace")
    assert (path.get("d", "").count("M"), path.get("d", "").count("L")) == (2, 3)
    assert "limit 30 °C" in texts(root)
    assert root.findtext(f"{SVG}desc") == (
        "5 readings from Thu 14 May 07:00 to Thu 14 May 14:00: least 10 °C at Thu 14 May 07:00, "
        "greatest 17 °C at Thu 14 May 14:00."
    )


@pytest.mark.parametrize("days", [1, 7, 14, 15, 30, 90])
def test_words_of_the_scale_of_hours_have_room(days: int) -> None:
    points = [(SEVEN + hours(n), 10.0) for n in (0, 24 * days)]
    root = parsed(draw_trace(points, unit="°C"))
    spots = sorted(
        float(part.get("x", "")) for part in root.iter(f"{SVG}text")
        if part.get("text-anchor") == "middle"
    )  # fmt: skip
    assert 4 <= len(spots) <= 15
    # Letters of 13 px are about 8 wide: "18" takes 16, "30 Nov" takes 48.
    longest = max(len(word) for word in texts(root) if re.fullmatch(r"\d\d|\d+ [A-Z]\w\w", word))
    assert min(after - before for before, after in pairwise(spots)) > 8 * longest


def test_trace_of_equal_readings_is_drawn_level() -> None:
    root = parsed(draw_trace([(SEVEN, 5.0), (SEVEN + hours(1), 5.0)], unit="°C"))
    path = next(part for part in root.iter(f"{SVG}path") if part.get("class") == "trace")
    first, second = (
        part.split(" ")[1] for part in path.get("d", "").replace(" L", "|L").split("|")
    )
    assert first == second


@pytest.mark.parametrize("points", [[], [(SEVEN, 1.0)], [(SEVEN, 1.0), (SEVEN, float("nan"))]])
def test_trace_needs_two_finite_readings(points: list[tuple[datetime, float]]) -> None:
    with pytest.raises(ValueError, match="two readings"):
        draw_trace(points, unit="°C")


@pytest.mark.parametrize(("floor", "roof"), [(0, 1), (-3, 33), (4.9, 5.1), (0, 12345)])
def test_steps_of_a_scale_are_few_and_inside(floor: float, roof: float) -> None:
    found = steps(floor, roof)
    assert 2 <= len(found) <= 6
    assert floor <= found[0] <= found[-1] <= roof
