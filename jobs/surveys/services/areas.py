"""Areas of a survey, with the pours and colour groups they belong to."""

from __future__ import annotations

from contextlib import suppress
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max, ProtectedError

from jobs.audit.services import post_event
from jobs.customers.rules import tidy_line
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import claim_key, finish_key
from jobs.kernel.versions import StaleError
from jobs.surveys.models import Area, ColourGroup, Pour, Survey
from jobs.surveys.services.visits import locked_survey, refuse_finished

# The engine's range for a laid depth.
LEAST_DEPTH, MOST_DEPTH = Decimal("0.1"), Decimal(500)
USUAL_POUR, USUAL_GROUP = "pour 1", "one colour"


def check_area(area: Area) -> None:
    """Refuse what the engine or the database would refuse, at its field."""
    if not LEAST_DEPTH <= area.depth_mm <= MOST_DEPTH:
        raise ServiceError(
            f"{area.depth_mm} mm is no depth of a laid surface; accepted is 0.1 to 500 mm.",
            field="depth_mm", code="out_of_range",
        )  # fmt: skip
    if area.survey.areas.exclude(pk=area.pk).filter(name__iexact=area.name).exists():
        raise ServiceError(
            f"There is an area called '{area.name}' already; give this one another name.",
            field="name", code="name_taken",
        )  # fmt: skip
    try:
        area.full_clean(exclude=["pour"])
    except ValidationError as error:
        name, sentences = next(iter(error.message_dict.items()))
        raise ServiceError(sentences[0], field=name, code="malformed") from error


def pour_for(survey: Survey, pour_name: str, group_name: str) -> Pour:
    """Return the pour of this name in this colour group, made where there is none.

    Areas of one pour are of one blend; so a pour belongs to one colour group.
    """
    wanted, colour = tidy_line(pour_name) or USUAL_POUR, tidy_line(group_name)
    pour = survey.pours.filter(name__iexact=wanted).select_related("colour_group").first()
    if pour is None:
        colour = colour or USUAL_GROUP
        group = survey.colour_groups.filter(name__iexact=colour).first()
        group = group or ColourGroup.objects.create(survey=survey, name=colour)
        return Pour.objects.create(survey=survey, colour_group=group, name=wanted)
    if colour and pour.colour_group.name.lower() != colour.lower():
        raise ServiceError(
            f"'{pour.name}' is laid in the colour '{pour.colour_group.name}'. Areas of one pour "
            "are of one colour: name another pour.",
            field="pour_name", code="two_colours",
        )  # fmt: skip
    return pour


def drop_empty(survey: Survey) -> None:
    """Delete pours and colour groups that no area is in any more.

    A group stays where something hangs on it, as the blend that was chosen for it.
    """
    survey.pours.filter(areas=None).delete()
    for group in survey.colour_groups.filter(pours=None):
        with suppress(ProtectedError):
            group.delete()


@transaction.atomic(durable=True)
def add_area(
    *, survey_id: int, name: str, use: str, depth_mm: Decimal | int | str, by: Any, at: datetime,
    pour_name: str = "", group_name: str = "", outdoors: bool = True, edging: bool = True,
    key: UUID | None = None,
) -> Area:  # fmt: skip
    """Add a named area to a survey, in a pour and colour group of the names given."""
    survey = locked_survey(survey_id)
    inputs = {
        "survey": survey_id, "name": name, "use": use, "depth": str(depth_mm), "pour": pour_name,
        "group": group_name, "outdoors": outdoors, "edging": edging,
    }  # fmt: skip
    if key and (done := claim_key(key=key, kind="add_area", inputs=inputs, at=at)):
        found: Area = Area.objects.get(pk=done.result or 0)
        return found
    refuse_finished(survey)
    last = survey.areas.aggregate(last=Max("position"))["last"]
    area = Area(
        survey=survey, name=tidy_line(name), use=use, depth_mm=Decimal(depth_mm),
        outdoors=outdoors, edging=edging, position=0 if last is None else last + 1,
    )  # fmt: skip
    check_area(area)
    area.pour = pour_for(survey, pour_name, group_name)
    area.save()
    post_event(
        verb="add", subject=area, by=by, at=at,
        after={"survey": survey.pk, "use": use, "depth_mm": str(depth_mm)},
    )  # fmt: skip
    if key:
        finish_key(key=key, result=area.pk)
    return area


def locked_area(area_id: int) -> Area:
    """Lock an area by its survey and return it as it is now; refuse a finished survey."""
    survey = locked_survey(Area.objects.values_list("survey_id", flat=True).get(pk=area_id))
    refuse_finished(survey)
    area: Area = Area.objects.select_related("pour__colour_group").get(pk=area_id)
    area.survey = survey
    return area


@transaction.atomic(durable=True)
def change_area(
    *, area_id: int, name: str, use: str, depth_mm: Decimal | int | str, by: Any, at: datetime,
    pour_name: str = "", group_name: str = "", outdoors: bool = True, edging: bool = True,
    version: int | None = None,
) -> Area:  # fmt: skip
    """Change an area; with `version`, StaleError if it is not what the page showed."""
    area = locked_area(area_id)
    if version is not None and version != area.version:
        raise StaleError
    before = {"name": area.name, "use": area.use, "depth_mm": str(area.depth_mm)}
    area.name, area.use, area.depth_mm = tidy_line(name), use, Decimal(depth_mm)
    area.outdoors, area.edging = outdoors, edging
    check_area(area)
    area.pour = moved_pour(area, pour_name or area.pour_name, group_name)
    area.save()
    drop_empty(area.survey)
    post_event(
        verb="change", subject=area, by=by, at=at, before=before,
        after={"name": area.name, "use": area.use, "depth_mm": str(area.depth_mm)},
    )  # fmt: skip
    return area


def moved_pour(area: Area, pour_name: str, group_name: str) -> Pour:
    """Return the pour an area goes to; one that it has to itself may change its colour."""
    pour = area.pour
    alone = not pour.areas.exclude(pk=area.pk).exists()
    same = pour.name.lower() == tidy_line(pour_name).lower()
    colour = tidy_line(group_name)
    if alone and same and colour and pour.colour_group.name.lower() != colour.lower():
        group = area.survey.colour_groups.filter(name__iexact=colour).first()
        pour.colour_group = group or ColourGroup.objects.create(survey=area.survey, name=colour)
        pour.save(update_fields=["colour_group"])
        return pour
    return pour_for(area.survey, pour_name, group_name)


@transaction.atomic(durable=True)
def remove_area(*, area_id: int, by: Any, at: datetime) -> Survey:
    """Remove an area with its shapes; pours and colour groups left empty go too."""
    area = locked_area(area_id)
    survey = area.survey
    post_event(verb="remove", subject=area, by=by, at=at, before={"survey": survey.pk})
    area.delete()
    drop_empty(survey)
    return survey
