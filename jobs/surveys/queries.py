"""Reads of surveys: the engine's document, sizes, the plan, and how a check compares."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.db.models import Prefetch
from django.utils.safestring import SafeString

from jobs.kernel.drawing import PlanArea, PlanCut, draw_plan
from jobs.kernel.templatetags.firm import square_metres
from jobs.surveys.enums import SurveyKind
from jobs.surveys.models import QUESTIONS, Area, Shape, Survey
from jobs.surveys.rules.answers import AnswerCaution, cautions_of
from jobs.surveys.rules.sizes import Difference, Size, compare, shape_mapping, size_of
from quotes.engine.areas import PlanPiece, parse_shape
from quotes.engine.errors import EngineError

LONGEST_LABEL = 28
# Part of the plan's width that a dimension line with its figure takes.
ROOM = 0.07


@dataclass(frozen=True)
class ShapeLine:
    """One shape of an area: in words, and its own area in m² (None where it has none)."""

    shape: Shape
    words: str
    area_m2: float | None


@dataclass(frozen=True)
class AreaSheet:
    """An area with its size and its shapes."""

    area: Area
    size: Size
    lines: tuple[ShapeLine, ...]


def mapping_of(shape: Shape) -> dict[str, Any]:
    """Return a shape as the engine's document has it."""
    return shape_mapping(shape.kind, shape.measurements, deduct=shape.deduct, shared=shape.shared)


def sheet_of(area: Area) -> AreaSheet:
    """Return an area's size and shapes; its shapes should be prefetched."""
    shapes = list(area.shapes.all())
    return AreaSheet(
        area, size_of([mapping_of(s) for s in shapes]), tuple(line_of(s) for s in shapes)
    )


def line_of(shape: Shape) -> ShapeLine:
    """Return a shape in the engine's words with its area."""
    try:
        parsed = parse_shape(mapping_of(shape), "shape")
    except EngineError as error:
        return ShapeLine(shape, error.message, None)
    return ShapeLine(shape, parsed.sentence, -parsed.area_m2 if shape.deduct else parsed.area_m2)


def sheets_of(survey: Survey) -> list[AreaSheet]:
    """Return the areas of a survey in order, each with its size: two queries."""
    return [sheet_of(area) for area in survey.areas.measured()]


def survey_document(survey: Survey) -> list[dict[str, Any]]:
    """Return the engine's `areas` of a survey: those that have shapes, in order; two queries.

    `session` is the name of the pour. `colour_group` is no key of the engine's: whoever asks the
    engine turns it into a blend. An area without shapes is left out; a survey cannot be finished
    with one.
    """
    texture = f"{survey.base_texture_mm.normalize():f} mm"
    return [
        {
            "name": area.name,
            "use": area.use,
            "depth": f"{area.depth_mm.normalize():f} mm",
            "base_texture": texture,
            "outdoors": area.outdoors,
            "session": area.pour.name,
            "colour_group": area.pour.colour_group.name,
            "shapes": [mapping_of(shape) for shape in area.shapes.all()],
        }
        for area in survey.areas.measured()
        if area.shapes.all()
    ]


# -- the plan --------------------------------------------------------------------------------


def survey_plan(survey: Survey, sheets: Sequence[AreaSheet] | None = None) -> SafeString:
    """Return the plan of a survey to scale as SVG; '' while nothing is measured."""
    sheets = sheets_of(survey) if sheets is None else sheets
    return plan_of(sheets, f"Plan of {survey}")


def plan_of(sheets: Sequence[AreaSheet], title: str) -> SafeString:
    """Return a plan of areas to scale; those without a size are left out."""
    areas = [plan_area(sheet) for sheet in sheets if sheet.size.measure is not None]
    return draw_plan(areas, title=title) if areas else SafeString()


def plan_area(sheet: AreaSheet) -> PlanArea:
    """Return one area as the drawing wants it, its shapes where the survey placed them."""
    assert sheet.size.measure is not None  # noqa: S101 - the caller leaves others out
    pieces = placed_pieces(sheet.size.measure.outlines, [line.shape for line in sheet.lines])
    rings, cuts = [], []
    for piece, line in zip(pieces, sheet.lines, strict=True):
        if piece.deduct:
            size = f"less {square_metres(-(line.area_m2 or 0.0))}"
            cuts.append(PlanCut(piece.rings[0], line.shape.note[:LONGEST_LABEL] or size))
        else:
            rings.append(piece.rings[0])
            cuts += [PlanCut(hole) for hole in piece.rings[1:]]
    name = sheet.area.name[:LONGEST_LABEL]
    return PlanArea(name, rings, cuts, label=f"{name} {square_metres(sheet.size.area_m2)}")


def room_between(pieces: Sequence[PlanPiece]) -> float:
    """Return the metres by which shapes set side by side move apart, for their dimension lines."""
    across = [x for piece in pieces for ring in piece.rings for x, _ in ring]
    return ROOM * (max(across) - min(across)) if across else 0.0


def placed_pieces(pieces: Sequence[PlanPiece], shapes: Sequence[Shape]) -> list[PlanPiece]:
    """Return the pieces moved to where the survey says; a deduction follows what it is cut from."""
    placed, follow, beside = [], (0.0, 0.0), 0.0
    apart = room_between(pieces)
    for piece, shape in zip(pieces, shapes, strict=True):
        move = (0.0, 0.0)
        if not piece.placed:
            move = follow if piece.deduct else (beside, 0.0)
        if shape.at_x_m is not None and shape.at_y_m is not None:
            low_x = min(x for ring in piece.rings for x, _ in ring)
            low_y = min(y for ring in piece.rings for _, y in ring)
            move = (float(shape.at_x_m) - low_x, float(shape.at_y_m) - low_y)
        if not piece.deduct:
            follow = move
            beside += apart
        rings = tuple(tuple((x + move[0], y + move[1]) for x, y in ring) for ring in piece.rings)
        placed.append(replace(piece, rings=rings))
    return placed


