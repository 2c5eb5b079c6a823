"""The list of people who log in."""

from __future__ import annotations

import django_tables2 as tables
from django.urls import reverse

from jobs.accounts.models import User
from jobs.kernel.tables import FieldBookTable, MomentColumn, StateColumn, VerbColumn


class MemberTable(FieldBookTable):
    name = tables.Column(verbose_name="Name")
    email = tables.Column(verbose_name="E-mail")
    role_words = tables.Column(verbose_name="Roles", orderable=False)
    last_login = MomentColumn(verbose_name="Last here")
    is_active = StateColumn(verbose_name="Log-in", level=lambda row: "ok" if row.is_active else "")
    change = VerbColumn("change", url=lambda row: reverse("accounts:member", args=[row.pk]))

    class Meta:
        model = User
        fields = ("name", "email", "role_words", "last_login", "is_active", "change")

    def render_is_active(self, value: bool, record: User) -> object:
        return self.columns["is_active"].column.render("open" if value else "closed", record)

    def value_is_active(self, value: bool) -> str:
        return "open" if value else "closed"
