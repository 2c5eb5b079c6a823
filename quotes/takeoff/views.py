"""The take-off of a survey, its workings, and the choice of blends."""

from __future__ import annotations

from decimal import Decimal
from itertools import groupby
from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.panels import drawn_panels
from jobs.kernel.views import RoomPage, ServiceFormView
from jobs.surveys.models import Survey
from jobs.surveys.queries import survey_plan
from quotes.takeoff import queries, rules, services
from quotes.takeoff.forms import BlendForm

SEE = "jobs.view_takeoff"
CHOOSE = ("jobs.record_survey", "jobs.write_quote")
LEVELS = {"stop": "stop", "sign": "look", "note": "note"}
TITLES = {"stop": "Stop", "sign": "Somebody must decide", "note": "Know this"}


class OfSurvey:
    """Pages about one survey."""

    kwargs: dict[str, Any]
    found_name = "survey"

    def find(self) -> Survey:
        rows = Survey.objects.select_related("job__customer", "job__site")
        found: Survey = get_object_or_404(rows, pk=self.kwargs["pk"])
        return found


class TakeOffPage(OfSurvey, RoomPage):
    """Plan beside take-off: areas, mixes, what to buy, cautions, chance of running short."""

    permission = SEE
    template_name = "quotes/takeoff/detail.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        found = queries.take_off(self.found)
        purchases = rules.purchases_of(found)
        may_choose = any(self.request.user.has_perm(name) for name in CHOOSE)
        return super().get_context_data(
            title=f"Take-off: {self.found.job.title}",
            take_off=found,
            answer=found.answer,
            purchases=purchases,
            packs_total=sum(bought.total_packs for bought in purchases),
            kg_total=sum((bought.kg for bought in purchases), Decimal(0)),
            **running_short(found),
            cautions=cautions_of(found),
            plan=survey_plan(self.found),
            may_choose=may_choose,
            panels=drawn_panels(self.request, "takeoff", (self.found, found)),
            **kwargs,
        )


def running_short(found: rules.TakeOff) -> dict[str, Any]:
    """Return the chance of running short in words; {} without an answer."""
    if not found.answer:
        return {}
    risk = found.answer["risk"]
    percent, spares = 100 * risk["probability_short"], risk["spare_mixes_for_5_percent"]
    chance = "under 1 %" if percent < 1 else f"{percent:.0f} %"
    more = f"{spares} spare {'mix' if spares == 1 else 'mixes'} would bring it to 5 % or less. "
    return {
        "short_percent": percent,
        "short_title": f"Chance that the {found.answer['total']['mixes']:g} run short: {chance}",
        "short_reason": (more if spares else "") + "Depth is most of the doubt. "
        "A mix that runs short leaves a joint for ever; an unopened kit comes back.",
    }


def cautions_of(found: rules.TakeOff) -> list[dict[str, str]]:
    """Return the engine's cautions as notes, hardest first; plain notes are folded together."""
    if not found.answer:
        return []
    return [
        {"level": LEVELS[each["level"]], "message": each["message"], "code": each["code"]}
        for each in found.answer["cautions"]
    ]


class WorkingsPage(OfSurvey, RoomPage):
    """Every figure of the take-off with its formula, inputs and source, to follow with a pencil."""

    permission = SEE
    template_name = "quotes/takeoff/workings.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        found = queries.take_off(self.found)
        workings = found.answer["workings"] if found.answer else []
        steps = [
            {"step": step, "lines": list(lines)}
            for step, lines in groupby(workings, key=lambda line: line["step"])
        ]
        return super().get_context_data(
            title="Workings of the take-off", take_off=found, steps=steps, **kwargs
        )


class BlendsForm(OfSurvey, ServiceFormView):
    """Choose the blend of each colour group."""

    permission = CHOOSE
    form_class = BlendForm
    title = "What it is laid with"
    button = "Work it out"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"groups": queries.groups_of(self.found)}

    def get_initial(self) -> dict[str, Any]:
        settings = queries.settings_of(self.found)
        chosen = {
            f"g{choice.colour_group_id}": choice.blend_id
            for choice in queries.choices_of(self.found).values()
        }
        return chosen | {
            "waste_percent": settings.waste_percent, "air_c": settings.air_c,
            "spare_mixes": settings.spare_mixes, "part_mixes": settings.part_mixes,
        }  # fmt: skip

    def get_back_url(self) -> str:
        return reverse("takeoff:detail", args=[self.found.pk])

    def get_success_url(self) -> str:
        return self.get_back_url()

    def act(self, form: Any) -> Survey:
        return services.choose_blends(
            survey_id=self.found.pk, blends=form.blends, **form.settings,
            by=self.request.user, at=self.request.now,
        )  # fmt: skip
