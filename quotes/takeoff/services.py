"""Choosing what a survey is laid with, and what the planning question asks."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from jobs.audit.services import post_event
from jobs.kernel.errors import ServiceError
from jobs.surveys.models import ColourGroup, Survey
from quotes.takeoff.models import (
    PLANNING_QUESTIONS,
    BlendChoice,
    PlanningAnswers,
    TakeOffSettings,
)
from stock.catalogue.models import Blend

MOST_SPARES = 200


@transaction.atomic(durable=True)
def choose_blends(
    *,
    survey_id: int,
    blends: Mapping[int, int],
    by: Any,
    at: datetime,
    waste_percent: Decimal | None = None,
    air_c: Decimal | None = None,
    part_mixes: bool | None = None,
    spare_mixes: int | None = None,
) -> Survey:
    """Set the blend of each colour group (pk -> blend pk) and what the take-off reckons with.

    None leaves a setting as it is. Refuses a group of another survey and a blend out of use.
    """
    survey: Survey = Survey.objects.select_for_update(no_key=True).get(pk=survey_id)
    # long because: settings that may be left alone are named one by one
    groups = {group.pk: group for group in ColourGroup.objects.filter(survey=survey)}
    usable = set(
        Blend.objects.filter(pk__in=set(blends.values()), archived_at=None).values_list(
            "pk", flat=True
        )
    )
    for group_id, blend_id in blends.items():
        if group_id not in groups:
            raise ServiceError("That colour group is not of this survey. Open the page again.")
        if blend_id not in usable:
            raise ServiceError("That blend is out of use; choose another.", field=f"g{group_id}")
        BlendChoice.objects.update_or_create(
            colour_group=groups[group_id], defaults={"blend_id": blend_id}
        )
    if spare_mixes is not None and not 0 <= spare_mixes <= MOST_SPARES:
        raise ServiceError(f"From 0 to {MOST_SPARES} spare mixes.", field="spare_mixes")
    given = {
        "waste_percent": waste_percent, "air_c": air_c, "part_mixes": part_mixes,
        "spare_mixes": spare_mixes,
    }  # fmt: skip
    values = {name: value for name, value in given.items() if value is not None}
    TakeOffSettings.objects.update_or_create(survey=survey, defaults=values)
    post_event(
        verb="choose blends", subject=survey, by=by, at=at,
        after=values | {groups[pk].name: blend for pk, blend in blends.items()},
    )  # fmt: skip
    return survey


@transaction.atomic(durable=True)
def answer_planning(
    *,
    survey_id: int,
    answers: Mapping[str, str],
    front_m2: Decimal | None,
    by: Any,
    at: datetime,
) -> PlanningAnswers:
    """Set what the front-garden planning question asks beside the survey.

    answers: nation, and 'yes', 'no' or 'unknown' for each of PLANNING_QUESTIONS; front_m2: how
    much of the survey lies at the front, None for all of it. Refuses an unknown question.
    """
    survey: Survey = Survey.objects.select_for_update(no_key=True).get(pk=survey_id)
    if unknown := set(answers) - {"nation", *PLANNING_QUESTIONS}:
        raise ServiceError(f"That is not asked here: {', '.join(sorted(unknown))}.")
    row = PlanningAnswers.objects.filter(survey=survey).first() or PlanningAnswers(survey=survey)
    for name, value in answers.items():
        setattr(row, name, value)
    row.front_m2 = front_m2
    row.full_clean()
    row.save()
    post_event(
        verb="answer planning question", subject=survey, by=by, at=at,
        after=dict(answers) | {"front_m2": front_m2},
    )  # fmt: skip
    return row
