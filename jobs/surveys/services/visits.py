"""Visits with the tape: started, answered, finished, opened again, discarded."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import ProtectedError

from jobs.audit.services import changes, post_event
from jobs.customers.rules import tidy_line, tidy_lines
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction, claim_key, finish_key
from jobs.kernel.versions import lock_version
from jobs.surveys.enums import SurveyKind
from jobs.surveys.models import QUESTIONS, Area, ColourGroup, Pour, Shape, Survey
from jobs.surveys.queries import latest_finished, sheets_of
from jobs.work.enums import Stage
from jobs.work.models import Job
from jobs.work.services import post_stage

BASE = ("base_kind", "base_condition", "base_texture_mm", "fall")
EDITABLE = ("visited_at", *BASE, *QUESTIONS, "notes")


def locked_survey(survey_id: int) -> Survey:
    """Lock a survey's row, which is the lock of its areas too, and return it as it is now."""
    found: Survey = Survey.objects.select_for_update(no_key=True).get(pk=survey_id)
    return found


def refuse_finished(survey: Survey) -> None:
    """Refuse to measure on a survey that is finished: a quote may stand on it."""
    if survey.finished_at is not None:
        raise ServiceError("This survey is finished; open it again to change it.", code="finished")


def tidied(values: dict[str, Any]) -> dict[str, Any]:
    """Return the values tidied; TypeError for a name that is not written here."""
    unknown = set(values) - set(EDITABLE)
    if unknown:
        raise TypeError(f"not written here: {', '.join(sorted(unknown))}")
    tidy = {"fall": tidy_line, "notes": tidy_lines}
    return {name: tidy[name](v) if name in tidy else v for name, v in values.items()}


def check_survey(survey: Survey) -> None:
    """Refuse a row that the database would refuse, at its field."""
    try:
        survey.full_clean(exclude=["surveyor"])
    except ValidationError as error:
        name, sentences = next(iter(error.message_dict.items()))
        raise ServiceError(sentences[0], field=name, code="malformed") from error


@transaction.atomic(durable=True)
def start_survey(
    *, job_id: int, by: Any, at: datetime, kind: str = SurveyKind.SURVEY,
    copy_from: int | None = None, key: UUID | None = None, **values: Any,
) -> Survey:  # fmt: skip
    """Start a survey of a job, or put the visit into the diary (`visited_at`, `at` by default).

    `values` are the base and the answers. A check-measure starts from the job's finished survey;
    another survey may start from the measurements of `copy_from`, a survey of the same customer's.
    """
    inputs = {"job": job_id, "kind": kind, "copy_from": copy_from, **values}
    if key and (done := claim_key(key=key, kind="start_survey", inputs=inputs, at=at)):
        found: Survey = Survey.objects.get(pk=done.result or 0)
        return found
    job: Job = Job.objects.select_for_update(no_key=True).get(pk=job_id)
    if job.stage in (Stage.LOST, Stage.CANCELLED):
        raise ServiceError(f"{job.reference} is {job.get_stage_display()}; open it again first.")
    source = source_of(job, kind, copy_from)
    survey = Survey(job=job, kind=kind, surveyor=by)
    for name in (*BASE, *(QUESTIONS if kind == SurveyKind.CHECK else ())) if source else ():
        setattr(survey, name, getattr(source, name))
    for name, value in ({"visited_at": at} | tidied(values)).items():
        setattr(survey, name, value)
    check_survey(survey)
    survey.save()
    if source is not None:
        copy_areas(source, survey)
    post_event(
        verb="start", subject=survey, by=by, at=at,
        after={"kind": kind, "copied_from": source.pk if source else None},
    )  # fmt: skip
    if key:
        finish_key(key=key, result=survey.pk)
    return survey


def source_of(job: Job, kind: str, copy_from: int | None) -> Survey | None:
    """Return the survey whose measurements are copied, or refuse."""
    if kind == SurveyKind.CHECK:
        source = latest_finished(job.pk)
        if source is None:
            raise ServiceError(
                "A check-measure needs a finished survey to compare with.", code="no_survey"
            )
        return source
    if copy_from is None:
        return None
    chosen: Survey | None = (
        Survey.objects.filter(pk=copy_from, job__customer_id=job.customer_id)
        .exclude(finished_at=None)
        .first()
    )
    if chosen is None:
        raise ServiceError("Choose a finished survey of the same customer's.", field="copy_from")
    return chosen


