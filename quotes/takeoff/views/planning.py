"""What the planning question asks beside the survey."""

from __future__ import annotations

from typing import Any

from django.urls import reverse

from jobs.kernel.views import ServiceFormView
from quotes.takeoff import queries, services
from quotes.takeoff.forms import PlanningForm
from quotes.takeoff.models import PlanningAnswers
from quotes.takeoff.views.common import CHOOSE, OfSurvey


class PlanningAnswersForm(OfSurvey, ServiceFormView):
    """Answer the planning question's own questions; the survey's answers are not asked twice."""

    permission = CHOOSE
    form_class = PlanningForm
    title = "Planning question"
    button = "Keep the answers"
    template_name = "quotes/takeoff/planning_form.html"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"instance": queries.planning_answers(self.found)}

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(planning=queries.planning_sheet(self.found), **kwargs)

    def get_back_url(self) -> str:
        return reverse("takeoff:detail", args=[self.found.pk])

    def get_success_url(self) -> str:
        return self.get_back_url()

    def act(self, form: Any) -> PlanningAnswers:
        return services.answer_planning(
            survey_id=self.found.pk, answers=form.answers,
            front_m2=form.cleaned_data["front_m2"], by=self.request.user, at=self.request.now,
        )  # fmt: skip
