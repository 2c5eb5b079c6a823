from __future__ import annotations

import io
import math
import re
import xml.etree.ElementTree as ET
from itertools import pairwise
from typing import Any

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader
from shapely.geometry import Polygon

from jobs.kernel.drawing import PlanArea, PlanCut, draw_plan, grid_square, reading_turn
from jobs.kernel.outlines import area_of, centroid, clear_stretch, middle, within

SVG = "{http://www.w3.org/2000/svg}"
DRIVE = [(0.0, 0.0), (8.4, 0.0), (8.4, 5.1), (0.0, 5.1)]
ELL = [(0.0, 0.0), (6.0, 0.0), (6.0, 1.0), (1.0, 1.0), (1.0, 5.0), (0.0, 5.0)]


def parsed(svg: str) -> ET.Element:
    return ET.fromstring(svg)  # noqa: S314 - our own drawing


def corners(path: str) -> list[tuple[float, float]]:
    return [(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", path)]


def of_class(root: ET.Element, name: str) -> list[ET.Element]:
    return [part for part in root.iter() if part.get("class") == name]


def texts(root: ET.Element) -> list[str]:
    return [part.text or "" for part in root.iter(f"{SVG}text")]


def test_plan_is_to_one_scale_with_north_up() -> None:
    path = [(10.0, 0.0), (11.2, 0.0), (11.2, 6.0), (10.0, 6.0)]
    root = parsed(draw_plan([PlanArea("drive", [DRIVE]), PlanArea("path", [path])]))
    drive, other = (corners(part.get("d", "")) for part in of_class(root, "area"))
    scale = (drive[1][0] - drive[0][0]) / 8.4
    assert drive[0][1] > drive[2][1]
    assert drive[0][1] - drive[2][1] == pytest.approx(5.1 * scale, abs=0.11)
    assert other[1][0] - other[0][0] == pytest.approx(1.2 * scale, abs=0.11)
    assert other[0][0] - drive[0][0] == pytest.approx(10 * scale, abs=0.11)


def test_grid_square_is_stated_and_drawn() -> None:
    root = parsed(draw_plan([PlanArea("drive", [DRIVE])]))
    assert "1 square = 1 m" in texts(root)
    drive = corners(of_class(root, "area")[0].get("d", ""))
    scale = (drive[1][0] - drive[0][0]) / 8.4
    across = [
        float(x) for x in re.findall(r"M([\d.]+) 0 V", of_class(root, "grid")[0].get("d", ""))
    ]
    steps = [b - a for a, b in pairwise(across)]
    assert steps == pytest.approx([scale] * len(steps), abs=0.11)
    assert any(x == pytest.approx(drive[0][0], abs=0.11) for x in across)


@pytest.mark.parametrize(
    ("scale", "square"), [(45, 1.0), (9, 1.0), (6, 2.0), (1, 10.0), (0.05, 100.0)]
)
def test_grid_never_finer_than_can_be_read(scale: float, square: float) -> None:
    assert grid_square(scale) == square


def test_rectangle_is_dimensioned_once_each_way() -> None:
    words = texts(parsed(draw_plan([PlanArea("drive", [DRIVE])])))
    assert sorted(word for word in words if word.endswith(" m") and word[0].isdigit()) == sorted(
        ["8.40 m", "5.10 m", "1 square = 1 m"]
    )


@pytest.mark.parametrize("ring", [ELL, ELL[::-1]])
def test_every_side_of_a_plain_outline_is_dimensioned_outside_it(ring: Any) -> None:
    root = parsed(draw_plan([PlanArea("court", [ring])]))
    # A hair inside, since a dimension in the corner of the L touches the other side.
    shape = Polygon(corners(of_class(root, "area")[0].get("d", ""))).buffer(-0.5)
    marks = [
        part for part in root.iter(f"{SVG}text") if re.fullmatch(r"\d\.\d\d m", part.text or "")
    ]
    assert sorted(part.text or "" for part in marks) == [
        "1.00 m", "1.00 m", "4.00 m", "5.00 m", "5.00 m", "6.00 m",
    ]  # fmt: skip
    for part in marks:
        at = shapely.Point(float(part.get("x", "")), float(part.get("y", "")))
        assert not shape.contains(at)
    for part in of_class(root, "dim"):
        ends = [(float(part.get(f"x{n}", "")), float(part.get(f"y{n}", ""))) for n in (1, 2)]
        assert shape.intersection(shapely.LineString(ends)).length == 0


def test_round_outline_gets_its_overall_size_only() -> None:
    ring = [(math.cos(math.tau * n / 40), math.sin(math.tau * n / 40)) for n in range(40)]
    words = texts(parsed(draw_plan([PlanArea("bed", [ring])])))
    assert words.count("2.00 m") == 2
    assert len(words) == 4  # with the name and the grid's square


def test_areas_measured_from_their_own_corners_are_set_side_by_side_and_said_so() -> None:
    joint = ((3.0, 0.0), (3.0, 5.1))
    root = parsed(draw_plan([PlanArea("a", [DRIVE]), PlanArea("b", [ELL])], joints=[joint]))
    first, second = (Polygon(corners(part.get("d", ""))) for part in of_class(root, "area"))
    assert not first.intersects(second)
    assert of_class(root, "joint") == []
    assert any("areas set side by side" in word for word in texts(root))
    assert "their places on the site are not shown" in root.get("aria-label", "")


def test_label_keeps_clear_of_the_joint_and_of_what_is_cut_out() -> None:
    cut = [(3.9, 2.3), (4.5, 2.3), (4.5, 2.9), (3.9, 2.9)]
    area = PlanArea("drive", [DRIVE], [PlanCut(cut, "cover")], label="drive 42.6 m²")
    root = parsed(draw_plan([area], joints=[((3.0, 0.0), (3.0, 5.1))]))
    label = next(part for part in root.iter(f"{SVG}text") if part.text == "drive 42.6 m²")
    x, half = float(label.get("x", "")), 50
    joint_x = float(of_class(root, "joint")[0].get("x1", ""))
    cut_shape = Polygon(corners(of_class(root, "cut")[0].get("d", "")))
    y = float(label.get("y", ""))
    assert not x - half < joint_x < x + half
    assert not shapely.box(x - half, y - 11, x + half, y + 3).intersects(cut_shape)


def test_text_alternative_names_each_area_and_cut() -> None:
    cut = PlanCut([(1, 1), (2, 1), (2, 2)], "cover")
    root = parsed(draw_plan([PlanArea("drive", [DRIVE], [cut])], title="Plan of Weir End"))
    words = "drive: 8.40 m by 5.10 m overall, less cover."
    assert root.get("role") == "img"
    assert root.get("aria-label") == f"Plan of Weir End. {words}"
    assert [root.findtext(f"{SVG}title"), root.findtext(f"{SVG}desc")] == [
        "Plan of Weir End",
        words,
    ]


def test_names_cannot_bring_markup_in() -> None:
    bad = '<script>alert("x")</script>&'
    cut = PlanCut([(1, 1), (2, 1), (2, 2)], bad)
    svg = draw_plan([PlanArea(bad, [DRIVE], [cut], bays=[(bad, 1, 1)])], title=bad, desc=bad)
    root = parsed(svg)
    assert list(root.iter(f"{SVG}script")) == []
    assert texts(root).count(bad) == 3


def test_drawing_has_no_style_attribute_which_the_policy_forbids() -> None:
    root = parsed(draw_plan([PlanArea("drive", [DRIVE])], joints=[((1, 0), (1, 5))]))
    assert all("style" not in part.attrib for part in root.iter())


@pytest.mark.parametrize(
    "rings",
    [
        [],
        [[(0, 0), (1, 1)]],
        [[(0, 0), (1, 0), (math.nan, 1)]],
        [[(0, 0), (1, 0), (math.inf, 1)]],
    ],
)
def test_what_cannot_be_drawn_is_refused(rings: Any) -> None:
    with pytest.raises(ValueError, match=r"no area|three corners|finite"):
        draw_plan([PlanArea("x", rings)])


def test_plan_is_the_same_in_a_pdf() -> None:
    from weasyprint import HTML

    svg = draw_plan([PlanArea("drive", [DRIVE], label="drive 42.84 m²")])
    pdf = HTML(string=f"<html lang='en'><title>x</title><body>{svg}</body></html>").write_pdf()
    words = PdfReader(io.BytesIO(pdf)).pages[0].extract_text().replace(" ", "")
    for word in ("drive 42.84 m²", "8.40 m", "5.10 m", "1 square = 1 m"):
        assert word.replace(" ", "") in words


@pytest.mark.parametrize(
    ("angle", "turn"), [(0, 0), (90, -90), (-90, -90), (180, 0), (135, -45), (-135, 45), (30, 30)]
)
def test_figures_read_from_the_left_or_from_below(angle: float, turn: float) -> None:
    assert reading_turn(angle) == turn


# shapely stands for plane geometry: a star-shaped outline has no crossing sides.
radii = st.lists(st.floats(0.5, 20), min_size=3, max_size=12)


@given(radii)
def test_area_and_centroid_agree_with_shapely(lengths: list[float]) -> None:
    count = len(lengths)
    ring = [
        (r * math.cos(math.tau * n / count), r * math.sin(math.tau * n / count))
        for n, r in enumerate(lengths)
    ]
    shape = Polygon(ring)
    assert area_of(ring) == pytest.approx(shape.area, rel=1e-9)
    assert centroid(ring) == pytest.approx((shape.centroid.x, shape.centroid.y), abs=1e-6)


@given(radii)
def test_label_place_lies_inside_the_outline(lengths: list[float]) -> None:
    count = len(lengths)
    ring = [
        (r * math.cos(math.tau * n / count), r * math.sin(math.tau * n / count))
        for n, r in enumerate(lengths)
    ]
    shape = Polygon(ring)
    assert shape.buffer(1e-6).contains(shapely.Point(middle(ring)))
    length, centre = clear_stretch(ring, [], 0.0)
    assert shape.buffer(1e-6).contains(shapely.Point(centre))
    half = shapely.LineString(
        [(centre[0] - length / 2, centre[1]), (centre[0] + length / 2, centre[1])]
    )
    assert shape.buffer(1e-6).contains(half)


def test_middle_of_an_ell_is_not_its_centre_of_gravity() -> None:
    assert not within(centroid(ELL), ELL)
    assert within(middle(ELL), ELL)
