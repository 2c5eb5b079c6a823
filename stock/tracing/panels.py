"""The trace on the pages of a lot and of a job."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest

from jobs.kernel.panels import panel
from stock.laying.models import Mix
from stock.tracing.queries import shares_of


@panel("lot", 40, "jobs.view_yard")
def lot_trace(request: HttpRequest, lot: Any) -> tuple[str, dict[str, Any]]:
    """By what a lot can be traced and recalled: no query."""
    return "stock/tracing/lot_panel.html", {"lot": lot, "shares": shares_of(lot)}


@panel("job", 75, "jobs.view_yard")
def job_surface(request: HttpRequest, job: Any) -> tuple[str, dict[str, Any]] | None:
    """The way to what the surface is made of, once something is laid: one query."""
    if not Mix.objects.standing().filter(lay_day__job=job).exists():
        return None
    return "stock/tracing/job_panel.html", {"job": job}
