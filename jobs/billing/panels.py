"""Billing's part of the job page and of today."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, time
from typing import Any

from django.db.models import F
from django.http import HttpRequest
from django.urls import reverse

from jobs.billing.models import PaymentRequest
from jobs.billing.queries import invoices_to_credit, receipts_to_invoice
from jobs.kernel.clock import at_wall, london_day
from jobs.kernel.panels import TodayEntry, panel, today_entry
from jobs.work.enums import Stage


@panel("job", 45, "jobs.see_billing")
def job_requests(request: HttpRequest, job: Any) -> tuple[str, dict[str, Any]] | None:
    """What was asked for and what came in, and the way to the job's money: one query."""
    rows = list(PaymentRequest.objects.filter(job=job))
    if not rows and job.stage not in Stage.AFTER_WON:
        return None
    return "jobs/billing/job_panel.html", {"requests": rows, "job": job}


@today_entry("jobs.record_payment")
def overdue(user: Any, now: datetime) -> Iterator[TodayEntry]:
    """Requests whose day has come and whose money has not."""
    rows = PaymentRequest.objects.filter(
        withdrawn_at=None, received__lt=F("amount"), due_on__lte=london_day(now)
    ).select_related("job")
    for row in rows:
        yield TodayEntry(
            at=at_wall(row.due_on, time(17, 0)),
            title=f"{row.get_kind_display().capitalize()} of £{row.amount:,.2f}: {row.job.title}",
            why=f"{row.reference}, {row.job.reference}. Look at the bank; ask if it has not come.",
            url=row.get_absolute_url(),
            button="Record the money",
            level="look",
            clock_note="due",
        )


@today_entry("jobs.record_payment")
def money_to_invoice(user: Any, now: datetime) -> Iterator[TodayEntry]:
    """Money that came in and has no VAT invoice yet: one query."""
    for row in receipts_to_invoice():
        job = row.request.job
        yield TodayEntry(
            at=None,
            title=f"£{row.amount:,.2f} has no VAT invoice: {job.title}",
            why=f"It came in for {row.request.reference} of {job.reference}.",
            url=reverse("billing:issue_receipt", args=[row.pk]),
            button="Issue the VAT invoice",
            level="look",
        )


@today_entry("jobs.record_payment")
def invoices_without_money(user: Any, now: datetime) -> Iterator[TodayEntry]:
    """Invoices for money that was taken back since: one query."""
    for row in invoices_to_credit():
        yield TodayEntry(
            at=None,
            title=f"{row.number} is for money that was taken back: {row.job.title}",
            why=f"£{row.gross:,.2f} of {row.job.reference} is invoiced and did not stay.",
            url=reverse("billing:credit", args=[row.pk]),
            button="Credit the invoice",
            level="look",
        )
