"""Areas, pours and colour groups."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import uuid4

import pytest

from jobs.kernel.errors import ServiceError
from jobs.kernel.versions import StaleError
from jobs.surveys import services
from jobs.surveys.models import Area, Survey
from jobs.surveys.queries import survey_document
from quotes.takeoff.models import BlendChoice
from tests.factories import make_area, make_blend, make_survey

pytestmark = pytest.mark.django_db


def add(survey: Survey, by: Any, at: datetime, **values: Any) -> Area:
    given = {"name": "drive", "use": "vehicles", "depth_mm": "18"} | values
    return services.add_area(survey_id=survey.pk, by=by, at=at, **given)


def pours(survey: Survey) -> dict[str, str]:
    return {pour.name: pour.colour_group.name for pour in survey.pours.all()}


def test_areas_of_one_pour_share_it_and_names_are_matched_without_capitals(
    owner: Any, at: datetime
) -> None:
    survey = make_survey()
    drive = add(survey, owner, at, pour_name="Front", group_name="buff")
    path = add(survey, owner, at, name="path", pour_name="front")
    step = add(survey, owner, at, name="step", pour_name="back", group_name="Buff")
    assert drive.pour == path.pour
    assert step.pour.colour_group == drive.pour.colour_group
    assert [area.position for area in survey.areas.all()] == [0, 1, 2]


def test_a_double_click_adds_one_area(owner: Any, at: datetime) -> None:
    survey, key = make_survey(), uuid4()
    assert add(survey, owner, at, key=key) == add(survey, owner, at, key=key)
    assert survey.areas.count() == 1


@pytest.mark.parametrize(
    ("values", "field", "sentence"),
    [
        (
            {"depth_mm": "-18"}, "depth_mm",
            "-18 mm is no depth of a laid surface; accepted is 0.1 to 500 mm.",
        ),
        (
            {"depth_mm": "0"}, "depth_mm",
            "0 mm is no depth of a laid surface; accepted is 0.1 to 500 mm.",
        ),
        (
            {"name": "Path"}, "name",
            "There is an area called 'Path' already; give this one another name.",
        ),
        (
            {"pour_name": "pour 1", "group_name": "grey"}, "pour_name",
            ("'pour 1' is laid in the colour 'buff'. Areas of one pour are of one colour: name "
            "another pour."),
        ),
        ({"use": "aircraft"}, "use", "Value 'aircraft' is not a valid choice."),
    ],
)  # fmt: skip
def test_a_malformed_area_is_refused_at_its_field(
    values: dict[str, Any], field: str, sentence: str, owner: Any, at: datetime
) -> None:
    survey = make_area(name="path").survey
    with pytest.raises(ServiceError) as refusal:
        add(survey, owner, at, **values)
    assert (refusal.value.field, refusal.value.message) == (field, sentence)
    assert survey.areas.count() == 1


def test_moving_an_area_drops_the_pour_it_leaves_empty(owner: Any, at: datetime) -> None:
    survey = make_survey()
    add(survey, owner, at, pour_name="front", group_name="buff")
    path = add(survey, owner, at, name="path", pour_name="back", group_name="grey")
    services.change_area(
        area_id=path.pk, name="path", use="pedestrian", depth_mm="15", pour_name="front",
        by=owner, at=at,
    )  # fmt: skip
    assert pours(survey) == {"front": "buff"}
    assert survey.colour_groups.count() == 1


def test_a_pour_of_one_area_may_change_its_colour(owner: Any, at: datetime) -> None:
    survey = make_survey()
    drive = add(survey, owner, at, pour_name="front", group_name="buff")
    services.change_area(
        area_id=drive.pk, name="drive", use="vehicles", depth_mm="18", pour_name="front",
        group_name="grey", by=owner, at=at,
    )  # fmt: skip
    assert pours(survey) == {"front": "grey"}
    assert [group.name for group in survey.colour_groups.all()] == ["grey"]


def test_a_second_save_of_one_page_is_refused(owner: Any, at: datetime) -> None:
    area = make_area(name="drive")
    seen = area.version
    same: dict[str, Any] = {"area_id": area.pk, "use": "vehicles", "depth_mm": "20"}
    services.change_area(name="front drive", version=seen, by=owner, at=at, **same)
    with pytest.raises(StaleError):
        services.change_area(name="drive", version=seen, by=owner, at=at, **same)
    area.refresh_from_db()
    assert area.name == "front drive"


def test_removing_an_area_takes_its_pour_and_colour_along(owner: Any, at: datetime) -> None:
    area = make_area()
    services.remove_area(area_id=area.pk, by=owner, at=at)
    assert survey_document(area.survey) == []
    assert not area.survey.pours.exists()
    assert not area.survey.colour_groups.exists()


def test_a_colour_with_a_blend_chosen_for_it_stays_when_its_last_area_goes(
    owner: Any, at: datetime
) -> None:
    """The choice of a higher app protects it; the area goes all the same."""
    area = make_area()
    group = area.pour.colour_group
    BlendChoice.objects.create(colour_group=group, blend=make_blend())

    services.remove_area(area_id=area.pk, by=owner, at=at)

    assert not Area.objects.filter(pk=area.pk).exists()
    assert list(area.survey.pours.all()) == []
    assert list(area.survey.colour_groups.all()) == [group]
