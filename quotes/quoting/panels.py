"""The quote on the page of a job, what a spare mix costs on the take-off, and what today needs."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, time, timedelta
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from jobs.kernel.clock import at_wall, london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.panels import TodayEntry, panel, today_entry
from jobs.kernel.templatetags import firm
from jobs.surveys.models import Survey
from jobs.work.enums import Stage
from jobs.work.models import Job
from quotes.quoting.enums import LineKind, RevisionState
from quotes.quoting.forms import SpareCostForm
from quotes.quoting.models import Revision
from quotes.quoting.queries import spare_sheet
from quotes.quoting.rules import vat_rate, with_options
from quotes.takeoff.forms import asked
from quotes.takeoff.rules import TakeOff

# Held by those who write, send or cost quotes, and by nobody else.
SEE = "jobs.see_billing"
SOON = timedelta(days=5)
EVENING = time(17, 0)


@panel(page="job", order=30, permission=SEE)
def quote_of_job(request: HttpRequest, job: Job) -> tuple[str, dict[str, Any]]:
    """Return the newest revision of the job's quote, or the way to start one."""
    revision = (
        Revision.objects.filter(quote__job=job).select_related("quote").newest_of_each().first()
    )
    template = "quotes/quoting/job_panel.html"
    if revision is None:
        may = request.user.has_perm("jobs.write_quote")
        surveyed = Survey.objects.filter(job=job).exists()
        return template, {
            "start_url": reverse("quoting:start", args=[job.pk]) if may and job.is_open else "",
            "start_word": "Start the quote" if surveyed else "Quote small jobs alone",
            "sentence": "No quote yet." if surveyed else "No quote yet; measure the site first.",
        }
    facts = [
        ("quote", f"{revision.quote}, revision {revision.number}"),
        ("state", revision.get_state_display()),
        *(agreed(revision) if revision.state == RevisionState.ACCEPTED else waiting(revision)),
    ]
    return template, {
        "revision": revision, "facts": facts, "url": revision.get_absolute_url(),
        "word": "open the quote",
    }  # fmt: skip


def waiting(revision: Revision) -> list[tuple[str, str]]:
    """Return what a quote comes to that is not accepted, and until when it holds."""
    return [
        ("with VAT", firm.money(revision.gross)),
        ("holds until", firm.day_year(revision.valid_until)),
    ]


def agreed(revision: Revision) -> list[tuple[str, str]]:
    """Return what an accepted quote comes to with the options taken, and which they are."""
    taken = list(revision.lines.filter(kind=LineKind.OPTION, chosen=True))
    rate = vat_rate(revision.vat_code, revision.vat_percent)
    gross = with_options(revision.net, [line.net for line in taken], rate)[2]
    facts = [("with VAT", firm.money(gross))]
    if taken:
        facts.append(("options taken", "; ".join(line.words for line in taken)))
    return facts


NEXT = "jobs/work/next_step.html"


# Before the measuring (10): an enquiry quoted already, for small jobs alone, is not measured.
@panel(page="job_next", order=5, permission="jobs.write_quote")
def quote_next(request: HttpRequest, job: Job) -> tuple[str, dict[str, Any]] | None:
    """Return the next step towards an answered quote, for a job that is not won yet."""
    if job.stage not in {Stage.ENQUIRY, Stage.SURVEYED, Stage.QUOTED}:
        return None
    newest = Revision.objects.filter(quote__job=job).newest_of_each().first()
    if newest is None and job.stage == Stage.ENQUIRY:
        return None
    if newest is None:
        return NEXT, {
            "title": "write the quote",
            "why": "The lines come from the survey and the price book.",
            "url": reverse("quoting:start", args=[job.pk]),
            "button": "Start the quote",
        }
    url, may_send = newest.get_absolute_url(), request.user.has_perm("jobs.send_quote")
    if newest.is_draft:
        why = "Look it over, then send it." if may_send else "Look it over; the owner sends it."
        return NEXT, {
            "title": "finish the quote", "why": why, "url": url, "button": "Open the quote",
        }  # fmt: skip
    if newest.state == "sent":
        why = f"It holds until {firm.day_year(newest.valid_until)}."
        return NEXT, {
            "title": "wait for the answer, or ask", "why": why, "url": url,
            "button": "Open the quote",
        }  # fmt: skip
    return None


@panel(page="takeoff", order=10, permission="jobs.see_margin")
def spare_mix(
    request: HttpRequest, subject: tuple[Survey, TakeOff]
) -> tuple[str, dict[str, Any]] | None:
    """Return what a spare mix costs beside what running short costs; None without an answer."""
    _, found = subject
    if not found.answer:
        return None
    form: Any = asked(SpareCostForm, request)
    used: Any = form if form.is_valid() else asked(SpareCostForm, HttpRequest())
    used.is_valid()
    day = london_day(request.now)  # type: ignore[attr-defined]
    try:
        sheet = spare_sheet(found, day, asked=used.asked_for, visit=used.second_visit)
    except ServiceError:
        return None
    short = (
        f"Running short costs a second visit, about {firm.money(sheet.short)} (a mix, the labour "
        "and the way asked for below), and a joint that stays in sight."
    )
    return "quotes/quoting/spare_panel.html", {
        "title": f"A spare mix: {firm.money(sheet.mix)} of material if it is used",
        "reason": "Unopened it comes back and costs its carriage, its handling and its share of "
        "what expires." + (f" {sheet.gap}" if sheet.gap else ""),
        "remedy": short,
        "form": form,
        "costs": sheet.costs if form.is_valid() else None,
        "open": "sparecostform-ask" in request.GET,
    }


@today_entry(permission="jobs.send_quote")
def quotes_to_see_to(user: Any, now: datetime) -> Iterator[TodayEntry]:
    """Yield quotes whose day is near, and those that a customer declined; one query."""
    del user
    today = london_day(now)
    rows = Revision.objects.newest_of_each().with_job().filter(state__in=("sent", "declined"))
    for revision in rows.order_by("valid_until", "pk"):
        title = f"{revision.quote.job.title}: quote {revision.quote}"
        url = revision.get_absolute_url()
        if revision.state == "declined":
            if revision.quote.job.is_open:
                yield TodayEntry(
                    revision.closed_at, f"{title} was declined",
                    "Ring, send a new revision, or close the job as lost.", url, "Open the quote",
                )  # fmt: skip
        elif today <= revision.valid_until <= today + SOON:
            yield TodayEntry(
                at_wall(revision.valid_until, EVENING), f"{title} ends soon",
                "The customer has not answered. Ring, or price it again.", url, "Open the quote",
            )  # fmt: skip
