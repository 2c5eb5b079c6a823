"""Shapes: what the engine refuses stands at the field, what is very large is asked again."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import uuid4

import pytest

from jobs.kernel.errors import ServiceError
from jobs.kernel.versions import StaleError
from jobs.surveys import services
from jobs.surveys.models import Area, Shape
from jobs.surveys.queries import sheet_of
from tests.factories import make_area

pytestmark = pytest.mark.django_db


def add(area: Area, by: Any, at: datetime, kind: str = "rectangle", **values: Any) -> Shape:
    measurements = values.pop("measurements", {"length": "2 m", "width": "1 m"})
    return services.add_shape(
        area_id=area.pk, kind=kind, measurements=measurements, by=by, at=at, **values
    )


def test_shapes_add_up_as_they_were_written_down(owner: Any, at: datetime) -> None:
    area = make_area(shapes=[])
    add(area, owner, at, measurements={"length": "12 ft 6 in", "width": "3200 mm"})
    add(
        area, owner, at, kind="circle", measurements={"diameter": "0.6 m"}, deduct=True, note="tree"
    )
    sheet = sheet_of(Area.objects.measured().get(pk=area.pk))
    # 12 ft 6 in is 3.81 m by the international foot of 0.3048 m.
    assert sheet.size.area_m2 == pytest.approx(3.81 * 3.2 - 3.14159265 * 0.09)
    assert next(line.shape.measurements for line in sheet.lines)["length"] == "12 ft 6 in"


def test_a_double_click_adds_one_shape(owner: Any, at: datetime) -> None:
    area, key = make_area(shapes=[]), uuid4()
    assert add(area, owner, at, key=key) == add(area, owner, at, key=key)
    assert area.shapes.count() == 1


@pytest.mark.parametrize(
    ("kind", "measurements", "field", "sentence"),
    [
        (
            "triangle", {"a": "2 m", "b": "3 m", "c": "6 m"}, "a",
            ("Sides of 2 m, 3 m and 6 m do not close: the longest, 6 m, must be shorter than the "
            "other two together, 5 m."),
        ),
        (
            "rectangle", {"length": "6.2 m", "width": "-3.4 m"}, "width",
            ("'-3.4 m' must be more than nought; write a length such as '3.2 m', '3200 mm' or "
            "'12 ft 6 in'."),
        ),
        (
            "rectangle", {"length": "6.2 ells", "width": "3.4 m"}, "length",
            ("'6.2 ells' has no unit of length that is known here; use one of m, mm, cm, km, ft, "
            "in, yd, as '3.2 m', '3200 mm' or '12 ft 6 in'."),
        ),
        (
            "rectangle", {"length": "6.2", "width": "3.4 m"}, "length",
            ("'6.2' has no unit; a length needs one of m, mm, cm, km, ft, in, yd, as '3.2 m', "
            "'3200 mm' or '12 ft 6 in'."),
        ),
        (
            "ring", {"outer_diameter": "1 m", "inner_diameter": "2 m"}, "inner_diameter",
            "The inner diameter, 2 m, must be smaller than the outer one, 1 m.",
        ),
        (
            "outline", {"points": [[0, 0], [2, 2], [2, 0], [0, 2]]}, "points",
            ("The outline crosses or touches itself: the side from corner 1 to corner 2 meets the "
            "side from corner 3 to corner 4; give the corners in order round the edge."),
        ),
        ("circle", {}, "diameter", "'diameter' is missing; it must be given here."),
    ],
)  # fmt: skip
def test_what_no_figure_has_is_refused_at_the_field(
    kind: str, measurements: dict[str, Any], field: str, sentence: str, owner: Any, at: datetime
) -> None:
    area = make_area()
    with pytest.raises(ServiceError) as refusal:
        add(area, owner, at, kind=kind, measurements=measurements)
    assert (refusal.value.field, refusal.value.message) == (field, sentence)
    assert area.shapes.count() == 1


def test_a_deduction_that_leaves_nothing_is_refused(owner: Any, at: datetime) -> None:
    area = make_area()
    with pytest.raises(ServiceError) as refusal:
        add(area, owner, at, measurements={"length": "6.2 m", "width": "3.4 m"}, deduct=True)
    assert refusal.value.field == "deduct"
    with pytest.raises(ServiceError) as refusal:
        add(make_area(shapes=[]), owner, at, deduct=True)
    assert refusal.value.field == "deduct"


def test_sharing_more_than_there_is_is_refused_at_its_field(owner: Any, at: datetime) -> None:
    with pytest.raises(ServiceError) as refusal:
        add(make_area(), owner, at, shared="9 m")
    assert refusal.value.field == "shared"
    with pytest.raises(ServiceError) as refusal:
        add(make_area(shapes=[]), owner, at, shared="1 m")
    assert (refusal.value.field, refusal.value.message) == (
        "shared",
        "The first shape has no earlier one to share with; say it of the later one.",
    )


def test_a_very_large_area_is_asked_again_and_then_taken(owner: Any, at: datetime) -> None:
    area = make_area(shapes=[])
    field = {"length": "250 m", "width": "200 m"}
    with pytest.raises(ServiceError) as refusal:
        add(area, owner, at, measurements=field)
    assert (refusal.value.code, refusal.value.field) == ("ask_large", "large")
    assert refusal.value.message == (
        "The area comes to 50,000.00\N{NO-BREAK SPACE}m². Is it that large? Tick to say so, or "
        "put the measurements right."
    )
    assert not area.shapes.exists()
    add(area, owner, at, measurements=field, large=True)
    assert area.shapes.count() == 1


def test_a_change_is_judged_with_the_other_shapes(owner: Any, at: datetime) -> None:
    area = make_area()
    shape = area.shapes.get()
    cover = add(area, owner, at, kind="circle", measurements={"diameter": "0.6 m"}, deduct=True)
    with pytest.raises(ServiceError) as refusal:
        services.change_shape(
            shape_id=shape.pk, measurements={"length": "0.5 m", "width": "0.5 m"}, by=owner, at=at
        )
    assert refusal.value.code in {"nothing_left", "deduction_outside"}
    seen = cover.version
    services.change_shape(
        shape_id=cover.pk, measurements={"diameter": "0.5 m"}, deduct=True, version=seen, by=owner,
        at=at,
    )  # fmt: skip
    with pytest.raises(StaleError):
        services.change_shape(
            shape_id=cover.pk, measurements={"diameter": "0.4 m"}, deduct=True, version=seen,
            by=owner, at=at,
        )  # fmt: skip
    cover.refresh_from_db()
    assert cover.measurements == {"diameter": "0.5 m"}


def test_what_a_deduction_is_cut_from_is_not_removed(owner: Any, at: datetime) -> None:
    area = make_area()
    shape = area.shapes.get()
    cover = add(area, owner, at, kind="circle", measurements={"diameter": "0.6 m"}, deduct=True)
    with pytest.raises(ServiceError, match="What is left would be no area: The deductions leave"):
        services.remove_shape(shape_id=shape.pk, by=owner, at=at)
    services.remove_shape(shape_id=cover.pk, by=owner, at=at)
    services.remove_shape(shape_id=shape.pk, by=owner, at=at)
    assert not Shape.objects.exists()


def test_a_place_on_the_plan_needs_both_figures(owner: Any, at: datetime) -> None:
    with pytest.raises(ServiceError) as refusal:
        add(make_area(), owner, at, at_x_m=2)
    assert refusal.value.field == "at_x_m"
