"""Visits: started, answered, finished, opened again, discarded, checked."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest

from jobs.kernel.errors import ServiceError
from jobs.kernel.versions import StaleError
from jobs.surveys import services
from jobs.surveys.models import Area, Pour, Shape, Survey
from jobs.surveys.queries import differences, measured_survey, survey_document
from tests.factories import make_area, make_job, make_site, make_survey

pytestmark = pytest.mark.django_db


def test_a_visit_to_come_stands_in_the_diary(owner: Any, at: datetime) -> None:
    when = at + timedelta(days=3)
    key = uuid4()
    job = make_job()

    def start() -> Survey:
        return services.start_survey(
            job_id=job.pk, base_kind="tarmac", visited_at=when, key=key, by=owner, at=at
        )

    survey = start()
    assert start() == survey
    assert (survey.visited_at, survey.surveyor, survey.kind) == (when, owner, "survey")
    assert list(Survey.objects.open_visits(when + timedelta(hours=1))) == [survey]
    assert list(Survey.objects.open_visits(when)) == []


def test_a_closed_job_is_not_measured(owner: Any, at: datetime) -> None:
    job = make_job(stage="cancelled")
    with pytest.raises(ServiceError, match="is cancelled; open it again first"):
        services.start_survey(job_id=job.pk, base_kind="tarmac", by=owner, at=at)


def test_finishing_moves_the_job_to_surveyed(owner: Any, at: datetime) -> None:
    survey = make_area().survey
    services.finish_survey(survey_id=survey.pk, by=owner, at=at)
    services.finish_survey(survey_id=survey.pk, by=owner, at=at + timedelta(hours=1))
    survey.refresh_from_db()
    survey.job.refresh_from_db()
    assert (survey.finished_at, survey.job.stage) == (at, "surveyed")
    assert survey.job.stage_changes.count() == 1


def test_nothing_measured_is_not_finished(owner: Any, at: datetime) -> None:
    survey = make_survey()
    with pytest.raises(ServiceError) as refusal:
        services.finish_survey(survey_id=survey.pk, by=owner, at=at)
    assert refusal.value.message == "Add at least one area before you finish."
    make_area(survey)
    make_area(survey, name="step", shapes=[])
    with pytest.raises(ServiceError) as refusal:
        services.finish_survey(survey_id=survey.pk, by=owner, at=at)
    assert refusal.value.message == "step: Not measured yet."
    survey.job.refresh_from_db()
    assert survey.job.stage == "enquiry"


def test_a_finished_survey_is_written_on_only_when_opened_again(owner: Any, at: datetime) -> None:
    area = make_area(make_survey(finished_at=at))
    survey = area.survey
    refused = {"code": "finished"}
    for call in (
        lambda: services.change_survey(survey_id=survey.pk, version=1, by=owner, at=at),
        lambda: services.remove_area(area_id=area.pk, by=owner, at=at),
        lambda: services.discard_survey(survey_id=survey.pk, by=owner, at=at),
    ):
        with pytest.raises(ServiceError) as refusal:
            call()
        assert refusal.value.code == refused["code"]
    services.reopen_survey(survey_id=survey.pk, note="one more area", by=owner, at=at)
    services.remove_area(area_id=area.pk, by=owner, at=at)
    assert not Area.objects.exists()


def test_answers_saved_twice_from_one_page_are_refused(owner: Any, at: datetime) -> None:
    survey = make_survey()
    services.change_survey(survey_id=survey.pk, version=1, trees="yes", by=owner, at=at)
    with pytest.raises(StaleError):
        services.change_survey(survey_id=survey.pk, version=1, trees="no", by=owner, at=at)
    survey.refresh_from_db()
    assert survey.trees == "yes"


def test_discarding_takes_all_measurements(owner: Any, at: datetime) -> None:
    survey = make_area().survey
    services.discard_survey(survey_id=survey.pk, by=owner, at=at)
    assert not Survey.objects.exists()
    assert not Shape.objects.exists()
    assert not Pour.objects.exists()


def test_a_check_starts_from_the_survey_and_shows_what_differs(owner: Any, at: datetime) -> None:
    survey = make_survey(finished_at=at, base_kind="concrete", trees="yes")
    drive = make_area(survey, name="drive")
    make_area(survey, name="path", pour=drive.pour, depth_mm=Decimal("15.0"))
    with pytest.raises(ServiceError) as refusal:
        services.start_survey(job_id=make_job().pk, kind="check", by=owner, at=at)
    assert refusal.value.code == "no_survey"

    check = services.start_survey(job_id=survey.job_id, kind="check", by=owner, at=at)

    assert (check.base_kind, check.trees, check.finished_at) == ("concrete", "yes", None)
    assert survey_document(check) == survey_document(survey)
    shape = check.areas.get(name="drive").shapes.get()
    services.change_shape(
        shape_id=shape.pk, measurements={"length": "6.2 m", "width": "3.5 m"}, by=owner, at=at
    )
    found = differences(check)
    assert found is not None
    rows, total = found
    assert [(r.name, round(r.m2 or 0, 2), round(r.percent or 0, 2)) for r in rows] == [
        ("drive", 0.62, 2.94), ("path", 0.0, 0.0),
    ]  # fmt: skip
    assert total.m2 == pytest.approx(0.62)
    assert measured_survey(survey.job_id) == survey
    services.finish_survey(survey_id=check.pk, by=owner, at=at)
    assert measured_survey(survey.job_id) == check
    survey.job.refresh_from_db()
    assert survey.job.stage == "enquiry"  # only a survey makes a job 'surveyed'


def test_a_repeat_job_starts_from_another_surveys_measurements(owner: Any, at: datetime) -> None:
    first = make_area(make_survey(finished_at=at, trees="yes")).survey
    plot = make_job(make_site(first.job.customer))
    survey = services.start_survey(
        job_id=plot.pk, base_kind="concrete", copy_from=first.pk, by=owner, at=at
    )
    assert [area["shapes"] for area in survey_document(survey)] == [
        area["shapes"] for area in survey_document(first)
    ]
    # The answers are of another place, and what was typed wins over what is copied.
    assert (survey.trees, survey.base_kind) == ("unknown", "concrete")
    with pytest.raises(ServiceError) as refusal:
        services.start_survey(
            job_id=make_job().pk, base_kind="tarmac", copy_from=first.pk, by=owner, at=at
        )
    assert refusal.value.field == "copy_from"
