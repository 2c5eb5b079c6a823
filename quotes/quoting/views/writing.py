"""Starting, reckoning, wording, pricing again, revising and sending a quote.

The forms work without JavaScript; with it, the sums follow each change of the terms.
"""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.http import HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.views import ServiceActionView, ServiceFormView
from jobs.surveys.models import Survey
from jobs.work.models import Job
from quotes.quoting import forms, queries, services
from quotes.quoting.models import Revision
from quotes.quoting.views.common import SEND, WRITE, OfRevision, draft_forms, money_context


class StartQuote(ServiceFormView):
    """Draft a quote from the survey of a job, or an empty one for small jobs alone."""

    permission = WRITE
    form_class = forms.StartForm
    found_name = "job"
    title = "Start the quote"
    button = "Draft the quote"

    def find(self) -> Job:
        rows = Job.objects.select_related("customer")
        found: Job = get_object_or_404(rows, pk=self.kwargs["job"])
        return found

    def surveys(self) -> QuerySet[Survey]:
        return Survey.objects.filter(job=self.found).select_related("job").order_by("-visited_at")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        kwargs["intro"] = "" if self.surveys() else (
            "Nothing is measured on this job. The draft begins empty, for small jobs, day-work and "
            "lines of your own; for surfacing, measure the site first."
        )  # fmt: skip
        return super().get_context_data(**kwargs)

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {
            "surveys": self.surveys(), "items": queries.measured_items(),
        }  # fmt: skip

    def get_initial(self) -> dict[str, Any]:
        survey = self.surveys().first()
        if survey is None:
            return {}
        usual = [item.pk for item in queries.usual_items(survey)]
        return {"survey": survey.pk, "work_items": usual}

    def get_back_url(self) -> str:
        return reverse("work:detail", args=[self.found.pk])

    def act(self, form: Any) -> Revision:
        survey = form.cleaned_data.get("survey")
        return services.start_quote(
            job_id=self.found.pk, survey_id=survey.pk if survey else None,
            work_item_ids=[item.pk for item in form.cleaned_data.get("work_items", ())],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class RecomputedForm(OfRevision, ServiceFormView):
    """A form on the page of a draft after which the sums are worked out at once.

    Over htmx the sums alone are drawn anew, so that what is being typed stays; both forms with
    them once one of them showed what was wrong with it.
    """

    permission = WRITE
    form_name: str = ""
    whole_template: str = ""

    def form_valid(self, form: Any) -> HttpResponse:
        response = super().form_valid(form)
        if not self.over_htmx or self.made is None:
            return response
        self.found = self.made
        if self.request.POST.get("redraw"):
            forms_ = draft_forms(self.made, sees_margin=self.sees_margin)
            return self.render_to_response(self.get_context_data(form=forms_[self.form_name]))
        self.template_name = "quotes/quoting/sums.html"
        response = self.render_to_response(self.sums() | {"oob_version": True})
        response["HX-Retarget"] = "#sums"
        return response

    @property
    def over_htmx(self) -> bool:
        """Whether the page asks for its sums alone."""
        return bool(getattr(self.request, "htmx", False))

    def sums(self) -> dict[str, Any]:
        """Return what the sums of the page are drawn from."""
        shown = money_context(self.found, sees_margin=self.sees_margin)
        return shown | {"revision": self.found, "may_write": True}

    def get_template_names(self) -> list[str]:
        if self.over_htmx and self.template_name == self.whole_template:
            return ["quotes/quoting/money.html"]
        return super().get_template_names()

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        context = super().get_context_data(**kwargs)
        if self.over_htmx:
            context |= self.sums() | draft_forms(self.found, sees_margin=self.sees_margin)
            context[self.form_name] = context["form"]
        return context


class ChangeTerms(RecomputedForm):
    """Overhead, margin, discount, VAT and validity."""

    form_class = forms.TermsForm
    form_name = "terms_form"
    title = "What the quote is reckoned with"
    button = "Work it out again"
    template_name = whole_template = "quotes/quoting/terms.html"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"see_margin": self.sees_margin}

    def get_initial(self) -> dict[str, Any]:
        return forms.terms_initial(self.found)

    def act(self, form: Any) -> Revision:
        return services.change_terms(
            revision_id=self.found.pk, values=form.values, version=form.cleaned_data["version"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class PlanPayment(RecomputedForm):
    """The stages in which the quote is paid."""

    form_class = forms.PlanForm
    form_name = "plan_form"
    title = "How the quote is paid"
    button = "Save the stages"
    template_name = whole_template = "quotes/quoting/plan.html"

    def get_prefix(self) -> str:
        return forms.PlanForm.prefix

    def get_form_kwargs(self) -> dict[str, Any]:
        typing = self.over_htmx and "whole" not in self.request.POST
        return super().get_form_kwargs() | {"lenient": typing}

    def get_initial(self) -> dict[str, Any]:
        return forms.plan_initial(self.found)

    def act(self, form: Any) -> Revision:
        return services.plan_payment(
            revision_id=self.found.pk, stages=form.stages, version=form.cleaned_data["version"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class ChooseReadyPlan(OfRevision, ServiceActionView):
    """One press: a ready plan."""

    permission = WRITE
    success_message = "The stages are set."

    def act(self) -> Revision:
        return services.choose_ready_plan(
            revision_id=self.found.pk, key=self.request.POST.get("ready", ""),
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class ChangeWords(OfRevision, ServiceFormView):
    """The message, what is not in the price, the terms."""

    permission = WRITE
    form_class = forms.WordsForm
    title = "Words of the quote"
    button = "Save the words"
    success_message = "The words are saved."

    def get_initial(self) -> dict[str, Any]:
        names = ("version", "message", "exclusions", "terms")
        return {name: getattr(self.found, name) for name in names}

    def act(self, form: Any) -> Revision:
        return services.change_words(
            revision_id=self.found.pk, values=form.values, version=form.cleaned_data["version"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class Reprice(OfRevision, ServiceActionView):
    """Bring a draft to today's survey and prices."""

    permission = WRITE
    success_message = "Priced again at today's prices."

    def act(self) -> Revision:
        return services.reprice(
            revision_id=self.found.pk, by=self.request.user, at=self.request.now
        )


class Revise(OfRevision, ServiceActionView):
    """Copy a sent or declined revision as the next draft."""

    permission = WRITE
    success_message = "Revision {made.number} is in draft; the one before stays as it was sent."

    def act(self) -> Revision:
        return services.revise(revision_id=self.found.pk, by=self.request.user, at=self.request.now)

    def get_success_url(self) -> str:
        return str((self.made or self.found).get_absolute_url())


class SendQuote(OfRevision, ServiceFormView):
    """Freeze it and let it go."""

    permission = SEND
    form_class = forms.SendForm
    template_name = "confirm_page.html"
    title = "Send the quote?"
    intro = (
        "Lines, price and words are frozen as they stand, the PDF is drawn, and a message with the "
        "PDF and a link to answer goes to the customer. A later change is a new revision."
    )
    button = "Send the quote"
    success_message = "The quote is on its way: the PDF is being drawn, then it is mailed."

    def get_form_kwargs(self) -> dict[str, Any]:
        below = self.found.net < self.found.floor
        return super().get_form_kwargs() | {"below_floor": below}

    def get_initial(self) -> dict[str, Any]:
        return {"to": self.found.quote.job.customer.email}

    def act(self, form: Any) -> Revision:
        return services.send_revision(
            revision_id=self.found.pk, to=form.cleaned_data["to"],
            below_floor=form.cleaned_data.get("below_floor", False),
            by=self.request.user, at=self.request.now,
        )  # fmt: skip
