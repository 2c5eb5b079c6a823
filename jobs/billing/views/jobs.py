"""The money of one job: its plan, what was asked for, what came in, what was invoiced."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.http import Http404
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.attachments.services import keep_file
from jobs.billing import services
from jobs.billing.forms import AskForm, EvidenceForm, PlanForm, plan_as_typed
from jobs.billing.models import PaymentRequest, PlanStage, StagePlan
from jobs.billing.queries import firm_party, money_of, plan_of
from jobs.billing.views.requests import RECORD, SEE
from jobs.kernel.clock import london_day
from jobs.kernel.views import ConfirmView, RoomPage, ServiceFormView
from jobs.work.models import Job


class OfJob:
    kwargs: dict[str, Any]
    found: Any
    found_name = "job"

    def find(self) -> Job:
        rows = Job.objects.select_related("customer", "site")
        found: Job = get_object_or_404(rows, pk=self.kwargs["pk"])
        return found

    def get_back_url(self) -> str:
        return reverse("billing:job", args=[self.found.pk])

    def get_success_url(self) -> str:
        return reverse("billing:job", args=[self.found.pk])


class JobMoneyPage(OfJob, RoomPage):
    permission = SEE
    template_name = "jobs/billing/job.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        on = london_day(self.request.now)
        firm = firm_party()
        return super().get_context_data(
            title=f"Money of {self.found.reference}",
            money=money_of(self.found, on),
            unset=not (firm.address and firm.vat_number),
            **kwargs,
        )


class WritePlan(OfJob, ServiceFormView):
    """What was agreed and in which stages it is paid; once asked for, variations change it."""

    permission = RECORD
    template_name = "jobs/billing/plan.html"
    form_class = PlanForm
    title = "Payment plan"
    button = "Write the plan"
    success_message = "The plan is written."

    def get_initial(self) -> dict[str, Any]:
        return plan_as_typed(plan_of(self.found))

    def act(self, form: Any) -> StagePlan:
        return services.write_plan(
            job_id=self.found.pk, net_by_rate=form.nets or {20: 0}, stages=form.stages,
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class ShowEvidence(OfJob, ServiceFormView):
    """Why a job is not at the standard rate of VAT."""

    permission = RECORD
    form_class = EvidenceForm
    title = "Why not the standard rate"
    success_message = "Kept."

    def find(self) -> Job:
        job = super().find()
        if plan_of(job) is None:
            raise Http404
        return job

    def get_initial(self) -> dict[str, Any]:
        plan = plan_of(self.found)
        return {"reason": plan.vat_reason if plan else ""}

    def act(self, form: Any) -> StagePlan:
        file = form.cleaned_data["file"]
        kept = keep_file(data=file.read(), name=file.name) if file else None
        return services.show_vat_evidence(
            job_id=self.found.pk, reason=form.cleaned_data["reason"], kept=kept,
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class AskStage(ConfirmView):
    """Ask the customer for a stage: a request for payment, not a VAT invoice."""

    permission = RECORD
    form_class = AskForm
    found_name = "stage"
    button = "Ask for the stage"
    success_message = "Asked for by {made}."
    intro = "A request for payment is written. It is not a VAT invoice: that follows the money."

    def find(self) -> PlanStage:
        rows = PlanStage.objects.select_related("plan__job__customer")
        return get_object_or_404(rows, pk=self.kwargs["pk"])

    def get_title(self) -> str:
        return f"Ask for '{self.found.words}'?"

    def get_back_url(self) -> str:
        return str(self.found.plan.get_absolute_url())

    def get_success_url(self) -> str:
        return str(self.found.plan.get_absolute_url())

    def get_initial(self) -> dict[str, Any]:
        days = self.found.plan.job.customer.terms_days
        return {"due_on": london_day(self.request.now) + timedelta(days=days)}

    def act(self, form: Any) -> PaymentRequest:
        return services.ask_stage(
            stage_id=self.found.pk, due_on=form.cleaned_data["due_on"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip
