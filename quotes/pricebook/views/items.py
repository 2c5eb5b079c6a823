"""Pages of work items."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel import clock
from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.views import RoomPage, ServiceActionView, ServiceFormView
from quotes.pricebook import queries, services
from quotes.pricebook.filters import WorkItemFilter
from quotes.pricebook.forms import RateForm, WorkItemChangeForm, WorkItemForm, stock_initial
from quotes.pricebook.models import FirmRates, WorkItem
from quotes.pricebook.tables import WorkItemTable
from quotes.pricebook.views.common import CHANGE, SEE


class WorkItemList(RoomListView):
    """Work items with the figures of today."""

    permission = SEE
    title = "Price book"
    intro = "what a unit of work takes; each figure holds from its day on"
    table_class = WorkItemTable
    filterset_class = WorkItemFilter
    search_fields = ("name", "code")
    search_hint = "name or code"
    actions = (
        Action("Add a work item", "pricebook:create", CHANGE),
        Action("Firm's rates", "pricebook:rates", SEE, solid=False),
        Action("Plant, ground, small jobs", "pricebook:book", SEE, solid=False),
        Action("Bring a sheet", "pricebook:import", CHANGE, solid=False),
    )
    empty = "No work items yet. Add lifting away, edging, the laying itself."

    def get_rows(self) -> QuerySet[Any]:
        return WorkItem.objects.for_list(clock.london_day(self.request.now))


class WorkItemPage(RoomPage):
    """One work item: today's build-up, and its figures day by day."""

    permission = SEE
    template_name = "quotes/pricebook/detail.html"
    found_name = "work_item"

    def find(self) -> WorkItem:
        return get_object_or_404(WorkItem, pk=self.kwargs["pk"])

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        day = clock.london_day(self.request.now)
        firm = FirmRates.objects.on(day)
        cost = None
        if firm:
            costs = queries.costs_of([self.found], day, labour_hourly=firm.labour_hourly)
            cost = costs[self.found.pk]
        return super().get_context_data(
            title=self.found.name,
            cost=cost,
            hourly=firm.labour_hourly if firm else None,
            today=day,
            rates=self.found.rates.select_related("machine")
            .prefetch_related("stock__item")
            .order_by("-valid_from"),
            may_change=self.request.user.has_perm(CHANGE),
            archive_url=reverse("pricebook:archive", args=[self.found.pk]),
            facts=[
                ("measured as", self.found.get_measure_display()),
                ("laying labour", "yes" if self.found.is_surface else "no"),
            ],
            **kwargs,
        )


class WorkItemCreate(ServiceFormView):
    """Add a work item, then give it its first figures."""

    permission = CHANGE
    form_class = WorkItemForm
    title = "Add a work item"
    button = "Add the work item"
    success_message = "{made} is in the book. Give its figures next."

    def get_back_url(self) -> str:
        return reverse("pricebook:list")

    def act(self, form: Any) -> WorkItem:
        return services.add_work_item(
            **form.cleaned_data, by=self.request.user, at=self.request.now
        )

    def get_success_url(self) -> str:
        return reverse("pricebook:rate", args=[self.made.pk])


class WorkItemForms(ServiceFormView):
    """What the forms about one work item share."""

    permission = CHANGE
    found_name = "work_item"

    def find(self) -> WorkItem:
        return get_object_or_404(WorkItem, pk=self.kwargs["pk"])

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_success_url(self) -> str:
        return str(self.found.get_absolute_url())


class WorkItemEdit(WorkItemForms):
    """Change words and measure."""

    form_class = WorkItemChangeForm
    title = "Change the work item"
    button = "Save the work item"
    success_message = "Saved {made}."

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"work_item": self.found}

    def get_initial(self) -> dict[str, Any]:
        return {name: getattr(self.found, name) for name in ("name", "measure", "is_surface")}

    def act(self, form: Any) -> WorkItem:
        return services.change_work_item(
            work_item_id=self.found.pk, values=form.cleaned_data,
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class NewRate(WorkItemForms):
    """New figures of a work item from a day on."""

    form_class = RateForm
    button = "Add the figures"
    success_message = "The new figures are in the book."

    def get_title(self) -> str:
        return f"New figures: {self.found}"

    def get_initial(self) -> dict[str, Any]:
        last = self.found.rates.order_by("-valid_from").first()
        begin = {"valid_from": clock.london_day(self.request.now)}
        if last is None:
            return begin
        names = (
            "labour_hours", "plant", "machine", "machine_days", "material", "waste_percent",
        )  # fmt: skip
        return begin | {name: getattr(last, name) for name in names} | stock_initial(last)

    def act(self, form: Any) -> Any:
        return services.add_rate(
            work_item_id=self.found.pk, **form.figures, by=self.request.user, at=self.request.now
        )


class WorkItemArchive(ServiceActionView):
    """Take a work item out of use, or bring it back."""

    permission = CHANGE
    success_message = "Done: {made}."

    def find(self) -> WorkItem:
        return get_object_or_404(WorkItem, pk=self.kwargs["pk"])

    def act(self) -> WorkItem:
        return services.archive_work_item(
            work_item_id=self.found.pk, by=self.request.user, at=self.request.now
        )
