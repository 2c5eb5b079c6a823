"""Sizes of areas, and how a check-measure compares."""

from __future__ import annotations

import math

import pytest

from jobs.surveys.rules.sizes import (
    LARGE_M2,
    TAPE_M,
    compare,
    is_large,
    sentence,
    shape_mapping,
    size_of,
)

RECTANGLE = shape_mapping(
    "rectangle", {"length": "6.2 m", "width": "3.4 m"}, deduct=False, shared=""
)
COVER = shape_mapping("circle", {"diameter": "0.6 m"}, deduct=True, shared="")


def test_shapes_are_added_and_deducted_and_the_edge_is_the_outline() -> None:
    size = size_of([RECTANGLE, COVER])
    assert size.area_m2 == pytest.approx(6.2 * 3.4 - math.pi * 0.09)
    assert size.edge_m == pytest.approx(2 * (6.2 + 3.4))
    # Errors of independent lengths, to first order: a·db and b·da and (π d/2)·dd.
    by_hand = TAPE_M * math.sqrt(6.2**2 + 3.4**2 + (math.pi * 0.3) ** 2)
    assert size.uncertainty_m2 == pytest.approx(by_hand)
    assert size.problem == ""


def test_a_shared_length_leaves_the_edge() -> None:
    beside = shape_mapping(
        "rectangle", {"length": "2 m", "width": "1 m"}, deduct=False, shared="1 m"
    )
    assert size_of([RECTANGLE, beside]).edge_m == pytest.approx(19.2 + 6 - 2)
    silent = shape_mapping("rectangle", {"length": "2 m", "width": "1 m"}, deduct=False, shared="")
    assert size_of([RECTANGLE, silent]).edge_m is None


def test_a_deduction_says_nothing_of_what_it_shares() -> None:
    assert "shared" not in shape_mapping("circle", {}, deduct=True, shared="1 m")


def test_no_shapes_and_impossible_ones_have_a_problem_in_a_sentence() -> None:
    assert size_of([]).problem == "Not measured yet."
    problem = size_of([COVER]).problem
    assert problem.startswith("The deductions leave no area")
    assert problem.endswith(".")
    assert sentence("") == ""


def test_only_growing_beyond_the_bound_is_asked_about() -> None:
    def square(side: float) -> list[dict[str, object]]:
        lengths = {"length": f"{side} m", "width": f"{side} m"}
        return [shape_mapping("rectangle", lengths, deduct=False, shared="")]

    limit = math.sqrt(LARGE_M2)
    assert is_large([], square(limit + 0.01))
    assert not is_large([], square(limit - 0.01))
    assert not is_large(square(300), square(250))


def test_differences_are_by_name_with_the_totals_beneath() -> None:
    rows, total = compare({"drive": 40.0, "path": 10.0}, {"drive": 42.0, "step": 1.0})
    assert [(r.name, r.m2, r.percent) for r in rows] == [
        ("drive", 2.0, 5.0), ("path", None, None), ("step", None, None),
    ]  # fmt: skip
    assert (total.survey_m2, total.check_m2, total.m2, total.percent) == (50.0, 43.0, -7.0, -14.0)
