"""The take-off of a survey, its workings, and the choice of blends."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django.urls import reverse

from jobs.kernel.panels import drawn_panels
from jobs.kernel.views import RoomPage, ServiceFormView
from jobs.surveys.models import Survey
from jobs.surveys.queries import survey_plan
from quotes.takeoff import queries, rules, services
from quotes.takeoff.forms import BlendForm
from quotes.takeoff.rules.planning import fall_words
from quotes.takeoff.views.common import CHOOSE, SEE, AskingPage, OfSurvey, notes_of, steps_of
from quotes.takeoff.views.sections import sections_of

FEW = 4


class TakeOffPage(OfSurvey, AskingPage):
    """Plan beside take-off: areas, mixes, what to buy, cautions, chance of running short.

    What is seldom wanted is folded: loads, pace, kits in the heat or cold, stone.
    """

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
            **cautions_of(found),
            **sections_of(self.request, found, purchases),
            planning=queries.planning_sheet(
                self.found, found.answer["total"]["area_m2"] if found.answer else None
            ),
            falls=fall_words(self.found.fall)[0] if self.found.fall else [],
            plan=survey_plan(self.found),
            may_choose=may_choose,
            panels=drawn_panels(self.request, "takeoff", (self.found, found)),
            **kwargs,
        )


def running_short(found: rules.TakeOff) -> dict[str, Any]:
    """Return the chance of running short in words; {} without an answer."""
    if not found.answer or not found.worked:
        return {}
    risk = found.answer["risk"]
    percent, spares = 100 * risk["probability_short"], risk["spare_mixes_for_5_percent"]
    chance = "under 1 %" if percent < 1 else f"{percent:.0f} %"
    more = f"{spares} spare {'mix' if spares == 1 else 'mixes'} would bring it to 5 % or less. "
    return {
        "spare_rows": rules.spare_rows(found.worked.found.job, found.settings.spare_mixes),
        "short_percent": percent,
        "short_title": f"Chance that the {found.answer['total']['mixes']:g} run short: {chance}",
        "short_reason": (more if spares else "") + "Depth is most of the doubt. "
        "A mix that runs short leaves a joint for ever; an unopened kit comes back.",
    }


def cautions_of(found: rules.TakeOff) -> dict[str, Any]:
    """Return the cautions as notes, hardest first: a few that matter, more, and the plain ones.

    The chance of running short has a place of its own.
    """
    said = found.worked.cautions if found.worked else ()
    notes = [each for each in notes_of(said) if each["code"] != "running_short"]
    hard = [each for each in notes if each["level"] != "note"]
    return {
        "cautions": hard[:FEW],
        "more_cautions": hard[FEW:],
        "plain_cautions": [each for each in notes if each["level"] == "note"],
    }


class WorkingsPage(OfSurvey, RoomPage):
    """Every figure of the take-off with its formula, inputs and source, to follow with a pencil."""

    permission = SEE
    template_name = "quotes/takeoff/workings.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        found = queries.take_off(self.found)
        steps = steps_of(found.answer["workings"]) if found.answer else []
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
