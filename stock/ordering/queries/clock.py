"""Who is told, and when the regular work ran and will run next."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from celery.schedules import crontab
from django.conf import settings
from django.db.models import Max, Q, QuerySet

from jobs.accounts.models import User
from jobs.kernel.clock import LONDON
from jobs.kernel.models import TaskRun

WATCHED = {
    "stock.ordering.sweep": "Looks for shortages and sends what is due",
    "stock.reorder.daily": "Reckons what to reorder, once a day",
    "jobs.outbox.sweep": "Sends e-mail that is waiting",
}


def orderers() -> QuerySet[User]:
    """Return the people who may place orders, in a fixed order."""
    may = Q(groups__permissions__codename="place_order") | Q(is_superuser=True)
    return User.objects.filter(may, is_active=True).distinct().order_by("pk")


@dataclass(frozen=True)
class RegularWork:
    """One piece of regular work: its latest run and its next one, where known."""

    name: str
    what: str
    latest: TaskRun | None
    next_at: datetime | None


def regular_work(at: datetime) -> list[RegularWork]:
    """Return what this room watches, from the recorded runs and the schedule; one query."""
    newest = (
        TaskRun.objects.filter(name__in=WATCHED)
        .order_by()
        .values("name")
        .annotate(newest=Max("pk"))
        .values("newest")
    )
    latest = {run.name: run for run in TaskRun.objects.filter(pk__in=newest)}
    return [
        RegularWork(name, what, latest.get(name), next_run(name, latest.get(name), at))
        for name, what in WATCHED.items()
    ]


def next_run(name: str, latest: TaskRun | None, at: datetime) -> datetime | None:
    """Return when the scheduler rings for `name` next; None where it never does."""
    plans: list[crontab | timedelta | float] = [
        entry["schedule"]
        for entry in settings.CELERY_BEAT_SCHEDULE.values()
        if entry["task"] == name
    ]
    if not plans:
        return None
    plan, since = plans[0], latest.started_at if latest else at
    due: datetime
    if isinstance(plan, crontab):
        last, ahead, _ = plan.remaining_delta(since)
        due = last + ahead
    else:
        due = since + (plan if isinstance(plan, timedelta) else timedelta(seconds=plan))
    return max(due, at).astimezone(LONDON)
