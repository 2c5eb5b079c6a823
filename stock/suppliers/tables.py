"""The list of suppliers."""

from __future__ import annotations

import django_tables2 as tables

from jobs.kernel.tables import FieldBookTable, FigureColumn
from stock.suppliers.models import Supplier


class SupplierTable(FieldBookTable):
    name = tables.Column(verbose_name="Supplier", linkify=True)
    phone = tables.Column(verbose_name="Telephone")
    email = tables.Column(verbose_name="E-mail")
    account_number = tables.Column(verbose_name="Our account there")
    items = FigureColumn(verbose_name="Items with a price")

    class Meta:
        model = Supplier
        fields = ("name", "phone", "email", "account_number", "items")
