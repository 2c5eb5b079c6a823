"""A lay day is opened, its base accepted before the first mix, and closed in the evening."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from jobs.attachments.rules import CheckedFile
from jobs.attachments.services import post_attachment
from jobs.audit.services import post_event
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.work.enums import Stage
from jobs.work.models import Job
from jobs.work.services import post_stage
from quotes.engine.errors import EngineError
from stock.laying import queries
from stock.laying.models import Discrepancy, LayDay
from stock.laying.rules import BaseVerdict, Readings, judge_base
from stock.laying.services.locks import check_words, lock_day, need_open, save_day
from stock.ledger.services import words

LAYABLE = (Stage.WON, Stage.BOOKED, Stage.ON_SITE, Stage.SNAGGING)
READ = ("air_c", "surface_c", "humidity_percent")


class BaseRefusedError(ServiceError):
    """The readings speak against laying, and nobody has said that he saw it."""

    def __init__(self, verdict: BaseVerdict) -> None:
        sentences = " ".join(each.message for each in verdict.findings)
        super().__init__(
            f"{sentences} Tick that you have seen this, or wait and read again.",
            field="seen", code="base",
        )  # fmt: skip
        self.verdict = verdict


@transaction.atomic(durable=True)
def open_lay_day(*, job_id: int, day: date, by: Any, at: datetime) -> LayDay:
    """Open a job's lay day; the day that stands is returned.

    Refuses a job that is not won, or finished, and a day that has not come.
    """
    job = Job.objects.filter(pk=job_id).first()
    if job is None:
        raise ServiceError("This job is not in the book.", code="job")
    found = LayDay.objects.filter(job=job, day=day).first()
    if found is not None:
        return found
    if job.stage not in LAYABLE:
        raise ServiceError(
            f"{job.reference} is at '{job.get_stage_display()}'; there is nothing to lay.",
            code="stage",
        )
    if day > london_day(at):
        raise ServiceError(
            f"{day:%A} {day.day} {day:%B} has not come yet; open the day when it is there.",
            code="early",
        )
    lead = queries.lead_of(job_id, day) or by
    found, made = LayDay.objects.get_or_create(job=job, day=day, defaults={"lead": lead})
    if made:
        post_event(verb="lay.open", subject=found, by=by, at=at, after={"day": str(day)})
    return found


@transaction.atomic(durable=True)
def accept_base(
    *, lay_day_id: int, air_c: Decimal, surface_c: Decimal, humidity_percent: Decimal, by: Any,
    at: datetime, note: str = "", seen: bool = False, dry_until: datetime | None = None,
    kept: Sequence[CheckedFile] = (),
) -> LayDay:  # fmt: skip
    """Accept the base by the readings, before the first mix; the job is then on site.

    Readings that speak against laying raise BaseRefusedError until `seen` says that whoever
    decides has seen it; then they stand on the day with who decided. Called again it takes new
    readings, for the timer of what follows; when the base was first accepted stays. `kept` are
    photos, written before.
    """
    # long because: one write: readings, verdict, stage and photos belong together
    day = lock_day(lay_day_id)
    need_open(day)
    readings = Readings(air_c, surface_c, humidity_percent)
    verdict = verdict_on(readings, day.job_id)
    if not verdict.passes and not seen:
        raise BaseRefusedError(verdict)
    if dry_until is not None and dry_until <= at:
        raise ServiceError(
            "That time is past. Give the hour until which it stays dry, or leave it empty.",
            field="dry_until",
        )
    before = {name: getattr(day, name) for name in READ}
    day.air_c, day.surface_c, day.humidity_percent = air_c, surface_c, humidity_percent
    day.base_note = " ".join(note.split())
    day.base_findings = [each.as_dict() for each in verdict.findings]
    day.dry_until, day.readings_at = dry_until, at
    first = day.base_accepted_at is None
    if first:
        day.base_accepted_at, day.base_accepted_by = at, by
    # These are the service's own, or are asked for by their forms.
    day.full_clean(exclude=["base_findings", "lead", "base_accepted_by"])
    save_day(
        day, *READ, "base_note", "base_findings", "dry_until", "readings_at", "base_accepted_at",
        "base_accepted_by",
    )  # fmt: skip
    for file in kept:
        post_attachment(
            kept=file, about=day, permission="jobs.view_work", caption="the base", by=by, at=at
        )
    post_event(
        verb="lay.accept_base" if first else "lay.read_again", subject=day, by=by, at=at,
        before=None if first else {name: str(value) for name, value in before.items()},
        after={name: str(getattr(day, name)) for name in READ}
        | {"against": [each.code for each in verdict.findings]},
        reason="; ".join(each.message for each in verdict.findings)[:300],
    )  # fmt: skip
    post_stage(job=day.job, stage=Stage.ON_SITE, by=by, at=at)
    return day


def verdict_on(readings: Readings, job_id: int) -> BaseVerdict:
    """Return what the engine says of readings for a job's kits, or refuse what no air can be."""
    try:
        return judge_base(readings, queries.job_kits(job_id).values())
    except EngineError as error:
        names = {"air": "air_c", "surface": "surface_c", "humidity": "humidity_percent"}
        raise ServiceError(
            f"{error.message[:1].upper()}{error.message[1:]}", field=names.get(error.where)
        ) from error


@transaction.atomic(durable=True)
def close_day(*, lay_day_id: int, by: Any, at: datetime) -> LayDay:
    """Close a lay day once what was drawn is balanced; closed twice it stays closed.

    Refuses while material lies at the site that nobody balanced, unless a later day is booked for
    it. What is still there by the book after the last day becomes a difference for the storeman.
    The job's stage is moved by people: a snag is left, or none.
    """
    day = lock_day(lay_day_id)
    if day.closed_at is not None:
        return day
    if day.base_accepted_at is None:
        raise ServiceError(
            "Nothing was laid: the base was not accepted. Move the booking instead.", code="base"
        )
    if queries.is_last_day(day.job_id, day.day):
        left = [row for row in queries.evening_balance(day.job_id) if row.is_mixed and row.left > 0]
        if left and day.balanced_at is None:
            named = ", ".join(f"{words(row.lot, row.left)} of {row.lot.code}" for row in left[:4])
            raise ServiceError(
                f"At the site there are, by the book, {named}. Do the evening balance first.",
                code="balance",
            )
        known = set(
            Discrepancy.objects.open()
            .filter(lay_day__job_id=day.job_id, lot__isnull=False)
            .values_list("lot_id", flat=True)
        )
        for row in left:
            if row.lot.pk not in known:
                what = (
                    f"{words(row.lot, row.left)} of {row.lot.code}, {row.lot.item}, stayed at the "
                    "site when the last lay day was closed."
                )
                check_words(
                    Discrepancy(lay_day=day, lot=row.lot, quantity=row.left, what=what, found_at=at)
                ).save()
    day.closed_at = at
    save_day(day, "closed_at")
    post_event(verb="lay.close", subject=day, by=by, at=at)
    return day


@transaction.atomic(durable=True)
def reopen_day(*, lay_day_id: int, by: Any, at: datetime) -> LayDay:
    """Open a closed lay day again, to put right what was forgotten."""
    day = lock_day(lay_day_id)
    if day.closed_at is not None:
        day.closed_at = None
        save_day(day, "closed_at")
        post_event(verb="lay.reopen", subject=day, by=by, at=at)
    return day
