"""The list of readings, adding one, leaving one out, and what a gap is."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.lists import RoomListView
from jobs.kernel.views import ConfirmView, ServiceFormView
from stock.conditions import queries, services
from stock.conditions.filters import ReadingFilter
from stock.conditions.forms import GapForm, LeaveOutForm, ReadingForm
from stock.conditions.models import Reading
from stock.conditions.tables import ReadingTable
from stock.conditions.views.places import MOVE, SEE, OnePlace


class Readings(RoomListView):
    permission = SEE
    title = "Readings"
    table_class = ReadingTable
    filterset_class = ReadingFilter
    search_fields = ("place__name", "sensor__name", "left_out_reason")
    search_hint = "Place, sensor or reason"
    empty = "No reading yet."

    def get_rows(self) -> Any:
        return Reading.objects.for_list()

    def get_table_kwargs(self) -> dict[str, Any]:
        return {"exclude": () if self.request.user.has_perm("jobs.release_lot") else ("out",)}


class PlaceForm(OnePlace, ServiceFormView):
    def get_back_url(self) -> str:
        return reverse("conditions:place", args=[self.found.pk])

    def get_success_url(self) -> str:
        return reverse("conditions:place", args=[self.found.pk])


class AddReading(PlaceForm):
    permission = MOVE
    form_class = ReadingForm
    button = "Keep the reading"
    success_message = "Kept: {made}."

    def get_title(self) -> str:
        return f"Add a reading of {self.found}"

    def get_initial(self) -> dict[str, Any]:
        return {"measured_at": self.request.now.replace(second=0, microsecond=0)}

    def act(self, form: Any) -> Reading:
        values = form.cleaned_data
        return services.add_reading(
            place_id=self.found.pk, celsius=values["celsius"], humidity=values["humidity"],
            measured_at=values["measured_at"], by=self.request.user, at=self.request.now,
        )  # fmt: skip


class ChangeGap(PlaceForm):
    permission = "jobs.manage_catalogue"
    form_class = GapForm
    success_message = "Saved."

    def get_title(self) -> str:
        return f"What a gap is in {self.found}"

    def get_initial(self) -> dict[str, Any]:
        return {"gap_hours": queries.gap_hours_of(self.found)}

    def act(self, form: Any) -> Any:
        return services.change_gap(
            place_id=self.found.pk, by=self.request.user, at=self.request.now, **form.cleaned_data
        )


class LeaveOut(ConfirmView):
    """A wrong reading could hide a hot day, so it wants the right to release lots."""

    permission = "jobs.release_lot"
    form_class = LeaveOutForm
    button = "Leave it out"
    success_message = "Left out: {made}."

    def find(self) -> Reading:
        return get_object_or_404(Reading.objects.select_related("place"), pk=self.kwargs["pk"])

    def get_title(self) -> str:
        return f"Leave out {self.found}?"

    def get_back_url(self) -> str:
        return reverse("conditions:readings")

    def get_success_url(self) -> str:
        return reverse("conditions:place", args=[self.found.place_id])

    def act(self, form: Any) -> Reading:
        return services.leave_out_reading(
            reading_id=self.found.pk, reason=form.cleaned_data["reason"], by=self.request.user,
            at=self.request.now,
        )  # fmt: skip
