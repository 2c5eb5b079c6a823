"""The list of customers."""

from __future__ import annotations

import django_tables2 as tables

from jobs.customers.models import Customer
from jobs.kernel.tables import FieldBookTable, FigureColumn


class CustomerTable(FieldBookTable):
    name = tables.Column(linkify=True)
    kind = tables.Column(accessor="get_kind_display", order_by="kind", verbose_name="Kind")
    phone = tables.Column(verbose_name="Telephone")
    email = tables.Column(verbose_name="E-mail")
    postcode = tables.Column(verbose_name="Postcode")
    jobs_open = FigureColumn(verbose_name="Open jobs")
    jobs_all = FigureColumn(verbose_name="Jobs in all")

    class Meta:
        model = Customer
        fields = ("name", "kind", "phone", "email", "postcode", "jobs_open", "jobs_all")