def copy_areas(source: Survey, target: Survey) -> None:
    """Copy colour groups, pours, areas and shapes, in their order."""
    groups = {
        group.pk: ColourGroup.objects.create(survey=target, name=group.name)
        for group in source.colour_groups.order_by("pk")
    }
    pours = {
        pour.pk: Pour.objects.create(
            survey=target, colour_group=groups[pour.colour_group_id], name=pour.name
        )
        for pour in source.pours.order_by("pk")
    }
    for area in source.areas.prefetch_related("shapes"):
        copied = Area.objects.create(
            survey=target, pour=pours[area.pour_id], position=area.position, name=area.name,
            use=area.use, depth_mm=area.depth_mm, outdoors=area.outdoors, edging=area.edging,
        )  # fmt: skip
        Shape.objects.bulk_create(
            Shape(
                area=copied, position=shape.position, kind=shape.kind,
                measurements=shape.measurements, deduct=shape.deduct, shared=shape.shared,
                note=shape.note, at_x_m=shape.at_x_m, at_y_m=shape.at_y_m,
            )
            for shape in area.shapes.all()
        )  # fmt: skip


@transaction.atomic(durable=True)
def change_survey(*, survey_id: int, version: int, by: Any, at: datetime, **values: Any) -> Survey:
    """Change the base and the answers of a survey that is still at `version`, else StaleError."""
    survey = lock_version(Survey, survey_id, version)
    refuse_finished(survey)
    before, after = changes(survey, tidied(values))
    if not after:
        return survey
    for name, value in after.items():
        setattr(survey, name, value)
    check_survey(survey)
    survey.version += 1
    survey.save(update_fields=[*after, "version"])
    for side in (before, after):
        if "notes" in side:
            side["notes"] = "(words)"
    post_event(verb="change", subject=survey, by=by, at=at, before=before, after=after)
    return survey


@transaction.atomic(durable=True)
def finish_survey(*, survey_id: int, by: Any, at: datetime) -> Survey:
    """Finish a survey: every area must have a size. The job becomes 'surveyed'."""
    survey = locked_survey(survey_id)
    if survey.finished_at is not None:
        return survey
    sheets = sheets_of(survey)
    if not sheets:
        raise ServiceError("Add at least one area before you finish.", code="no_areas")
    for sheet in sheets:
        if sheet.size.problem:
            raise ServiceError(f"{sheet.area.name}: {sheet.size.problem}", code="no_size")
    survey.finished_at = at
    survey.version += 1
    survey.save(update_fields=["finished_at", "version"])
    post_event(verb="finish", subject=survey, by=by, at=at)
    if survey.kind == SurveyKind.SURVEY:
        post_stage(job=survey.job, stage=Stage.SURVEYED, by=by, at=at)
    return survey


@transaction.atomic(durable=True)
def reopen_survey(*, survey_id: int, note: str, by: Any, at: datetime) -> Survey:
    """Open a finished survey again, with the reason; quotes sent from it stay as they were."""
    survey = locked_survey(survey_id)
    if survey.finished_at is None:
        return survey
    survey.finished_at = None
    survey.version += 1
    survey.save(update_fields=["finished_at", "version"])
    post_event(verb="reopen", subject=survey, by=by, at=at, reason=tidy_line(note))
    return survey


@transaction.atomic(durable=True)
def discard_survey(*, survey_id: int, by: Any, at: datetime) -> None:
    """Delete a survey that is not finished, with its measurements."""
    survey = locked_survey(survey_id)
    refuse_finished(survey)
    post_event(verb="remove", subject=survey, by=by, at=at)
    try:
        with transaction.atomic():
            survey.areas.all().delete()
            survey.delete()
    except ProtectedError as error:
        raise ServiceError(
            "A quote or take-off stands on this survey; it cannot be discarded.", code="used"
        ) from error


def post_erasure(customer_id: int) -> list[str]:
    """Blank what visits noted in words; part of erasing a customer."""
    assert_in_transaction()
    surveys = Survey.objects.filter(job__customer_id=customer_id)
    surveys.update(notes="")
    if not surveys.exists():
        return []
    return ["Kept: the measured areas of the surveys, for the guarantee; they name nobody."]
