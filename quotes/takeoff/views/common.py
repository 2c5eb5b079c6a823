"""What the pages share: the survey of the address, workings as lines, a status for bad input."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import groupby
from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404

from jobs.kernel.views import UNPROCESSABLE, RoomPage
from jobs.surveys.models import Survey
from quotes.engine.cautions import Caution
from quotes.engine.workings import Working

SEE = "jobs.view_takeoff"
CHOOSE = ("jobs.record_survey", "jobs.write_quote")
LEVELS = {"stop": "stop", "sign": "look", "note": "note"}


class OfSurvey:
    """Pages about one survey."""

    kwargs: dict[str, Any]
    found_name = "survey"

    def find(self) -> Survey:
        rows = Survey.objects.select_related("job__customer", "job__site")
        found: Survey = get_object_or_404(rows, pk=self.kwargs["pk"])
        return found


class AskingPage(RoomPage):
    """A page that asks by GET; with something to put right it answers 422 and keeps what was typed.

    `get_context_data` puts the forms that were asked under `asked_forms`.
    """

    def render_to_response(self, context: dict[str, Any], **kwargs: Any) -> HttpResponse:
        bound = [form for form in context.get("asked_forms", ()) if form.is_bound]
        if any(not form.is_valid() for form in bound):
            kwargs["status"] = UNPROCESSABLE
        response: HttpResponse = super().render_to_response(context, **kwargs)
        return response


def steps_of(workings: Iterable[Working | Mapping[str, Any]]) -> list[dict[str, Any]]:
    """Return workings grouped by step, as the lines of a table."""
    lines = [each.as_dict() if isinstance(each, Working) else each for each in workings]
    return [
        {"step": step, "lines": list(group)}
        for step, group in groupby(lines, key=lambda line: line["step"])
    ]


def notes_of(cautions: Iterable[Caution]) -> list[dict[str, Any]]:
    """Return cautions as notes for the firm, with who else reads each, and on whose word."""
    return [
        {
            "level": LEVELS[each.level],
            "message": each.message,
            "code": each.code,
            "source": each.source,
            "his": each.audience == "customer",
        }
        for each in cautions
    ]
