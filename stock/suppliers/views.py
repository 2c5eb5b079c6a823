"""Pages of suppliers."""

from __future__ import annotations

import calendar
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import Any, ClassVar

from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.clock import london_day
from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.panels import drawn_panels
from jobs.kernel.sheetviews import SheetExportView, SheetImportView
from jobs.kernel.templatetags.firm import money
from jobs.kernel.views import RoomPage, ServiceActionView, ServiceFormView
from stock.suppliers import services
from stock.suppliers.forms import (
    ChannelForm,
    ClosedDayForm,
    PriceForm,
    SupplierForm,
    channel_initial,
)
from stock.suppliers.models import (
    Channel,
    ChannelCharge,
    Supplier,
    SupplierClosedDay,
    SupplierPrice,
)
from stock.suppliers.resources import PriceResource
from stock.suppliers.tables import SupplierTable

SEE = ("jobs.view_yard", "jobs.place_order", "jobs.manage_suppliers")
WRITE = "jobs.manage_suppliers"
MONEY = ("jobs.place_order", "jobs.manage_suppliers", "jobs.see_margin", "jobs.manage_prices")


class Suppliers(RoomListView):
    permission = SEE
    title = "Suppliers"
    table_class = SupplierTable
    search_fields = ("name", "email", "phone", "prices__item__name", "prices__supplier_code")
    search_hint = "Name, item or their code"
    actions = (
        Action("Prices from a sheet", "suppliers:import", WRITE, solid=False),
        Action("Add a supplier", "suppliers:create", WRITE),
    )
    empty = "No suppliers yet."

    def get_rows(self) -> Any:
        return Supplier.objects.current().for_list()


class OneSupplier:
    kwargs: dict[str, Any]
    found: Any
    found_name: ClassVar[str] = "supplier"

    def find(self) -> Supplier:
        return get_object_or_404(Supplier, pk=self.kwargs["pk"])

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_success_url(self) -> str:
        return str(self.found.get_absolute_url())


class SupplierDetail(OneSupplier, RoomPage):
    permission = SEE
    template_name = "stock/suppliers/supplier.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        supplier: Supplier = self.found
        today = london_day(self.request.now)
        user = self.request.user
        sees_prices = any(user.has_perm(name) for name in MONEY)
        channels = supplier.channels.prefetch_related("cutoffs", "charges")
        return super().get_context_data(
            title=supplier.name,
            facts=facts_of(supplier),
            channels=[
                (row, cutoff_words(row), charges_by_time(list(row.charges.all()), today))
                for row in channels
            ],
            closed=supplier.closed_days.filter(day__gte=today),
            sees_prices=sees_prices,
            prices=SupplierPrice.objects.filter(supplier=supplier).for_list()[:200]
            if sees_prices
            else [],
            panels=drawn_panels(self.request, "supplier", supplier),
            **kwargs,
        )


def facts_of(supplier: Supplier) -> list[tuple[str, ...]]:
    """Return what a supplier's page says first."""
    facts: list[tuple[str, ...]] = [
        ("Telephone", supplier.phone or "–"),
        ("E-mail", supplier.email or "–"),
        ("Our account there", supplier.account_number or "–"),
        ("They work", days_words(supplier.works)),
        ("They deliver", days_words(supplier.delivers)),
        ("Days to claim damage", str(supplier.claim_days)),
    ]
    if supplier.clock != "Europe/London":
        facts.append(("Their clock", supplier.clock))
    if supplier.notes:
        facts.append(("Notes", supplier.notes))
    return facts


def days_words(week: str) -> str:
    """Write a week string: 'Mon, Tue, Wed'."""
    return ", ".join(
        calendar.day_abbr[n] for n, mark in enumerate(week) if mark == "1"
    ) or "never"  # fmt: skip


def cutoff_words(channel: Channel) -> str:
    """Write a channel's cut-offs: 'Mon 11:45, Tue 11:45'."""
    return ", ".join(
        f"{calendar.day_abbr[row.weekday]} {row.wall_time:%H:%M}" for row in channel.cutoffs.all()
    )


@dataclass(frozen=True)
class Charges:
    """What a channel charges, in words: today, from later days on, and up to earlier ones."""

    now: str
    to_come: list[tuple[date, str]]
    before: list[tuple[date, str]]


def charges_by_time(rows: Sequence[ChannelCharge], today: date) -> Charges:
    """Sort a channel's charges, given the latest first, by whether they hold on a day."""
    begun = [row for row in rows if row.valid_from <= today]
    return Charges(
        charge_words(begun[0]) if begun else "",
        [(row.valid_from, charge_words(row)) for row in reversed(rows) if row.valid_from > today],
        [
            (later.valid_from - timedelta(days=1), charge_words(row))
            for later, row in pairwise(begun)
        ],
    )


