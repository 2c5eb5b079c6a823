"""What the jobs' room adds to the pages of customers, sites and today."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from django.http import HttpRequest

from jobs.kernel.panels import TodayEntry, panel, today_entry
from jobs.work.queries import jobs_at, waiting_enquiries

# Common practice, no source: an enquiry that waits two days goes elsewhere.
ANSWER_WITHIN = timedelta(days=2)


@panel(page="customer", order=20, permission="jobs.view_work")
def jobs_of_customer(request: HttpRequest, customer: Any) -> tuple[str, dict[str, Any]]:
    """The customer's jobs: one query."""
    return "jobs/work/panel.html", {"jobs": jobs_at(customer_id=customer.pk), "with_site": True}


@panel(page="site", order=20, permission="jobs.view_work")
def jobs_of_site(request: HttpRequest, site: Any) -> tuple[str, dict[str, Any]]:
    """The jobs at the site: one query."""
    return "jobs/work/panel.html", {"jobs": jobs_at(site_id=site.pk), "with_site": False}


@today_entry("jobs.record_survey")
def enquiries_waiting(user: Any, now: datetime) -> Iterable[TodayEntry]:
    """Enquiries that nobody has arranged to measure: one query."""
    for job in waiting_enquiries(now - ANSWER_WITHIN):
        days = (now - job.opened_at).days
        yield TodayEntry(
            at=None,
            title=f"{job.reference} {job.title}: no visit arranged",
            why=f"{job.customer} asked {days} days ago.",
            url=job.get_absolute_url(),
            button="Open the job",
            level="look",
        )
