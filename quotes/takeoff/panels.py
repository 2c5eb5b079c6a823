"""The take-off on the page of a survey, and the day's weather on a job's and a booking's."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from jobs.calendar.models import Booking
from jobs.kernel.panels import panel
from jobs.kernel.templatetags import firm
from jobs.surveys.models import Survey
from jobs.work.models import Job
from quotes.takeoff.models import BlendChoice
from quotes.takeoff.queries import planning_sheet, take_off

FEW = 3
MOST_USES = 20
LEVELS = {"stop": "stop", "sign": "look"}


@panel(page="survey", order=10, permission="jobs.view_takeoff")
def takeoff_of_survey(request: HttpRequest, survey: Survey) -> tuple[str, dict[str, Any]]:
    """Return mixes and kits, or why there are none yet, and the way to the take-off."""
    found = take_off(survey)
    context: dict[str, Any] = {
        "url": reverse("takeoff:detail", args=[survey.pk]),
        "problem": found.problem.message if found.problem else "",
    }
    if found.answer:
        total = found.answer["total"]
        context["facts"] = [
            ("surface", firm.square_metres(total["area_m2"])),
            ("mixes", firm.figure(total["mixes"])),
            ("kits", firm.figure(total["kits"])),
            ("on site", firm.kg(total["mass_kg"])),
        ]
        said = found.worked.cautions if found.worked else ()
        hard = [each for each in said if each.level != "note" and each.code != "running_short"]
        context["cautions"] = [
            {
                "level": LEVELS[each.level],
                "message": each.message,
                "his": each.audience == "customer",
            }
            for each in hard[:FEW]
        ]
        context["more"] = len(hard) - FEW
    elif any(request.user.has_perm(name) for name in ("jobs.record_survey", "jobs.write_quote")):
        context["blends_url"] = reverse("takeoff:blends", args=[survey.pk])
    area = found.answer["total"]["area_m2"] if found.answer else None
    planning = planning_sheet(survey, area) if found.document else None
    if planning and planning.answer.answer != "not needed":
        context["planning"] = planning
    return "quotes/takeoff/survey_panel.html", context


@panel(page="job", order=72, permission="jobs.view_work")
def weather_of_job(request: HttpRequest, job: Job) -> tuple[str, dict[str, Any]] | None:
    """Return the way to the dry window of a day; None before there is a survey."""
    survey = newest_survey(job)
    if survey is None:
        return None
    return "quotes/takeoff/day_panel.html", {
        "url": reverse("takeoff:day", args=[survey.pk]), "tools_url": reverse("takeoff:tools"),
    }  # fmt: skip


@panel(page="booking", order=10, permission="jobs.view_work")
def weather_of_booking(request: HttpRequest, booking: Booking) -> tuple[str, dict[str, Any]] | None:
    """Return the way to the dry window of the booking's first day."""
    survey = newest_survey(booking.job)
    if survey is None:
        return None
    day = f"?day={booking.first_day:%Y-%m-%d}" if booking.first_day else ""
    return "quotes/takeoff/day_panel.html", {
        "url": reverse("takeoff:day", args=[survey.pk]) + day,
        "tools_url": reverse("takeoff:tools"),
    }


def newest_survey(job: Job) -> Survey | None:
    """Return the newest visit of a job, or None."""
    found: Survey | None = Survey.objects.filter(job=job).order_by("-visited_at", "-pk").first()
    return found


@panel(page="blend", order=20, permission="jobs.view_takeoff")
def surveys_with_blend(request: HttpRequest, blend: Any) -> tuple[str, dict[str, Any]]:
    """The surveys whose take-off reckons with a card, the latest first: two queries."""
    chosen = BlendChoice.objects.filter(blend=blend).select_related("colour_group__survey__job")
    uses = []
    for row in chosen.order_by("-pk")[:MOST_USES]:
        survey = row.colour_group.survey
        words = f"{survey.job.reference}, {survey.job.title}: {row.colour_group.name}"
        uses.append((words, reverse("takeoff:detail", args=[survey.pk])))
    return "stock/catalogue/uses.html", {
        "title": "Reckoned with it",
        "id": "blend-surveys",
        "uses": uses,
        "more": max(chosen.count() - MOST_USES, 0),
    }
