"""The list of people."""

from __future__ import annotations

import django_tables2 as tables
from django.urls import reverse

from jobs.kernel.tables import FieldBookTable, MoneyColumn, VerbColumn
from jobs.people.models import Person


class PersonTable(FieldBookTable):
    name = tables.Column(verbose_name="Name")
    crew = tables.Column(verbose_name="Crew", order_by=("crew__name",))
    is_lead = tables.Column(verbose_name="Lead", orderable=False)
    phone = tables.Column(verbose_name="Telephone", orderable=False)
    cards = tables.Column(verbose_name="Cards and tickets", orderable=False)
    hourly = MoneyColumn(verbose_name="£ an hour")
    rate = VerbColumn("set the rate", url=lambda row: reverse("people:rate", args=[row.pk]))
    change = VerbColumn("change", url=lambda row: reverse("people:edit", args=[row.pk]))

    class Meta:
        model = Person
        fields = ("name", "crew", "is_lead", "phone", "cards", "hourly", "rate", "change")

    def render_is_lead(self, value: bool) -> str:
        return "leads" if value else "–"

    def value_is_lead(self, value: bool) -> str:
        return "yes" if value else "no"
