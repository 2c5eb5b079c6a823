"""The take-off on the page of a survey."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from jobs.kernel.panels import panel
from jobs.kernel.templatetags import firm
from jobs.surveys.models import Survey
from quotes.takeoff.queries import take_off


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
    elif any(request.user.has_perm(name) for name in ("jobs.record_survey", "jobs.write_quote")):
        context["blends_url"] = reverse("takeoff:blends", args=[survey.pk])
    return "quotes/takeoff/survey_panel.html", context