def charge_words(charge: ChannelCharge) -> str:
    """Write charges: 'carriage £45.00, at least £100.00, free from £500.00'."""
    said = [f"carriage {money(charge.carriage)}"]
    if charge.minimum:
        said.append(f"at least {money(charge.minimum)}")
    if charge.free_from is not None:
        said.append(f"free from {money(charge.free_from)}")
    return ", ".join(said)


class SupplierCreate(ServiceFormView):
    permission = WRITE
    form_class = SupplierForm
    title = "Add a supplier"
    button = "Add the supplier"
    success_message = "Added {made}."

    def get_back_url(self) -> str:
        return reverse("suppliers:list")

    def act(self, form: Any) -> Supplier:
        return services.add_supplier(by=self.request.user, at=self.request.now, **form.cleaned_data)


class SupplierEdit(OneSupplier, ServiceFormView):
    permission = WRITE
    form_class = SupplierForm
    button = "Save the supplier"
    success_message = "Saved {made}."

    def get_title(self) -> str:
        return f"Change {self.found}"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"instance": Supplier.objects.get(pk=self.found.pk)}

    def act(self, form: Any) -> Supplier:
        return services.change_supplier(
            supplier_id=self.found.pk, by=self.request.user, at=self.request.now,
            **form.cleaned_data,
        )  # fmt: skip


class ChannelSet(OneSupplier, ServiceFormView):
    """Adds a way to order, or changes the one named by ?kind=."""

    permission = WRITE
    form_class = ChannelForm
    button = "Save the channel"
    success_message = "Saved."

    def get_title(self) -> str:
        return f"How to order from {self.found}"

    def get_initial(self) -> dict[str, Any]:
        kind = self.request.GET.get("kind", "")[:20].replace("\x00", "")
        channel = self.found.channels.filter(kind=kind).prefetch_related("cutoffs").first()
        today = london_day(self.request.now)
        return channel_initial(channel, today) if channel else {"valid_from": today}

    def act(self, form: Any) -> Channel:
        values = form.cleaned_data
        return services.set_channel(
            supplier_id=self.found.pk, kind=values["kind"], lead_days=values["lead_days"],
            carriage=values["carriage"], minimum=values["minimum"], cutoffs=form.cutoffs(),
            free_from=values["free_from"], valid_from=values["valid_from"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class CloseDay(OneSupplier, ServiceFormView):
    permission = WRITE
    form_class = ClosedDayForm
    button = "Note the day"
    success_message = "Noted."

    def get_title(self) -> str:
        return f"A day on which {self.found} is shut"

    def act(self, form: Any) -> SupplierClosedDay:
        return services.close_day(
            supplier_id=self.found.pk, by=self.request.user, at=self.request.now,
            **form.cleaned_data,
        )  # fmt: skip


class OpenDay(ServiceActionView):
    permission = WRITE
    success_message = "The day is open again."

    def find(self) -> SupplierClosedDay:
        return get_object_or_404(
            SupplierClosedDay.objects.select_related("supplier"), pk=self.kwargs["pk"]
        )

    def get_success_url(self) -> str:
        return str(self.found.supplier.get_absolute_url())

    def act(self) -> Supplier:
        return services.open_day(closed_id=self.found.pk, by=self.request.user, at=self.request.now)


class PriceSet(OneSupplier, ServiceFormView):
    permission = WRITE
    form_class = PriceForm
    button = "Save the price"
    intro = "A price holds until the next one begins; orders that were placed keep theirs."
    success_message = "Saved."

    def get_title(self) -> str:
        return f"A price of {self.found}"

    def get_initial(self) -> dict[str, Any]:
        return {"valid_from": london_day(self.request.now)}

    def act(self, form: Any) -> SupplierPrice:
        return services.set_price(
            supplier_id=self.found.pk, by=self.request.user, at=self.request.now,
            **form.cleaned_data,
        )  # fmt: skip


class PriceImport(SheetImportView):
    """Bring a sheet of prices: see what it changes, then take all of it over."""

    permission = WRITE
    title = "Prices from a sheet"
    resource_class = PriceResource
    list_url = "suppliers:list"
    export_url = "suppliers:export"


class PriceExport(SheetExportView):
    """Every supplier's prices, in the form that can be brought back."""

    permission = MONEY
    title = "Supplier prices"
    resource_class = PriceResource
