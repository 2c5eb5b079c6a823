"""Leave, closed days, mixers and vehicles."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.calendar import services
from jobs.calendar.enums import ResourceKind
from jobs.calendar.forms import ClosedDayForm, LeaveForm, PlantEditForm, PlantForm
from jobs.calendar.models import ClosedDay, Leave, Resource
from jobs.calendar.views.board import BOOK
from jobs.kernel.clock import london_day
from jobs.kernel.views import ConfirmView, RoomPage, ServiceActionView, ServiceFormView

PLANT = (ResourceKind.MIXER, ResourceKind.VEHICLE)


class Days(RoomPage):
    """Leave, closed days and plant, and where to add them."""

    permission = BOOK
    template_name = "jobs/calendar/days.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        today = london_day(self.request.now)
        return super().get_context_data(
            title="Leave, closed days and plant",
            leaves=Leave.objects.filter(cancelled_at=None, last__gte=today)
            .select_related("person")
            .order_by("first"),
            closed=ClosedDay.objects.filter(day__gte=today),
            plant=Resource.objects.filter(kind__in=PLANT, archived_at=None),
            **kwargs,
        )


class DaysForm(ServiceFormView):
    permission = BOOK

    def get_back_url(self) -> str:
        return reverse("calendar:days")

    def get_success_url(self) -> str:
        return reverse("calendar:days")


class AddLeave(DaysForm):
    form_class = LeaveForm
    title = "Add leave"
    button = "Add the leave"
    success_message = "Added."

    def act(self, form: Any) -> Leave:
        values = dict(form.cleaned_data)
        person = values.pop("person")
        return services.add_leave(
            person_id=person.pk, by=self.request.user, at=self.request.now, **values
        )


class CancelLeave(ServiceActionView):
    permission = BOOK
    success_message = "The leave was taken back."

    def find(self) -> Leave:
        return get_object_or_404(Leave, pk=self.kwargs["pk"], cancelled_at=None)

    def get_success_url(self) -> str:
        return reverse("calendar:days")

    def act(self) -> Leave:
        return services.cancel_leave(
            leave_id=self.found.pk, by=self.request.user, at=self.request.now
        )


class AddClosedDay(DaysForm):
    form_class = ClosedDayForm
    title = "Close a day"
    button = "Close the day"
    success_message = "Closed."

    def act(self, form: Any) -> ClosedDay:
        return services.add_closed_day(
            by=self.request.user, at=self.request.now, **form.cleaned_data
        )


class ReopenDay(ServiceActionView):
    """Take a closed day back."""

    permission = BOOK
    success_message = "{made:%a %-d %b %Y} is open again."

    def find(self) -> ClosedDay:
        return get_object_or_404(ClosedDay, pk=self.kwargs["pk"])

    def get_success_url(self) -> str:
        return reverse("calendar:days")

    def act(self) -> Any:
        return services.reopen_day(
            closed_id=self.found.pk, by=self.request.user, at=self.request.now
        )


class AddPlant(DaysForm):
    form_class = PlantForm
    title = "Add a mixer or a vehicle"
    button = "Add it"
    success_message = "Added {made}."

    def act(self, form: Any) -> Resource:
        return services.add_plant(by=self.request.user, at=self.request.now, **form.cleaned_data)


class OnePlant:
    """Finds the mixer or vehicle of the address."""

    kwargs: dict[str, Any]
    found_name = "plant"

    def find(self) -> Resource:
        return get_object_or_404(Resource, pk=self.kwargs["pk"], kind__in=PLANT, archived_at=None)


class PlantEdit(OnePlant, DaysForm):
    form_class = PlantEditForm
    template_name = "jobs/calendar/plant.html"
    success_message = "Saved {made}."

    def get_title(self) -> str:
        return f"Change {self.found}"

    def get_initial(self) -> dict[str, Any]:
        return {"name": self.found.name, "payload_kg": self.found.payload_kg}

    def act(self, form: Any) -> Resource:
        return services.change_plant(
            plant_id=self.found.pk, by=self.request.user, at=self.request.now, **form.cleaned_data
        )


class PlantArchive(OnePlant, ConfirmView):
    permission = BOOK
    button = "Put it away"
    intro = "It can no longer be booked. Where it was used stays in the record."
    success_message = "{made} is put away."

    def get_title(self) -> str:
        return f"Put {self.found} away?"

    def get_back_url(self) -> str:
        return reverse("calendar:days")

    def get_success_url(self) -> str:
        return reverse("calendar:days")

    def act(self, form: Any) -> Resource:
        return services.archive_plant(
            plant_id=self.found.pk, by=self.request.user, at=self.request.now
        )
