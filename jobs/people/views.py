"""People and crews."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.clock import london_day
from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.views import ServiceFormView
from jobs.people import services
from jobs.people.filters import PersonFilter
from jobs.people.forms import CrewForm, NewPersonForm, PersonForm, RateForm
from jobs.people.models import Crew, PayRate, Person
from jobs.people.tables import PersonTable

WRITE = "jobs.manage_people"
COST = "jobs.see_margin"


class PersonList(RoomListView):
    permission = WRITE
    title = "People"
    table_class = PersonTable
    filterset_class = PersonFilter
    search_fields = ("name", "phone", "cards", "crew__name")
    search_hint = "A name, a crew or a card"
    actions = (
        Action("Add somebody", "people:create"),
        Action("Add a crew", "people:crew", solid=False),
    )
    column_permissions = {"hourly": COST}
    empty = "Nobody works here yet."

    def get_rows(self) -> Any:
        return Person.objects.for_list(london_day(self.request.now))


class PeopleForm(ServiceFormView):
    permission = WRITE

    def get_back_url(self) -> str:
        return reverse("people:list")

    def get_success_url(self) -> str:
        return reverse("people:list")


class PersonCreate(PeopleForm):
    form_class = NewPersonForm
    title = "Add somebody"
    button = "Add the person"
    success_message = "Added {made}."

    def get_initial(self) -> dict[str, Any]:
        return {"valid_from": london_day(self.request.now)}

    def get_form_class(self) -> Any:
        return NewPersonForm if self.request.user.has_perm(COST) else PersonForm

    def act(self, form: Any) -> Person:
        return services.add_person(by=self.request.user, at=self.request.now, **form.cleaned_data)


class OnePerson:
    kwargs: dict[str, Any]

    def find(self) -> Person:
        return get_object_or_404(Person.objects.current(), pk=self.kwargs["pk"])


class PersonEdit(OnePerson, PeopleForm):
    form_class = PersonForm
    success_message = "Saved {made}."

    def get_title(self) -> str:
        return f"Change {self.found}"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"instance": Person.objects.get(pk=self.found.pk)}

    def act(self, form: Any) -> Person:
        return services.change_person(
            person_id=self.found.pk, by=self.request.user, at=self.request.now, **form.cleaned_data
        )


class PersonRate(OnePerson, PeopleForm):
    """Only those who see costs set them."""

    permission = COST
    form_class = RateForm
    button = "Set the rate"
    success_message = "Set."

    def get_title(self) -> str:
        return f"What an hour of {self.found} costs"

    def act(self, form: Any) -> PayRate:
        return services.set_pay_rate(
            person_id=self.found.pk, by=self.request.user, at=self.request.now, **form.cleaned_data
        )


class CrewCreate(PeopleForm):
    form_class = CrewForm
    title = "Add a crew"
    button = "Add the crew"
    success_message = "Added {made}."

    def act(self, form: Any) -> Crew:
        return services.add_crew(by=self.request.user, at=self.request.now, **form.cleaned_data)
