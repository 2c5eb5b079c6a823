"""A small set of pages over customers, in addresses of their own, to test what rooms inherit."""

from __future__ import annotations

from typing import Any, ClassVar

import django_filters
import django_tables2 as tables
from django import forms
from django.core.exceptions import ValidationError
from django.db.models import F, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import include, path

from jobs.customers.models import Customer
from jobs.kernel.errors import ServiceError
from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.tables import FieldBookTable, FigureColumn, MomentColumn, StateColumn, VerbColumn
from jobs.kernel.views import (
    ConfirmView,
    RoomPage,
    RoomPermissionMixin,
    ServiceActionView,
    ServiceFormView,
    room_permission,
)


class CustomerTable(FieldBookTable):
    name = tables.Column(footer="in all")
    terms_days = FigureColumn(verbose_name="Days", total=True)
    kind = StateColumn(level=lambda row: "look" if row.terms_days > 30 else "ready")
    created_at = MomentColumn(verbose_name="Since")
    secret = FigureColumn(accessor="version", verbose_name="Secret")
    step = VerbColumn("open", url=lambda row: f"/customers/{row.pk}/")


class CustomerFilter(django_filters.FilterSet):
    terms_days = django_filters.NumberFilter(label="Days to pay")

    class Meta:
        model = Customer
        fields: ClassVar[list[str]] = ["kind"]


class CustomerList(RoomListView):
    permission = "jobs.view_work"
    title = "People who pay"
    table_class = CustomerTable
    filterset_class = CustomerFilter
    search_fields = ("name", "contacts__name")
    empty = "No customers yet."
    actions = (Action("Add a customer", "room:create", "jobs.manage_customers"),)
    column_permissions: ClassVar[dict[str, str]] = {"secret": "jobs.see_margin"}

    def get_rows(self) -> QuerySet[Customer]:
        return Customer.objects.all()


class GuardedFiles(CustomerList):
    export_permission = "jobs.see_margin"


class NameForm(forms.Form):
    name = forms.CharField(label="Name", max_length=20)


class Found(RoomPermissionMixin):
    def find(self) -> Any:
        return get_object_or_404(Customer, pk=self.kwargs["pk"])


class Page(Found, RoomPage):
    permission = ("jobs.manage_customers", "jobs.see_margin")
    found_name = "customer"
    template_name = "base.html"


class Rename(Found, ServiceFormView):
    permission = "jobs.manage_customers"
    form_class = NameForm
    title = "Rename"
    back_url = "/customers/"
    success_url = "/done/"
    success_message = "Renamed to {made}."

    def act(self, form: Any) -> Any:
        name = form.cleaned_data["name"]
        if name == "taken":
            raise ServiceError("That name is taken.", field="name")
        if name == "shut":
            raise ServiceError("The books are shut.", field="not_on_the_form")
        if name == "model":
            raise ValidationError({"name": "Too plain.", "kind": "No such kind."})
        Customer.objects.filter(pk=self.found.pk).update(name=name)
        return name


class Bump(Found, ServiceActionView):
    permission = "jobs.manage_customers"
    success_message = "Moved on."

    def act(self) -> Any:
        if self.found.terms_days > 30:
            raise ServiceError("More than 30 days is not given.")
        return Customer.objects.filter(pk=self.found.pk).update(terms_days=F("terms_days") + 1)

    def get_success_url(self) -> str:
        return "/done/"


class Ask(Found, ConfirmView):
    permission = "jobs.manage_customers"
    title = "Remove the customer?"
    intro = "Papers are kept."
    success_url = "/done/"

    def act(self, form: Any) -> Any:
        return self.found.delete()


class Nameless(RoomPage):
    template_name = "base.html"


@room_permission("jobs.see_margin")
def plain(request: HttpRequest) -> HttpResponse:
    return HttpResponse("margin")


room = (
    [
        path("", CustomerList.as_view(), name="list"),
        path("guarded/", GuardedFiles.as_view(), name="guarded"),
        path("new/", plain, name="create"),
        path("<int:pk>/", Page.as_view(), name="detail"),
        path("<int:pk>/rename/", Rename.as_view(), name="rename"),
        path("<int:pk>/bump/", Bump.as_view(), name="bump"),
        path("<int:pk>/ask/", Ask.as_view(), name="ask"),
        path("nameless/", Nameless.as_view(), name="nameless"),
    ],
    "room",
)
urlpatterns = [path("room/", include(room)), path("", include("config.urls"))]
handler403 = "config.views.permission_denied"
handler404 = "config.views.page_not_found"
