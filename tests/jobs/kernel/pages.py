"""A small set of pages over customers, in addresses of their own, to test what rooms inherit."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any, ClassVar

import django_filters
import django_tables2 as tables
from django import forms
from django.core.exceptions import ValidationError
from django.db.models import F, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import include, path

from jobs.customers.enums import CustomerKind
from jobs.customers.models import Customer
from jobs.kernel.errors import ServiceError
from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.sheetfields import Choice, Day, Whole, Words, column
from jobs.kernel.sheets import SheetResource
from jobs.kernel.sheetviews import SheetExportView, SheetImportView
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


class CustomerResource(SheetResource):
    name = column("Name", "name", Words(needed=True, most=120))
    kind = column("Kind", "kind", Choice(CustomerKind, default="household"))
    terms_days = column("Days to pay", "terms_days", Whole(most=90, default=14))
    archived_at = column("Since", "created_at__date", Day(), readonly=True)
    needed = ("Name",)
    about: ClassVar[dict[str, str]] = {"Days to pay": "0 to 90"}

    class Meta:
        model = Customer
        fields = ("name", "kind", "terms_days", "archived_at")
        import_id_fields = ("name",)

    def write(
        self, instance: Customer, *, new: bool, row: Mapping[str, str], by: Any, at: datetime
    ) -> None:
        if instance.name == "Nobody":
            raise ServiceError("Nobody is not a customer.")
        if new:
            instance.created_at = at
        instance.save()


class CustomerSheet(SheetImportView):
    permission = "jobs.manage_customers"
    title = "Customers from a file"
    resource_class = CustomerResource
    list_url = "room:all"
    export_url = "room:sheet-out"


class CustomerSheetOut(SheetExportView):
    permission = "jobs.view_work"
    title = "Customers"
    resource_class = CustomerResource


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
        path("sheet/", CustomerSheet.as_view(), name="sheet"),
        path("sheet/out/", CustomerSheetOut.as_view(), name="sheet-out"),
        path("all/", CustomerList.as_view(), name="all"),
    ],
    "room",
)
urlpatterns = [path("room/", include(room)), path("", include("config.urls"))]
handler403 = "config.views.permission_denied"
handler404 = "config.views.page_not_found"
