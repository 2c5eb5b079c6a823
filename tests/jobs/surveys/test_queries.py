"""What other rooms read of a survey."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import Any

import pytest

from jobs.surveys.models import Survey
from jobs.surveys.queries import (
    placed_pieces,
    sheets_of,
    survey_document,
    survey_plan,
    surveys_of,
    totals_of,
    totals_with,
)
from quotes.engine.areas import PlanPiece
from quotes.engine.parse import parse_request
from tests.factories import make_area, make_survey

pytestmark = pytest.mark.django_db
# The design's own example blend.
BLEND = {
    "kit": {"part_a": "4.8 kg", "part_b": "2.2 kg", "working_time_20c": "26 min",
            "cure_time_20c": "10 h", "uv_stable": True},
    "components": [{"name": "stone 2-6 mm", "bag": "20 kg", "bags": 4, "max_size": "6.3 mm"},
                   {"name": "stone 1-2 mm", "bag": "20 kg", "bags": 1, "max_size": "2 mm"},
                   {"name": "fine sand", "bag": "5 kg", "bags": 1}],
    "yield": {"area": "3.15 m^2", "depth": "20 mm"},
}  # fmt: skip


def test_the_document_is_the_engines_with_pour_and_colour() -> None:
    survey = make_survey(base_texture_mm=Decimal("1.5"))
    make_area(
        survey,
        name="drive",
        shapes=[
            {"kind": "rectangle", "measurements": {"length": "6.2 m", "width": "3.4 m"}},
            {"kind": "circle", "measurements": {"diameter": "0.6 m"}, "deduct": True},
        ],
    )
    make_area(survey, name="not taped", shapes=[])
    (area,) = survey_document(Survey.objects.get(pk=survey.pk))
    assert area == {
        "name": "drive", "use": "vehicles", "depth": "20 mm", "base_texture": "1.5 mm",
        "outdoors": True, "session": "pour 1", "colour_group": "buff",
        "shapes": [
            {"kind": "rectangle", "length": "6.2 m", "width": "3.4 m"},
            {"kind": "circle", "diameter": "0.6 m", "deduct": True},
        ],
    }  # fmt: skip
    del area["colour_group"]
    request = parse_request({"blend": BLEND, "areas": [area], "waste_percent": 5, "air": "12 degC"})
    assert request.areas[0].measure.area_m2 == pytest.approx(6.2 * 3.4 - 3.14159265 * 0.09)


@pytest.mark.parametrize("count", [1, 3])
def test_sizes_cost_the_same_for_any_number(count: int, django_assert_num_queries: Any) -> None:
    survey = make_survey()
    for _ in range(count):
        make_area(survey)
    with django_assert_num_queries(2):
        sheets = sheets_of(survey)
    assert totals_of(sheets).area_m2 == pytest.approx(count * 6.2 * 3.4)
    with django_assert_num_queries(3):
        (found,) = surveys_of(survey.job_id)
        assert totals_with(found).totals.area_m2 == pytest.approx(count * 6.2 * 3.4)


def test_totals_add_edges_only_where_all_are_known() -> None:
    survey = make_survey()
    make_area(survey)
    assert totals_of(sheets_of(survey)).edge_m == pytest.approx(19.2)
    make_area(
        survey,
        shapes=[{"kind": "trapezium", "measurements": {"a": "5 m", "b": "3 m", "height": "2 m"}}],
    )
    make_area(survey, shapes=[])
    totals = totals_of(sheets_of(survey))
    assert (totals.edge_m, totals.unmeasured) == (None, 1)
    assert totals.area_m2 == pytest.approx(6.2 * 3.4 + 8)


def test_the_plan_shows_areas_deductions_and_holes() -> None:
    survey = make_survey()
    assert survey_plan(survey) == ""
    make_area(
        survey,
        name="drive",
        shapes=[
            {"kind": "rectangle", "measurements": {"length": "6.2 m", "width": "3.4 m"}},
            {
                "kind": "circle",
                "measurements": {"diameter": "0.6 m"},
                "deduct": True,
                "note": "pit",
            },
        ],
    )
    make_area(
        survey,
        name="turning circle",
        shapes=[
            {"kind": "ring", "measurements": {"outer_diameter": "4 m", "inner_diameter": "2 m"}}
        ],
    )
    svg = survey_plan(survey)
    assert len(re.findall(r'class="area"', svg)) == 2
    assert len(re.findall(r'class="cut"', svg)) == 2
    assert ">pit<" in svg
    assert "6.20 m" in svg


def test_a_shape_is_drawn_where_the_survey_says_and_its_deduction_follows() -> None:
    area = make_area(shapes=[])
    square = (((0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)),)
    pit = (((0.5, 0.5), (1.5, 0.5), (1.0, 1.5)),)
    shapes = [
        area.shapes.create(
            position=0, kind="rectangle", at_x_m=Decimal("5.00"), at_y_m=Decimal("1.00")
        ),
        area.shapes.create(position=1, kind="triangle", deduct=True),
    ]
    shapes.append(area.shapes.create(position=2, kind="rectangle"))
    beside = (((2.5, 0.0), (4.5, 0.0), (4.5, 2.0), (2.5, 2.0)),)
    pieces = [
        PlanPiece(square, False, False, ""),
        PlanPiece(pit, True, False, ""),
        PlanPiece(beside, False, False, ""),
    ]
    first, second, third = placed_pieces(pieces, shapes)
    assert first.rings[0][0] == (5.0, 1.0)
    assert second.rings[0][0] == (5.5, 1.5)
    # What nobody placed moves on by room for a dimension line: 7 % of 4.5 m.
    assert third.rings[0][0][0] == pytest.approx(2.5 + 0.315)
