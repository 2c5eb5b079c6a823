"""The list of sites."""

from __future__ import annotations

import django_tables2 as tables

from jobs.kernel.tables import FieldBookTable, FigureColumn
from jobs.sites.models import Site


class SiteTable(FieldBookTable):
    name = tables.Column(linkify=True, verbose_name="Site")
    customer = tables.Column(linkify=True, order_by="customer__name")
    address = tables.Column(accessor="one_line", order_by="address")
    wagon_access = tables.Column(
        accessor="get_wagon_access_display", order_by="wagon_access", verbose_name="Wagon"
    )
    water = tables.Column(accessor="get_water_display", order_by="water")
    power = tables.Column(accessor="get_power_display", order_by="power")
    jobs_all = FigureColumn(verbose_name="Jobs")

    class Meta:
        model = Site
        fields = ("name", "customer", "address", "wagon_access", "water", "power", "jobs_all")
