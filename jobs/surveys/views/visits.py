"""Pages of visits: the diary, a survey, its answers, and how it ends."""

from __future__ import annotations

from typing import Any, ClassVar

from django.http import Http404
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.audit.queries import trail_of
from jobs.kernel.lists import RoomListView
from jobs.kernel.panels import drawn_panels
from jobs.kernel.versionviews import VersionedFormView
from jobs.kernel.views import ConfirmView, RoomPage, ServiceActionView, ServiceFormView
from jobs.surveys import services
from jobs.surveys.enums import SurveyKind
from jobs.surveys.filters import SurveyFilter
from jobs.surveys.forms import CheckForm, ReopenForm, StartForm, SurveyEditForm
from jobs.surveys.models import QUESTIONS, Survey
from jobs.surveys.queries import (
    differences,
    latest_finished,
    plan_of,
    question_words,
    sheets_of,
    survey_cautions,
    surveys_to_copy,
    totals_of,
)
from jobs.surveys.tables import SurveyTable
from jobs.work.models import Job
from jobs.work.queries import files_of
from jobs.work.views.photos import AddPhotos

SEE = "jobs.view_work"
WRITE = "jobs.record_survey"


class SurveyList(RoomListView):
    permission = SEE
    title = "Survey diary"
    table_class = SurveyTable
    filterset_class = SurveyFilter
    search_fields = (
        "job__reference", "job__title", "job__customer__name", "job__site__address",
        "job__site__postcode",
    )  # fmt: skip
    search_hint = "Reference, title, customer or address"
    empty = "No visit yet. A survey is started from the page of its job."

    def get_rows(self) -> Any:
        return Survey.objects.for_list()


class OneSurvey:
    """Finds the survey of the address."""

    kwargs: dict[str, Any]
    found_name: ClassVar[str] = "survey"

    def find(self) -> Survey:
        found: Survey = get_object_or_404(Survey.objects.for_page(), pk=self.kwargs["pk"])
        return found

    def get_back_url(self) -> str:
        found: Survey = self.found  # type: ignore[attr-defined]
        return found.get_absolute_url()


class OneOpenSurvey(OneSurvey):
    """Finds the survey of the address: a finished one is not there to be written on."""

    def find(self) -> Survey:
        survey = super().find()
        if survey.finished_at is not None:
            raise Http404
        return survey


class SurveyDetail(OneSurvey, RoomPage):
    permission = SEE
    template_name = "jobs/surveys/detail.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        survey: Survey = self.found
        sheets = sheets_of(survey)
        return super().get_context_data(
            title=str(survey),
            facts=facts_of(survey),
            answers=[
                (question_words(name).capitalize(), getattr(survey, f"get_{name}_display")())
                for name in QUESTIONS
            ],
            found=[c for c in survey_cautions(survey) if not c.is_open],
            not_asked=", ".join(c.matter for c in survey_cautions(survey) if c.is_open),
            sheets=sheets,
            totals=totals_of(sheets),
            plan=plan_of(sheets, f"Plan of {survey}"),
            compared=differences(survey, sheets),
            panels=drawn_panels(self.request, "survey", survey),
            files=files_of(survey, self.request.user),
            trail=trail_of(survey) if self.request.user.has_perm("jobs.view_audit") else None,
            **kwargs,
        )


def facts_of(survey: Survey) -> list[tuple[str, str] | tuple[str, str, str]]:
    """Return what the survey's page says first."""
    job = survey.job
    texture = f"{survey.base_texture_mm.normalize():f} mm"
    facts: list[tuple[str, str] | tuple[str, str, str]] = [
        ("Job", str(job), job.get_absolute_url()),
        ("Site", job.site.one_line or job.site.name),
        ("Base", f"{survey.get_base_kind_display()}, {survey.get_base_condition_display()}"),
        ("Texture to fill", texture),
        ("Fall", survey.fall),
    ]
    if survey.surveyor:
        facts.append(("Measured by", str(survey.surveyor)))
    if survey.notes:
        facts.append(("Notes", survey.notes))
    return facts


