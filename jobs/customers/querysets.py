"""Which customers a page shows."""

from __future__ import annotations

from typing import Any

from django.db.models import Count, F, Q, QuerySet, Value
from django.db.models.functions import Replace

from jobs.customers.rules import SIGNIFICANT_DIGITS, last_digits

OPEN_STAGES = ("enquiry", "surveyed", "quoted", "won", "booked", "on_site", "snagging")


class CustomerQuerySet(QuerySet[Any]):
    """Customers, those that were erased left out by each named read."""

    def known(self) -> CustomerQuerySet:
        """Return those that were not erased."""
        return self.filter(erased_at=None)

    def current(self) -> CustomerQuerySet:
        """Return those that one may still work for."""
        return self.known().filter(archived_at=None)

    def for_list(self) -> CustomerQuerySet:
        """Return the list's rows with how many jobs each has, open and in all: one query."""
        rows: CustomerQuerySet = self.known().annotate(
            jobs_open=Count("jobs", filter=Q(jobs__stage__in=OPEN_STAGES), distinct=True),
            jobs_all=Count("jobs", distinct=True),
        )
        return rows

    def like(self, *, name: str, phone: str, email: str) -> CustomerQuerySet:
        """Return current customers who may be the person on the telephone; none if nothing fits."""
        fits = Q(pk=None)
        if name.strip():
            fits |= Q(name__iexact=name.strip())
        if email.strip():
            fits |= Q(email__iexact=email.strip())
        digits = last_digits(phone)
        if len(digits) == SIGNIFICANT_DIGITS:
            fits |= Q(digits__endswith=digits)
        bare: Any = F("phone")
        for mark in (" ", "-", "(", ")"):
            bare = Replace(bare, Value(mark), Value(""))
        rows: CustomerQuerySet = self.current().annotate(digits=bare).filter(fits)
        return rows