# -- answers ---------------------------------------------------------------------------------


def question_words(name: str) -> str:
    """Return a question of the visit in words."""
    return str(Survey._meta.get_field(name).verbose_name)  # type: ignore[union-attr]


def survey_cautions(survey: Survey) -> list[AnswerCaution]:
    """Return what a visit's answers mean for the quote; each open question is one."""
    answers = {name: getattr(survey, name) for name in QUESTIONS}
    return cautions_of(answers, {name: question_words(name) for name in QUESTIONS})


# -- which survey ----------------------------------------------------------------------------


def latest_finished(job_id: int, kind: str = SurveyKind.SURVEY) -> Survey | None:
    """Return the job's latest finished survey of a kind, or None: one query."""
    found: Survey | None = (
        Survey.objects.filter(job_id=job_id, kind=kind)
        .exclude(finished_at=None)
        .select_related("job")
        .order_by("-finished_at", "-pk")
        .first()
    )
    return found


def measured_survey(job_id: int) -> Survey | None:
    """Return what drives order and day sheet: the check-measure, or else the survey."""
    return latest_finished(job_id, SurveyKind.CHECK) or latest_finished(job_id)


def measured_surveys(job_ids: Collection[int]) -> dict[int, Survey]:
    """Return what `measured_survey` does for each of some jobs that has one; three queries.

    The areas are prefetched with their pours and shapes, for `sheet_of`.
    """
    rows = Survey.objects.filter(job_id__in=job_ids).exclude(finished_at=None)
    areas = Prefetch("areas", queryset=Area.objects.measured())
    found = rows.prefetch_related(areas).order_by("finished_at", "pk")
    # The last of them stands: a check-measure before any survey.
    return {row.job_id: row for row in sorted(found, key=lambda row: row.kind == SurveyKind.CHECK)}


def surveys_to_copy(customer_id: int) -> list[Survey]:
    """Return the customer's finished surveys whose measurements another can start from."""
    rows = Survey.objects.filter(job__customer_id=customer_id).exclude(finished_at=None)
    return list(rows.select_related("job__site").order_by("-finished_at", "-pk")[:20])


def differences(
    check: Survey, sheets: Sequence[AreaSheet] | None = None
) -> tuple[list[Difference], Difference] | None:
    """Return how a check-measure differs from the survey: each area by name, then the totals.

    None where there is nothing to compare. `sheets` are the check's, where they are at hand.
    """
    survey = latest_finished(check.job_id) if check.is_check else None
    if survey is None:
        return None
    sheets = sheets_of(check) if sheets is None else sheets
    return compare(
        {sheet.area.name: sheet.size.area_m2 for sheet in sheets_of(survey)},
        {sheet.area.name: sheet.size.area_m2 for sheet in sheets},
    )


def visits_before(before: datetime) -> list[Survey]:
    """Return up to ten visits that are due before an instant and not finished: one query."""
    return list(Survey.objects.open_visits(before)[:10])


@dataclass(frozen=True)
class Totals:
    """Sums over areas: m², m (None where one edge is not known), one standard deviation in m²."""

    area_m2: float
    edge_m: float | None
    uncertainty_m2: float
    unmeasured: int


def totals_of(sheets: Sequence[AreaSheet]) -> Totals:
    """Return the sums over the areas that have a size, and how many have none."""
    sizes = [sheet.size for sheet in sheets if sheet.size.measure is not None]
    edges = [size.edge_m for size in sizes if size.edge_m is not None]
    return Totals(
        sum(size.area_m2 or 0.0 for size in sizes),
        sum(edges) if len(edges) == len(sizes) else None,
        # The tape errs in each area by itself.
        math.hypot(*(size.uncertainty_m2 or 0.0 for size in sizes)),
        len(sheets) - len(sizes),
    )


@dataclass(frozen=True)
class SurveySummary:
    """A survey with its sums and its plan ('' while nothing is measured)."""

    survey: Survey
    totals: Totals
    plan: SafeString


def totals_with(survey: Survey) -> SurveySummary:
    """Return a survey's summary; its areas should be prefetched (`surveys_of`): no query then."""
    sheets = [sheet_of(area) for area in survey.areas.all()]
    return SurveySummary(survey, totals_of(sheets), plan_of(sheets, f"Plan of {survey}"))


def names_in(survey: Survey) -> tuple[list[str], list[str]]:
    """Return the names of the survey's pours and colour groups: two queries."""
    return (
        list(survey.pours.values_list("name", flat=True)),
        list(survey.colour_groups.values_list("name", flat=True)),
    )


def surveys_of(job_id: int) -> list[Survey]:
    """Return a job's surveys, newest first, with all their areas prefetched: three queries."""
    areas = Prefetch("areas", queryset=Area.objects.measured())
    rows = Survey.objects.filter(job_id=job_id).select_related("job")
    return list(rows.prefetch_related(areas))


def survey_records(customer_id: int) -> dict[str, Any]:
    """Return what this room knows of a customer's visits, as plain values."""
    rows = Survey.objects.filter(job__customer_id=customer_id).order_by("pk")
    return {
        "surveys": [
            {"job": s.job.reference, "kind": s.kind, "visited_at": s.visited_at, "notes": s.notes}
            for s in rows.select_related("job")
        ]
    }
