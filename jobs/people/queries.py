"""Crews with who is in them, and who has no rate yet."""

from __future__ import annotations

from datetime import date

from django.db.models import Prefetch, QuerySet

from jobs.people.models import Crew, Person


def crews_now() -> QuerySet[Crew]:
    """Return the crews that there are, with their people, the lead first: two queries."""
    people = Person.objects.current().order_by("-is_lead", "name")
    return Crew.objects.filter(archived_at=None).prefetch_related(Prefetch("people", people))


def without_rate(on: date) -> list[Person]:
    """Return those who work here and whose hour has no cost on that day: one query."""
    return list(Person.objects.current().with_hourly(on).filter(hourly=None))