class SurveyCreate(ServiceFormView):
    """A new survey of the job in the address; `?kind=check` starts a check-measure."""

    permission = WRITE
    found_name = "job"
    success_message = "Started the {made}."

    def find(self) -> Job:
        found: Job = get_object_or_404(Job.objects.for_page(), pk=self.kwargs["job"])
        return found

    @property
    def is_check(self) -> bool:
        return str(self.request.GET.get("kind")) == SurveyKind.CHECK.value

    def get_form_class(self) -> Any:
        return CheckForm if self.is_check else StartForm

    def get_title(self) -> str:
        what = "check-measure" if self.is_check else "survey"
        return f"Start a {what} of {self.found.reference}"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        check = self.is_check
        kwargs["button"] = "Start the check-measure" if check else "Start the survey"
        if check and latest_finished(self.found.pk):
            kwargs["intro"] = "It starts from the areas of the survey; change what differs."
        return super().get_context_data(**kwargs)

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_initial(self) -> dict[str, Any]:
        return {"visited_at": self.request.now.replace(second=0, microsecond=0)}

    def get_form_kwargs(self) -> dict[str, Any]:
        kwargs = super().get_form_kwargs()
        if not self.is_check:
            kwargs["earlier"] = surveys_to_copy(self.found.customer_id)
        return kwargs

    def act(self, form: Any) -> Survey:
        values = dict(form.cleaned_data)
        key, source = values.pop("uid"), values.pop("copy_from", None)
        return services.start_survey(
            job_id=self.found.pk, kind=SurveyKind.CHECK if self.is_check else SurveyKind.SURVEY,
            copy_from=source.pk if source else None, key=key, by=self.request.user,
            at=self.request.now, **values,
        )  # fmt: skip

    def get_success_url(self) -> str:
        return str(self.made.get_absolute_url())


class SurveyEdit(OneOpenSurvey, VersionedFormView):
    permission = WRITE
    form_class = SurveyEditForm
    button = "Save the answers"
    success_message = "Saved the {made}."

    def get_title(self) -> str:
        return f"Base and answers, {self.found}"

    def get_initial(self) -> dict[str, Any]:
        return self.initial_of((*self.form_class.base_fields, *QUESTIONS))

    def change(self, form: Any) -> Survey:
        values = {name: form.cleaned_data[name] for name in form.compared()}
        return services.change_survey(
            survey_id=self.found.pk, version=form.cleaned_data["version"],
            by=self.request.user, at=self.request.now, **values,
        )  # fmt: skip


class SurveyPhotos(OneSurvey, AddPhotos):
    permission = WRITE


class SurveyFinish(OneSurvey, ServiceActionView):
    permission = WRITE
    success_message = "The {made} is finished."

    def act(self) -> Survey:
        return services.finish_survey(
            survey_id=self.found.pk, by=self.request.user, at=self.request.now
        )


class SurveyReopen(OneSurvey, ConfirmView):
    permission = WRITE
    form_class = ReopenForm
    button = "Open the survey again"
    intro = "Quotes already sent stay as they were; a new revision would take the new measurements."
    success_message = "The {found} is open again."

    def get_title(self) -> str:
        return f"Open the {self.found} again?"

    def act(self, form: Any) -> Survey:
        return services.reopen_survey(
            survey_id=self.found.pk, by=self.request.user, at=self.request.now, **form.cleaned_data
        )


class SurveyDiscard(OneOpenSurvey, ConfirmView):
    permission = WRITE
    button = "Discard the survey"
    intro = "Its answers and measurements are deleted. This cannot be taken back."
    success_message = "The {found} was discarded."

    def get_title(self) -> str:
        return f"Discard the {self.found}?"

    def act(self, form: Any) -> None:
        services.discard_survey(survey_id=self.found.pk, by=self.request.user, at=self.request.now)

    def get_success_url(self) -> str:
        return reverse("work:detail", args=[self.found.job_id])
