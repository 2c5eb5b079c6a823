"""The subcontractors' part of the job page and of today."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, time
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from jobs.billing.rules import statement_due
from jobs.kernel.clock import at_wall, london_day
from jobs.kernel.panels import TodayEntry, panel, today_entry
from jobs.subcontract.models import SubcontractBill, SubcontractPayment
from jobs.subcontract.queries import counted_twice
from jobs.subcontract.rules import last_months
from jobs.subcontract.tables import bill_state


@panel("job", 46, "jobs.see_billing")
def job_bills(request: HttpRequest, job: Any) -> tuple[str, dict[str, Any]] | None:
    """Bills of subcontractors for the job: one query; nothing where there are none."""
    rows = list(SubcontractBill.objects.filter(job=job).for_list())
    if not rows:
        return None
    shown = [(row, *bill_state(row)) for row in rows]
    return "jobs/subcontract/job_panel.html", {"bills": shown, "job": job}


@today_entry("jobs.record_payment")
def statements_due(user: Any, now: datetime) -> Iterator[TodayEntry]:
    """The statements of the tax month that ended, until their day has gone: one query."""
    today = london_day(now)
    end = last_months(today, 2)[1]
    if today > statement_due(end):
        return
    deducted = SubcontractPayment.objects.all().standing().filter(month_end=end, deduction__gt=0)
    if deducted.exists():
        yield TodayEntry(
            at=at_wall(statement_due(end), time(17, 0)),
            title=f"Statements of subcontractors to {end:%-d %b %Y}",
            why="Each who was paid less a deduction gets his within 14 days of the tax month.",
            url=f"{reverse('subcontract:month')}?month={end.isoformat()}",
            button="See the month",
            level="look",
            clock_note="due",
        )


@today_entry("jobs.record_payment")
def labour_counted_twice(user: Any, now: datetime) -> Iterator[TodayEntry]:
    """Bills whose labour may be in the job's costs as hours too: one query."""
    for bill in counted_twice():
        yield TodayEntry(
            at=None,
            title=f"Counted twice? Hours and bill of {bill.subcontractor.name}: {bill.job.title}",
            why=(
                f"Hours were entered on {bill.job.reference} after bill {bill.number}. Take the "
                "hours back, or take the bill back and record it as for other work."
            ),
            url=bill.get_absolute_url(),
            button="Look at the bill",
            level="look",
        )
