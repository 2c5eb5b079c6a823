"""Pages of bays, vans and sites."""

from __future__ import annotations

from typing import Any

from django.db.models import Count, Q
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.views import ServiceFormView
from stock.catalogue import services
from stock.catalogue.enums import PlaceKind
from stock.catalogue.filters import PlaceFilter
from stock.catalogue.forms import PlaceEditForm, PlaceForm
from stock.catalogue.models import Place
from stock.catalogue.tables import PlaceTable

SEE = "jobs.view_yard"
WRITE = "jobs.manage_catalogue"


class Places(RoomListView):
    permission = SEE
    title = "Places"
    table_class = PlaceTable
    filterset_class = PlaceFilter
    search_fields = ("name",)
    search_hint = "A bay, a van or a site's job"
    actions = (Action("Add a place", "catalogue:place_create", WRITE),)
    empty = "No bays or vans yet."

    def get_rows(self) -> Any:
        return (
            Place.objects.filter(kind__in=PlaceKind.GUARDED, archived_at=None)
            .annotate(lots=Count("balances", filter=Q(balances__quantity__gt=0)))
            .order_by("kind", "near", "name", "pk")
        )

    def get_table_kwargs(self) -> dict[str, Any]:
        may_count = self.request.user.has_perm("jobs.move_stock")
        may_change = self.request.user.has_perm(WRITE)
        hidden = [] if may_count else ["count"]
        return {"exclude": (*hidden, *([] if may_change else ["change"]))}


class PlaceCreate(ServiceFormView):
    permission = WRITE
    form_class = PlaceForm
    title = "Add a place"
    button = "Add the place"
    success_message = "Added {made}."

    def get_back_url(self) -> str:
        return reverse("catalogue:places")

    def get_success_url(self) -> str:
        return reverse("catalogue:places")

    def act(self, form: Any) -> Place:
        return services.add_place(by=self.request.user, at=self.request.now, **form.cleaned_data)


class PlaceEdit(PlaceCreate):
    form_class = PlaceEditForm
    button = "Save the place"
    success_message = "Saved {made}."

    def find(self) -> Place:
        return get_object_or_404(Place.objects.own(), pk=self.kwargs["pk"])

    def get_title(self) -> str:
        return f"Change {self.found}"

    def get_initial(self) -> dict[str, Any]:
        place: Place = self.found
        return {
            "name": place.name, "near": place.near, "archived": place.archived_at is not None,
        }  # fmt: skip

    def act(self, form: Any) -> Place:
        return services.change_place(
            place_id=self.found.pk, by=self.request.user, at=self.request.now, **form.cleaned_data
        )
