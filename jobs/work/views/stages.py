"""Questions before a job's stage moves by a person's word."""

from __future__ import annotations

from typing import Any

from django.forms import BaseForm
from django.http import Http404

from jobs.kernel.views import ConfirmView
from jobs.work import services
from jobs.work.enums import Stage
from jobs.work.forms import LoseForm, NoteForm, StepForm
from jobs.work.models import Job
from jobs.work.rules import BY_HAND
from jobs.work.views.jobs import WRITE, OneJob


class JobLose(OneJob, ConfirmView):
    permission = WRITE
    form_class = LoseForm
    button = "Note it as lost"
    intro = "The job leaves the open work. It can be opened again."
    success_message = "{found} is noted as lost."

    def get_title(self) -> str:
        return f"Was {self.found.reference} lost?"

    def act(self, form: Any) -> Job:
        return services.lose_job(
            job_id=self.found.pk, by=self.request.user, at=self.request.now, **form.cleaned_data
        )


class JobCancel(OneJob, ConfirmView):
    permission = WRITE
    form_class = NoteForm
    button = "Cancel the job"
    intro = (
        "The job leaves the open work. Bookings, reservations and orders for it are not undone "
        "here: look at its page. It can be opened again."
    )
    success_message = "{found} is cancelled."

    def get_title(self) -> str:
        return f"Cancel {self.found.reference}?"

    def act(self, form: Any) -> Job:
        return services.cancel_job(
            job_id=self.found.pk, by=self.request.user, at=self.request.now, **form.cleaned_data
        )


class JobReopen(OneJob, ConfirmView):
    permission = WRITE
    form_class = NoteForm
    button = "Open the job again"
    intro = "The job goes back to the stage it had. Bookings and reservations do not come back."
    success_message = "{found} is open again."

    def get_title(self) -> str:
        return f"Open {self.found.reference} again?"

    def act(self, form: Any) -> Job:
        return services.reopen_job(
            job_id=self.found.pk, by=self.request.user, at=self.request.now, **form.cleaned_data
        )


class JobStep(OneJob, ConfirmView):
    """An event that only people see: laying finished, handed over, guarantee given."""

    permission = WRITE
    form_class = StepForm
    success_message = "{made} moved on."

    def find(self) -> Job:
        if self.kwargs["stage"] not in BY_HAND:
            raise Http404
        return super().find()

    def get_title(self) -> str:
        return f"{self.found.reference}: {BY_HAND[Stage(self.kwargs['stage'])][1].lower()}?"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        to = Stage(self.kwargs["stage"])
        kwargs |= {
            "button": BY_HAND[to][1], "intro": f"The job's stage becomes '{to.label}'.",
        }  # fmt: skip
        return super().get_context_data(**kwargs)

    def act(self, form: BaseForm) -> Job:
        return services.record_step(
            job_id=self.found.pk, stage=self.kwargs["stage"], by=self.request.user,
            at=self.request.now, note=form.cleaned_data["note"],
        )  # fmt: skip
