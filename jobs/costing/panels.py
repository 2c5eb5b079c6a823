"""Costing's part of the job page."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

from jobs.costing.queries import job_costs
from jobs.kernel.panels import panel
from jobs.work.enums import Stage


@panel("job", 90, "jobs.see_costing")
def job_costing(request: HttpRequest, job: Any) -> tuple[str, dict[str, Any]] | None:
    """Budget against actual, in three figures."""
    if job.stage not in Stage.AFTER_WON:
        return None
    return "jobs/costing/job_panel.html", {"job": job, "total": job_costs([job])[0].total}


@panel("job", 91, "jobs.enter_hours")
def job_hours(request: HttpRequest, job: Any) -> tuple[str, dict[str, Any]] | None:
    """Where hours are entered."""
    if job.stage not in Stage.AFTER_WON:
        return None
    return "jobs/costing/hours_panel.html", {"job": job}
