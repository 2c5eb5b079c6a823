"""What the jobs' room adds to today."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from jobs.work.panels import enquiries_waiting
from tests.factories import AT, make_job, make_survey

pytestmark = pytest.mark.django_db


def test_an_enquiry_waits_for_a_visit_after_two_days(at: datetime) -> None:
    job = make_job(title="Drive")
    make_survey(make_job())
    make_job(stage="quoted")
    assert list(enquiries_waiting(None, AT + timedelta(days=1))) == []
    (entry,) = enquiries_waiting(None, AT + timedelta(days=3))
    assert entry.title == f"{job.reference} Drive: no visit arranged"
    assert entry.why == f"{job.customer} asked 3 days ago."
