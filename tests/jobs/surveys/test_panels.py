"""What the surveys' room adds to the job's page and to today."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.test import RequestFactory

from jobs.surveys.panels import measure_next, surveys_of_job, visits_due
from tests.factories import AT, make_area, make_job, make_survey

pytestmark = pytest.mark.django_db


def test_an_enquiry_is_measured_next() -> None:
    request = RequestFactory().get("/")
    job = make_job()
    offered = measure_next(request, job)
    assert offered is not None
    assert offered[1]["url"] == f"/surveys/add/{job.pk}/"
    visit = make_survey(job, visited_at=AT + timedelta(days=1))
    offered = measure_next(request, job)
    assert offered is not None
    assert offered[1]["why"] == "Visit of Fri 15 May, 09:00."
    assert offered[1]["url"] == f"/surveys/{visit.pk}/"
    assert measure_next(request, make_job(stage="quoted")) is None


def test_a_check_is_offered_once_a_survey_is_finished(django_assert_num_queries: Any) -> None:
    request = RequestFactory().get("/")
    job = make_job()
    make_area(make_survey(job))
    with django_assert_num_queries(3):
        before = surveys_of_job(request, job)
    assert before is not None
    assert before[1]["can_check"] is False
    make_area(make_survey(job, finished_at=AT))
    after = surveys_of_job(request, job)
    assert after is not None
    assert after[1]["can_check"] is True


def test_todays_visits_and_those_left_open_press(at: datetime) -> None:
    job = make_job()
    make_survey(job, visited_at=AT + timedelta(hours=5))
    make_survey(make_job(), visited_at=AT - timedelta(days=1))
    make_survey(make_job(), visited_at=AT + timedelta(days=1))
    make_survey(make_job(), visited_at=AT, finished_at=AT)
    left, today = visits_due(None, at)
    assert left.why.endswith("Not finished yet.")
    assert today.title == f"Survey: {job.site.one_line}"
    assert today.at == AT + timedelta(hours=5)
