"""People and crews."""

from __future__ import annotations

from typing import Any, ClassVar

from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.clock import london_day
from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.versionviews import VersionedFormView
from jobs.kernel.views import ConfirmView, RoomPermissionMixin, ServiceActionView, ServiceFormView
from jobs.people import services
from jobs.people.filters import PersonFilter
from jobs.people.forms import (
    CrewEditForm,
    CrewForm,
    NewPaidPersonForm,
    NewPersonForm,
    PersonForm,
    RateForm,
)
from jobs.people.models import Crew, PayRate, Person
from jobs.people.queries import crews_now
from jobs.people.tables import PersonTable

WRITE = "jobs.manage_people"
COST = "jobs.see_margin"


class PersonList(RoomListView):
    permission = (WRITE, COST)
    title = "People"
    template_name = "jobs/people/list.html"
    table_class = PersonTable
    filterset_class = PersonFilter
    search_fields = ("name", "phone", "cards", "crew__name")
    search_hint = "A name, a crew or a card"
    actions = (
        Action("Add somebody", "people:create", WRITE),
        Action("Add a crew", "people:crew", WRITE, solid=False),
    )
    column_permissions = {"hourly": COST, "rate": COST, "change": WRITE}
    empty = "Nobody works here yet."

    def get_rows(self) -> Any:
        return Person.objects.for_list(london_day(self.request.now))

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(crews=crews_now(), **kwargs)


class PeoplePage(RoomPermissionMixin):
    """What the pages of people share: they go back to the list."""

    permission: ClassVar[str | tuple[str, ...]] = WRITE

    def get_back_url(self) -> str:
        return reverse("people:list")

    def get_success_url(self) -> str:
        return reverse("people:list")


class PersonCreate(PeoplePage, ServiceFormView):
    title = "Add somebody"
    button = "Add the person"
    success_message = "Added {made}."

    def get_initial(self) -> dict[str, Any]:
        return {"valid_from": london_day(self.request.now)}

    def get_form_class(self) -> Any:
        return NewPaidPersonForm if self.request.user.has_perm(COST) else NewPersonForm

    def act(self, form: Any) -> Person:
        return services.add_person(by=self.request.user, at=self.request.now, **form.cleaned_data)


class OnePerson:
    kwargs: dict[str, Any]

    def find(self) -> Person:
        found: Person = get_object_or_404(Person.objects.current(), pk=self.kwargs["pk"])
        return found


class PersonEdit(OnePerson, PeoplePage, VersionedFormView):
    form_class = PersonForm
    template_name = "jobs/people/edit.html"
    success_message = "Saved {made}."
    found_name = "person"

    def find(self) -> Person:
        return get_object_or_404(Person, pk=self.kwargs["pk"])

    def get_title(self) -> str:
        return f"Change {self.found}"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"person": self.found}

    def change(self, form: Any) -> Person:
        values = {name: form.cleaned_data[name] for name in form.compared()}
        return services.change_person(
            person_id=self.found.pk,
            version=form.cleaned_data["version"],
            by=self.request.user,
            at=self.request.now,
            **values,
        )


class PersonRate(OnePerson, PeoplePage, ServiceFormView):
    """Only those who see costs set them."""

    permission = COST
    form_class = RateForm
    template_name = "jobs/people/rate.html"
    button = "Set the rate"
    intro = "Hours entered before keep what they cost then."
    success_message = "Set from {made.valid_from:%-d %b %Y}."

    def get_title(self) -> str:
        return f"What an hour of {self.found} costs"

    def get_initial(self) -> dict[str, Any]:
        return {"valid_from": london_day(self.request.now)}

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(rates=self.found.pay_rates.all(), **kwargs)

    def act(self, form: Any) -> PayRate:
        return services.set_pay_rate(
            person_id=self.found.pk, by=self.request.user, at=self.request.now, **form.cleaned_data
        )


class PersonArchive(OnePerson, PeoplePage, ConfirmView):
    button = "Note that they left"
    intro = "No more bookings and hours. What was done stays, and they can come back."
    success_message = "{made} is noted as left."

    def get_title(self) -> str:
        return f"Did {self.found} leave the firm?"

    def act(self, form: Any) -> Person:
        return services.archive_person(
            person_id=self.found.pk, by=self.request.user, at=self.request.now
        )


class PersonRestore(PeoplePage, ServiceActionView):
    success_message = "{made} works here again."

    def find(self) -> Person:
        return get_object_or_404(Person, pk=self.kwargs["pk"], archived_at__isnull=False)

    def act(self) -> Person:
        return services.restore_person(
            person_id=self.found.pk, by=self.request.user, at=self.request.now
        )


class CrewCreate(PeoplePage, ServiceFormView):
    form_class = CrewForm
    title = "Add a crew"
    button = "Add the crew"
    success_message = "Added {made}."

    def act(self, form: Any) -> Crew:
        name = form.cleaned_data["name"]
        return services.add_crew(name=name, by=self.request.user, at=self.request.now)


class OneCrew:
    kwargs: dict[str, Any]
    found_name = "crew"

    def find(self) -> Crew:
        return get_object_or_404(Crew, pk=self.kwargs["pk"], archived_at=None)


class CrewEdit(OneCrew, PeoplePage, VersionedFormView):
    form_class = CrewEditForm
    template_name = "jobs/people/crew.html"
    success_message = "Saved {made}."

    def get_title(self) -> str:
        return f"Change {self.found}"

    def change(self, form: Any) -> Crew:
        return services.change_crew(
            crew_id=self.found.pk,
            version=form.cleaned_data["version"],
            name=form.cleaned_data["name"],
            by=self.request.user,
            at=self.request.now,
        )


class CrewArchive(OneCrew, PeoplePage, ConfirmView):
    button = "Dissolve the crew"
    intro = "It can no longer be booked. Where it worked stays in the record."
    success_message = "{made} is dissolved."

    def get_title(self) -> str:
        return f"Dissolve {self.found}?"

    def act(self, form: Any) -> Crew:
        return services.archive_crew(
            crew_id=self.found.pk, by=self.request.user, at=self.request.now
        )
