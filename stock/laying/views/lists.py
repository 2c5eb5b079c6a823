"""The list of lay days, opening one, the day sheet, and the differences for the storeman."""

from __future__ import annotations

from datetime import date
from typing import Any, ClassVar

from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.clock import london_day
from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.views import ConfirmView, RoomPage, RoomPermissionMixin, ServiceFormView
from stock.laying import queries, services
from stock.laying.documents import sheet_pdf
from stock.laying.filters import DiscrepancyFilter, LayDayFilter
from stock.laying.forms import AnswerForm
from stock.laying.models import Discrepancy, LayDay
from stock.laying.tables import DiscrepancyTable, LayDayTable

SEES = ("jobs.log_lay_day", *queries.SEE_ALL)


class LayDays(RoomListView):
    """Booked lay days, today first; the crew lead sees his own crew's."""

    permission = SEES
    title = "Lay days"
    table_class = LayDayTable
    filterset_class = LayDayFilter
    search_fields = (
        "booking__job__reference", "booking__job__title", "booking__job__site__name",
        "booking__job__site__address",
    )  # fmt: skip
    search_hint = "job or site"
    actions = (Action("Differences", "laying:differences", "jobs.move_stock", solid=False),)

    def get_rows(self) -> QuerySet[Any]:
        rows = queries.booked_days(self.request.user)
        return queries.days_in_order(rows, london_day(self.request.now))

    @property
    def empty(self) -> str:  # type: ignore[override]
        if queries.sees_all(self.request.user):
            return "No day is booked for laying. Book a crew in the calendar."
        return (
            "No lay day is booked for your crew. If you miss one: the office ties your log-in to "
            "a crew under People."
        )


class BookedDay:
    """Finds a job and day that is booked for laying, within what the user may see."""

    kwargs: dict[str, Any]
    request: Any
    found: Any
    found_name: ClassVar[str] = "booked"

    def find(self) -> Any:
        try:
            day = date.fromisoformat(self.kwargs["day"])
        except ValueError as error:
            raise Http404 from error
        wanted = {"booking__job_id": self.kwargs["job"], "day": day}
        found = queries.booked_days(self.request.user).filter(**wanted).first()
        if found is None:
            # A day that was opened stays, though its booking was moved.
            opened = get_object_or_404(
                queries.visible_days(self.request.user), job_id=self.kwargs["job"], day=day
            )
            self.job, self.day, self.opened = opened.job, day, opened.pk
            return opened
        self.job, self.day, self.opened = found.booking.job, day, found.lay_day
        return found


class OpenDay(BookedDay, ConfirmView):
    """Asks whether to open the day, and opens it."""

    permission = "jobs.log_lay_day"
    template_name = "stock/laying/open.html"
    button = "Open the day"

    def get_title(self) -> str:
        return f"Lay at {self.job.site}"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(
            **kwargs
            | {
                "sheet": queries.day_sheet(self.job, self.day), "job": self.job, "day": self.day,
                "opened": self.opened, "early": self.day > london_day(self.request.now),
            }
        )  # fmt: skip

    def act(self, form: Any) -> LayDay:
        return services.open_lay_day(
            job_id=self.job.pk, day=self.day, by=self.request.user, at=self.request.now
        )


class Sheet(BookedDay, RoomPage):
    """The day sheet, to be read or printed."""

    permission = SEES
    template_name = "stock/laying/sheet.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(
            **kwargs
            | {
                "title": f"Day sheet {self.job.reference}", "job": self.job, "opened": self.opened,
                "sheet": queries.day_sheet(self.job, self.day), "defer": queries.SHEET,
            }
        )  # fmt: skip


class SheetPdf(BookedDay, RoomPermissionMixin):
    """The day sheet as PDF."""

    permission = SEES

    def get(self, _: HttpRequest, *__: Any, **___: Any) -> HttpResponse:
        sheet = queries.day_sheet(self.job, self.day)
        name = f"day-sheet-{sheet.reference}-{sheet.day.isoformat()}.pdf"
        return HttpResponse(
            sheet_pdf(sheet, printed_at=self.request.now),
            content_type="application/pdf",
            headers={"Content-Disposition": f'inline; filename="{name}"'},
        )


# -- differences -------------------------------------------------------------------------------


class Differences(RoomListView):
    """What lay days left unexplained; open ones until the answered are asked for."""

    permission = "jobs.move_stock"
    title = "Differences of lay days"
    table_class = DiscrepancyTable
    filterset_class = DiscrepancyFilter
    search_fields = (
        "what", "answer", "lot__code", "lay_day__job__reference", "lay_day__job__title",
    )  # fmt: skip
    search_hint = "job, lot or words"
    empty = "No lay day left a difference."

    def get_rows(self) -> QuerySet[Any]:
        return Discrepancy.objects.for_list()


class Answer(ServiceFormView):
    """What became of a difference."""

    permission = "jobs.move_stock"
    form_class = AnswerForm
    template_name = "stock/laying/answer.html"
    title = "Answer a difference"
    button = "Answer it"
    found_name = "difference"
    success_message = "Answered."

    def find(self) -> Discrepancy:
        found: Discrepancy = get_object_or_404(Discrepancy.objects.for_list(), pk=self.kwargs["pk"])
        return found

    def get_form_kwargs(self) -> dict[str, Any]:
        settle = ""
        if self.found.mix and self.found.mix.posting_id is None:
            settle = "Book the mix now: what it lacked has been issued to the site since"
        elif self.found.lot and self.found.quantity:
            settle = "Write it off the site: it is not there"
        return super().get_form_kwargs() | {"settle": settle}

    def get_back_url(self) -> str:
        return reverse("laying:differences")

    def get_success_url(self) -> str:
        return reverse("laying:differences")

    def act(self, form: Any) -> Discrepancy:
        return services.answer_discrepancy(
            discrepancy_id=self.found.pk, answer=form.cleaned_data["answer"],
            settle=form.cleaned_data.get("settle", False), by=self.request.user,
            at=self.request.now, may_approve=self.request.user.has_perm("jobs.approve_count"),
        )  # fmt: skip
