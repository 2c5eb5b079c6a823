"""Addresses of the rooms of jobs."""

from __future__ import annotations

from importlib.util import find_spec

from django.urls import URLPattern, URLResolver, include, path

ROOMS = {
    "today/": "jobs.today",
    "customers/": "jobs.customers",
    "sites/": "jobs.sites",
    "jobs/": "jobs.work",
    "surveys/": "jobs.surveys",
    "people/": "jobs.people",
    "calendar/": "jobs.calendar",
    "costing/": "jobs.costing",
    "billing/": "jobs.billing",
    "subcontractors/": "jobs.subcontract",
    "attachments/": "jobs.attachments",
    "team/": "jobs.accounts",
    "audit/": "jobs.audit",
    "messages/": "jobs.outbox",
    "customer-messages/": "jobs.messages",
}

urlpatterns: list[URLPattern | URLResolver] = [
    path(prefix, include(f"{room}.urls"))
    for prefix, room in ROOMS.items()
    if find_spec(f"{room}.urls") is not None
]
