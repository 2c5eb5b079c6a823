"""What the sites' room adds to the customer's page."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

from jobs.kernel.panels import panel


@panel(page="customer", order=10, permission="jobs.view_work")
def sites_of_customer(request: HttpRequest, customer: Any) -> tuple[str, dict[str, Any]]:
    """The customer's sites in use: one query."""
    sites = list(customer.sites.filter(archived_at=None))
    return "jobs/sites/panel.html", {"sites": sites, "customer": customer}
