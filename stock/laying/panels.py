"""Lay days on the job's page, and on the landing pages of crew lead, yard and office."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from jobs.kernel.clock import london_day
from jobs.kernel.panels import TodayEntry, panel, today_entry
from jobs.kernel.templatetags.firm import quantity
from jobs.work.enums import Stage
from stock.laying import queries
from stock.laying.models import Discrepancy, LayBay, LayDay


@panel("job", 70, "jobs.view_work")
def job_lay_days(request: HttpRequest, job: Any) -> tuple[str, dict[str, Any]] | None:
    """The job's lay days with their mixes and m²; two queries."""
    if job.stage not in Stage.AFTER_WON:
        return None
    user: Any = request.user
    days = list(LayDay.objects.of_job(job.pk).select_related("lead"))
    opened = {row.day for row in days}
    booked = []
    if any(user.has_perm(verb) for verb in ("jobs.log_lay_day", *queries.SEE_ALL)):
        rows = queries.booked_days(user).filter(booking__job=job).order_by("day")
        booked = [row for row in rows if row.day not in opened]
    if not days and not booked:
        return None
    return "stock/laying/job_panel.html", {"job": job, "days": days, "booked": booked}


@panel("job_next", 70, "jobs.log_lay_day")
def lay_next(request: HttpRequest, job: Any) -> tuple[str, dict[str, Any]] | None:
    """For a job that is laid today: the day to open or to go on with."""
    if job.stage not in (Stage.WON, Stage.BOOKED, Stage.ON_SITE):
        return None
    now: datetime = request.now  # type: ignore[attr-defined]
    today = london_day(now)
    row = queries.booked_days(request.user).filter(booking__job=job, day=today).first()
    if row is None or row.closed_at:
        return None
    return "jobs/work/next_step.html", {
        "title": "lay", "why": "It is booked for today.", "url": day_url(row),
        "button": "Go on" if row.lay_day else "Open the day",
    }  # fmt: skip


def day_url(row: Any) -> str:
    """Return where a booked day leads: its page, or the question whether to open it."""
    if row.lay_day:
        return reverse("laying:day", args=[row.lay_day])
    return reverse("laying:open", args=[row.booking.job_id, row.day.isoformat()])


@today_entry("jobs.log_lay_day")
def lay_today(user: Any, now: datetime) -> Iterable[TodayEntry]:
    """The days that this user's crew lays today, and those of late that were not closed."""
    today = london_day(now)
    for row in queries.booked_days(user, own=True).filter(day=today).order_by("pk"):
        if row.closed_at:
            continue
        job = row.booking.job
        if row.accepted_at:
            why = f"{job.reference}: {quantity(row.mixes or 0, 'mix,mixes')} so far."
        elif row.lay_day:
            why = f"{job.reference}: the base is not accepted yet."
        else:
            why = f"{job.reference}, {job.title}: open the day, then accept the base."
        yield TodayEntry(
            at=None, title=f"Lay at {job.site}", why=why, url=day_url(row),
            button="Go on" if row.lay_day else "Open the day", level="look",
        )  # fmt: skip
    for day in LayDay.objects.select_related("job__site").filter(
        lead=user, closed_at=None, base_accepted_at__isnull=False, day__lt=today
    ):
        yield TodayEntry(
            at=None, title=f"Close the lay day at {day.job.site}",
            why=f"{day.job.reference}, {day.day:%a} {day.day.day} {day.day:%b}: the evening was "
            "not closed.",
            url=day.get_absolute_url(), button="Balance and close", level="stop",
        )  # fmt: skip


@today_entry("jobs.move_stock")
def differences_to_answer(user: Any, now: datetime) -> Iterable[TodayEntry]:
    """One line for what lay days left unexplained: one query."""
    found = list(Discrepancy.objects.open().for_list()[:21])
    if not found:
        return []
    many = len(found) > 1
    return [
        TodayEntry(
            at=None,
            title=f"{len(found)} differences from lay days" if many else "A difference from a lay "
            "day",
            why=found[0].what if not many else f"{found[0].what} And {len(found) - 1} more.",
            url=reverse("laying:differences") if many else found[0].get_absolute_url(),
            button="Answer them" if many else "Answer it", level="look",
        )
    ]  # fmt: skip


@today_entry("jobs.manage_jobs")
def laid_and_not_handed_over(user: Any, now: datetime) -> Iterable[TodayEntry]:
    """Jobs whose last booked lay day is closed, and whose stage still says on site: two queries."""
    days = LayDay.objects.filter(job__stage=Stage.ON_SITE, closed_at__isnull=False)
    last: dict[int, LayDay] = {}
    for day in days.select_related("job__site").order_by("day"):
        last[day.job_id] = day
    coming = set(queries.later_bookings(last.keys(), london_day(now)) if last else ())
    for job_id, day in last.items():
        if job_id not in coming:
            yield TodayEntry(
                at=None, title=f"{day.job.site} is laid", why=f"{day.job.reference}: a snag is "
                "left, or hand it over.",
                url=day.job.get_absolute_url(), button="Open the job", level="look",
            )  # fmt: skip


MOST_USES = 20


@panel("blend", 30, "jobs.view_yard")
def laid_with(request: HttpRequest, blend: Any) -> tuple[str, dict[str, Any]]:
    """The bays that were laid with a card, the latest first: two queries."""
    bays = LayBay.objects.filter(blend=blend).select_related("lay_day__job__site")
    uses = [
        (f"{bay.lay_day.job.reference}, {bay.lay_day.job.site}, {bay.lay_day.day:%d %b %Y}: bay "
         f"{bay}" + (f", {bay.area_m2} m²" if bay.area_m2 else ""), bay.lay_day.get_absolute_url())
        for bay in bays.order_by("-lay_day__day", "-pk")[:MOST_USES]
    ]  # fmt: skip
    return "stock/catalogue/uses.html", {
        "title": "Laid with it", "id": "blend-laid", "uses": uses,
        "more": max(bays.count() - MOST_USES, 0),
    }  # fmt: skip
