"""Pick, issue and bring back, for one job."""

from __future__ import annotations

from typing import Any, ClassVar

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.clock import london_day
from jobs.kernel.views import (
    RoomPage,
    RoomPermissionMixin,
    ServiceActionView,
    ServiceFormView,
)
from jobs.work.enums import Stage
from jobs.work.models import Job
from stock.ledger.models import Posting
from stock.ledger.queries import at_site
from stock.movements import queries, services
from stock.movements.documents import pick_pdf
from stock.movements.forms import IssueForm, ReturnForm


class OneJob:
    """Finds a job that was won."""

    kwargs: dict[str, Any]
    request: Any
    found: Any
    found_name: ClassVar[str] = "job"

    def find(self) -> Job:
        job: Job = get_object_or_404(Job.objects.select_related("site"), pk=self.kwargs["pk"])
        if job.stage not in Stage.AFTER_WON:
            raise Http404
        return job

    def get_back_url(self) -> str:
        return reverse("allocation:job", args=[self.found.pk])

    def get_success_url(self) -> str:
        return reverse("allocation:job", args=[self.found.pk])


class BookedForJob(OneJob, ServiceFormView):
    """Books for a job and then shows what was booked, with the button that undoes it."""

    permission = "jobs.move_stock"

    def get_success_url(self) -> str:
        return reverse("movements:detail", args=[self.made.pk])


class PickList(OneJob, RoomPage):
    permission = "jobs.view_yard"
    template_name = "stock/movements/pick_list.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        sheet = queries.pick_sheet(self.found)
        return super().get_context_data(title=f"Pick list {sheet.reference}", sheet=sheet, **kwargs)


class PickListPdf(OneJob, RoomPermissionMixin):
    permission = "jobs.view_yard"

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        sheet = queries.pick_sheet(self.found)
        return HttpResponse(
            pick_pdf(sheet, printed_at=self.request.now),
            content_type="application/pdf",
            headers={"Content-Disposition": f'inline; filename="pick-{sheet.reference}.pdf"'},
        )


class MarkPicked(OneJob, ServiceActionView):
    permission = "jobs.move_stock"
    success_message = "Marked as picked."

    def act(self) -> int:
        return services.mark_picked(job_id=self.found.pk, by=self.request.user, at=self.request.now)


class Issue(BookedForJob):
    form_class = IssueForm
    button = "Issue to the site"
    template_name = "stock/movements/issue.html"
    success_message = "Issued to the site; the job carries its cost."

    def get_title(self) -> str:
        return f"Issue to {self.found.reference}"

    def get_initial(self) -> dict[str, Any]:
        return {"day": london_day(self.request.now)}

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(sheet=queries.pick_sheet(self.found), **kwargs)

    def act(self, form: Any) -> Posting:
        values = form.cleaned_data
        return services.issue_job(
            job_id=self.found.pk, key=values["uid"], day=values["day"], phase=values["phase"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class BringBack(BookedForJob):
    form_class = ReturnForm
    button = "Book it back"
    intro = (
        "Whole packs go back into their lot. An opened kit does not come back: book it as waste."
    )
    template_name = "stock/movements/bring_back.html"
    success_message = "Back in the yard; the job is credited."

    def get_title(self) -> str:
        return f"Bring back from {self.found.reference}"

    def get_initial(self) -> dict[str, Any]:
        return {"day": london_day(self.request.now)}

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"at_site": at_site(self.found.pk)}

    def act(self, form: Any) -> Posting:
        values = form.cleaned_data
        return services.return_from_site(
            job_id=self.found.pk, rows=values["rows"], place_id=values["place"].pk,
            key=values["uid"], day=values["day"], by=self.request.user, at=self.request.now,
        )  # fmt: skip
