"""Pages of jobs: the enquiry, the list, the job's page, changing and copying it."""

from __future__ import annotations

from typing import Any, ClassVar

from django.http import Http404
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.audit.queries import trail_of
from jobs.customers.models import Customer
from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.panels import drawn_panels
from jobs.kernel.versionviews import VersionedFormView
from jobs.kernel.views import RoomPage, ServiceFormView
from jobs.work import services
from jobs.work.enums import Stage
from jobs.work.filters import JobFilter
from jobs.work.forms import CopyForm, EnquiryForm, JobEditForm
from jobs.work.models import Job
from jobs.work.queries import files_of, known_callers, stage_line, was_taken
from jobs.work.rules import BY_HAND, CAN_BE_CANCELLED, CAN_BE_LOST, CLOSED, NEXT_STEP
from jobs.work.tables import JobTable

SEE = "jobs.view_work"
WRITE = "jobs.manage_jobs"


class JobList(RoomListView):
    permission = SEE
    title = "Jobs"
    table_class = JobTable
    filterset_class = JobFilter
    search_fields = (
        "reference", "title", "customer__name", "site__name", "site__address", "site__postcode",
        "customer_order_number",
    )  # fmt: skip
    search_hint = "Reference, title, customer, address or their order number"
    actions = (Action("Take an enquiry", "work:enquiry", WRITE),)
    empty = "No jobs yet. An enquiry opens the first."

    def get_rows(self) -> Any:
        return Job.objects.for_list()


class OneJob:
    """Finds the job of the address."""

    kwargs: dict[str, Any]
    found_name: ClassVar[str] = "job"

    def find(self) -> Job:
        found: Job = get_object_or_404(Job.objects.for_page(), pk=self.kwargs["pk"])
        return found

    def get_back_url(self) -> str:
        found: Job = self.found  # type: ignore[attr-defined]
        return str(found.get_absolute_url())


class Enquiry(ServiceFormView):
    """An enquiry in under a minute: `?customer=` and `?site=` name what is known already."""

    permission = WRITE
    found_name = "customer"
    form_class = EnquiryForm
    template_name = "jobs/work/enquiry.html"
    title = "Take an enquiry"
    button = "Open the job"
    success_message = "Opened {made}."

    def find(self) -> Customer | None:
        wanted = self.request.GET.get("customer", "")
        if not wanted:
            return None
        found: Customer | None = (
            Customer.objects.current().filter(pk=wanted).first() if wanted.isdecimal() else None
        )
        if found is None:
            raise Http404
        return found

    def get_initial(self) -> dict[str, Any]:
        initial: dict[str, Any] = {"source": "repeat"} if self.found else {}
        site = self.request.GET.get("site", "")
        if self.found:
            sites = self.found.sites.filter(archived_at=None)
            chosen = sites.filter(pk=site).first() if site.isdecimal() else sites.first()
            initial["site"] = chosen
        return initial

    def get_form_kwargs(self) -> dict[str, Any]:
        kwargs = super().get_form_kwargs()
        kwargs["customer"] = self.found
        data = kwargs.get("data")
        # The same page sent twice finds the customer it added: that is nobody to ask about.
        if data is not None and self.found is None and not was_taken(data.get("uid", "")):
            kwargs["known"] = known_callers(
                name=data.get("name", ""), phone=data.get("phone", ""), email=data.get("email", "")
            )
        return kwargs

    def act(self, form: Any) -> Job:
        values = form.cleaned_data
        site = values.get("site")
        chosen = form.chosen()
        person = {} if chosen else {n: values[n] for n in ("name", "phone", "email", "kind")}
        return services.take_enquiry(
            customer_id=chosen, site_id=site.pk if site else None,
            address="" if site else values["address"], postcode="" if site else values["postcode"],
            title=values["title"], words=values["words"], source=values["source"],
            key=values["uid"], by=self.request.user, at=self.request.now, **person,
        )  # fmt: skip

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url()) if self.found else reverse("work:list")

    def get_success_url(self) -> str:
        return str(self.made.get_absolute_url())


class JobDetail(OneJob, RoomPage):
    permission = SEE
    template_name = "jobs/work/detail.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        job: Job = self.found
        history = list(job.stage_changes.select_related("by"))
        user = self.request.user
        stage = Stage(job.stage)
        return super().get_context_data(
            title=f"{job.reference} {job.title}",
            facts=facts_of(job),
            line=stage_line(job, history),
            history=history,
            next_offered=next(iter(drawn_panels(self.request, "job_next", job)), ""),
            next_words=NEXT_STEP[stage],
            steps=[(to.value, words) for to, (froms, words) in BY_HAND.items() if stage in froms],
            can_lose=stage in CAN_BE_LOST,
            can_cancel=stage in CAN_BE_CANCELLED,
            closed=stage in CLOSED,
            why_closed=next((c for c in reversed(history) if c.after == stage), None),
            panels=drawn_panels(self.request, "job", job),
            files=files_of(job, user),
            trail=trail_of(job) if user.has_perm("jobs.view_audit") else None,
            **kwargs,
        )


def facts_of(job: Job) -> list[tuple[str, str] | tuple[str, str, str]]:
    """Return what the job's page says first."""
    customer, site = job.customer, job.site
    known = customer.erased_at is None
    facts: list[tuple[str, str] | tuple[str, str, str]] = [
        ("Customer", customer.name, customer.get_absolute_url() if known else ""),
        ("Telephone", customer.phone, f"tel:{customer.phone}" if customer.phone else ""),
        ("Site", site.one_line or site.name, site.get_absolute_url() if known else ""),
        ("How they came", job.get_source_display()),
    ]
    if job.customer_order_number or customer.wants_order_number:
        facts.append(("Their order number", job.customer_order_number or "wanted, not given yet"))
    if job.enquiry:
        facts.append(("What they want", job.enquiry))
    return facts


class JobEdit(OneJob, VersionedFormView):
    permission = WRITE
    form_class = JobEditForm
    button = "Save the job"
    success_message = "Saved {made}."

    def get_title(self) -> str:
        return f"Change {self.found.reference}"

    def change(self, form: Any) -> Job:
        values = {name: form.cleaned_data[name] for name in form.compared()}
        return services.change_job(
            job_id=self.found.pk, version=form.cleaned_data["version"],
            by=self.request.user, at=self.request.now, **values,
        )  # fmt: skip


class JobCopy(OneJob, ServiceFormView):
    permission = WRITE
    form_class = CopyForm
    button = "Open the copy"
    intro = "Its survey can start from these measurements."
    success_message = "Opened {made}."

    def find(self) -> Job:
        job = super().find()
        if job.customer.archived_at or job.customer.erased_at:
            raise Http404
        return job

    def get_title(self) -> str:
        return f"Copy {self.found.reference}"

    def get_initial(self) -> dict[str, Any]:
        return {"site": self.found.site, "title": self.found.title}

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"customer": self.found.customer}

    def act(self, form: Any) -> Job:
        values = form.cleaned_data
        return services.copy_job(
            job_id=self.found.pk, site_id=values["site"].pk, title=values["title"],
            key=values["uid"], by=self.request.user, at=self.request.now,
        )  # fmt: skip

    def get_success_url(self) -> str:
        return str(self.made.get_absolute_url())
