"""Costing: jobs with their sums, a job by category, hours, and the files."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.costing import services
from jobs.costing.filters import CostingFilter, HoursFilter
from jobs.costing.forms import HoursForm, PeriodForm
from jobs.costing.models import CostEntry, Hours
from jobs.costing.queries import job_costs, jobs_with_costs, totals_of, variances_of
from jobs.costing.querysets import with_cost_sums
from jobs.costing.rules import whole_minutes
from jobs.costing.tables import CostingTable, HoursTable
from jobs.kernel.clock import london_day
from jobs.kernel.lists import EXPORTERS, Action, RoomListView
from jobs.kernel.registries import EXPORTS
from jobs.kernel.views import (
    ConfirmView,
    RoomPage,
    RoomPermissionMixin,
    ServiceFormView,
    redirect,
)
from jobs.work.models import Job

SEE = "jobs.see_costing"
EXPORT = "jobs.export_costing"
HOURS = "jobs.enter_hours"


class CostingList(RoomListView):
    permission = SEE
    title = "Job costing"
    table_class = CostingTable
    filterset_class = CostingFilter
    search_fields = ("reference", "title", "customer__name")
    search_hint = "A reference, a job or a customer"
    actions = (
        Action("Enter hours", "costing:hours_create", HOURS),
        Action("Hours", "costing:hours", HOURS, solid=False),
        Action("By category", "costing:categories", SEE, solid=False),
        Action("Payments", "billing:list", "jobs.see_billing", solid=False),
        Action("Subcontractors", "subcontract:list", "jobs.see_billing", solid=False),
        Action("Who did what", "audit:list", "jobs.view_audit", solid=False),
    )
    export_permission = EXPORT
    empty = "No job has a budget or costs yet."

    def get_rows(self) -> Any:
        ids = CostEntry.objects.order_by().values("job_id")
        return with_cost_sums(Job.objects.filter(pk__in=ids), CostEntry.objects.all())

    def get_table_kwargs(self) -> dict[str, Any]:
        committed = {cost.job_id: cost.total.committed for cost in job_costs(jobs_with_costs())}
        return {"committed": committed}


class Categories(RoomPage):
    """All jobs by category over a period, and its files."""

    permission = SEE
    template_name = "jobs/costing/categories.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form = PeriodForm(self.request.GET)
        usable = form.is_valid()
        # Days that cannot be used show no figures: those of all days would be taken for theirs.
        costs = job_costs(jobs_with_costs(), **form.cleaned_data) if usable else []
        return super().get_context_data(
            title="Costs by category",
            form=form,
            usable=usable,
            costs=costs,
            totals=totals_of(costs),
            **kwargs,
        )


class CategoriesFile(RoomPermissionMixin):
    """The same figures as CSV or XLSX."""

    permission = EXPORT

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        form = PeriodForm(request.GET)
        if not form.is_valid():
            # The page says at the field what is wrong with the days.
            return redirect(request, f"{reverse('costing:categories')}?{request.GET.urlencode()}")
        reference = request.GET.get("job", "")
        if reference:
            get_object_or_404(Job, reference=reference)
        head, rows = EXPORTS["costing"].rows(request.GET)
        data, content_type = EXPORTERS[kwargs["kind"]]([list(head), *map(list, rows)])
        day = london_day(request.now)  # type: ignore[attr-defined]
        name = f"job-costing-{reference or 'all'}-{day:%Y-%m-%d}.{kwargs['kind']}"
        disposition = f'attachment; filename="{name}"'
        return HttpResponse(
            data, content_type=content_type, headers={"Content-Disposition": disposition}
        )


class JobCosting(RoomPage):
    """One job: budget against actual by category, and the entries behind the figures."""

    permission = SEE
    template_name = "jobs/costing/job.html"
    found_name = "job"

    def find(self) -> Job:
        return get_object_or_404(Job, pk=self.kwargs["pk"])

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        job: Job = self.found
        cost = job_costs([job])[0]
        variances = variances_of(job)
        entries = CostEntry.objects.filter(job=job).select_related("by").order_by("day", "pk")
        return super().get_context_data(
            title=f"Costs of {job.title}", cost=cost, variances=variances, entries=entries, **kwargs
        )


class HoursList(RoomListView):
    permission = HOURS
    title = "Hours"
    table_class = HoursTable
    filterset_class = HoursFilter
    search_fields = ("person__name", "job__reference", "job__title", "note")
    search_hint = "A name, a job or a note"
    actions = (Action("Enter hours", "costing:hours_create", HOURS),)
    empty = "No hours have been entered yet."

    def get_rows(self) -> Any:
        return Hours.objects.filter(withdrawn_at=None).select_related("person", "job")


class HoursCreate(ServiceFormView):
    permission = HOURS
    form_class = HoursForm
    title = "Enter hours"
    button = "Enter the hours"
    success_message = "Entered: {made}."

    def get_initial(self) -> dict[str, Any]:
        query = self.request.GET
        initial = {name: query[name] for name in ("job", "person") if name in query}
        return initial | {"day": query.get("day") or london_day(self.request.now)}

    def get_back_url(self) -> str:
        return reverse("costing:hours")

    def get_success_url(self) -> str:
        # The next line of the same sheet: same job and day, another person.
        made: Hours = self.made
        return f"{reverse('costing:hours_create')}?job={made.job_id}&day={made.day:%Y-%m-%d}"

    def act(self, form: Any) -> Hours:
        values = form.cleaned_data
        return services.enter_hours(
            job_id=values["job"].pk,
            person_id=values["person"].pk,
            day=values["day"],
            kind=values["kind"],
            minutes=whole_minutes(values["hours"]),
            note=values["note"],
            uid=values["uid"],
            by=self.request.user,
            at=self.request.now,
        )


class HoursWithdraw(ConfirmView):
    permission = HOURS
    button = "Take the hours back"
    intro = "A counter-entry takes their cost off the job; both stay in the record."
    success_message = "Taken back: {found}."

    def find(self) -> Hours:
        rows = Hours.objects.select_related("person", "job")
        return get_object_or_404(rows, pk=self.kwargs["pk"], withdrawn_at=None)

    def get_title(self) -> str:
        return f"Take back {self.found}?"

    def get_back_url(self) -> str:
        return reverse("costing:hours")

    def get_success_url(self) -> str:
        return reverse("costing:hours")

    def act(self, form: Any) -> Hours:
        return services.withdraw_hours(
            hours_id=self.found.pk, by=self.request.user, at=self.request.now
        )
