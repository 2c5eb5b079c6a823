"""What the surveys' room adds to the job's page and to today."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from jobs.kernel.clock import LONDON
from jobs.kernel.panels import TodayEntry, panel, today_entry
from jobs.surveys.enums import SurveyKind
from jobs.surveys.queries import surveys_of, totals_with, visits_before
from jobs.work.enums import Stage

NEXT = "jobs/work/next_step.html"


@panel(page="job", order=10, permission="jobs.view_work")
def surveys_of_job(request: HttpRequest, job: Any) -> tuple[str, dict[str, Any]]:
    """The job's surveys with their sizes, and the plan of the latest."""
    found = [totals_with(survey) for survey in surveys_of(job.pk)]
    return "jobs/surveys/panel.html", {
        "job": job,
        "surveys": found,
        "plan": next((sheet.plan for sheet in found if sheet.plan), ""),
        "can_start": job.stage not in (Stage.LOST, Stage.CANCELLED),
        "can_check": any(
            sheet.survey.kind == SurveyKind.SURVEY and sheet.survey.finished_at for sheet in found
        ),
    }


@panel(page="job_next", order=10, permission="jobs.record_survey")
def measure_next(request: HttpRequest, job: Any) -> tuple[str, dict[str, Any]] | None:
    """For an enquiry: the visit to arrange or to finish."""
    if job.stage != Stage.ENQUIRY:
        return None
    visit = job.surveys.filter(finished_at=None).order_by("visited_at").first()
    if visit is None:
        return NEXT, {
            "title": "measure the site",
            "why": "Start the survey on site, or put a visit into the diary.",
            "url": reverse("surveys:create", args=[job.pk]),
            "button": "Start the survey",
        }
    when = visit.visited_at.astimezone(LONDON)
    return NEXT, {
        "title": "finish the survey",
        "why": f"Visit of {when:%a} {when.day} {when:%b, %H:%M}.",
        "url": visit.get_absolute_url(),
        "button": "Open the survey",
    }


@today_entry("jobs.record_survey")
def visits_due(user: Any, now: datetime) -> Iterable[TodayEntry]:
    """Visits of today and those left open: one query."""
    tomorrow = (now.astimezone(LONDON) + timedelta(days=1)).replace(hour=0, minute=0, second=0)
    for survey in visits_before(tomorrow):
        late = survey.visited_at < now
        yield TodayEntry(
            at=survey.visited_at,
            title=f"{survey.get_kind_display().capitalize()}: {survey.job.site.one_line}",
            why=f"{survey.job.reference}, {survey.job.customer}"
            + (". Not finished yet." if late else "."),
            url=survey.get_absolute_url(),
            button="Open the survey",
            level="look",
        )
