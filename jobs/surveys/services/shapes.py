"""Shapes of an area: written down as taped, refused where no figure on the ground has them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction

from jobs.audit.services import post_event
from jobs.customers.rules import tidy_line
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import claim_key, finish_key
from jobs.kernel.templatetags.firm import square_metres
from jobs.kernel.versions import StaleError
from jobs.surveys.models import Area, Shape
from jobs.surveys.queries import mapping_of
from jobs.surveys.rules.sizes import is_large, sentence, shape_mapping, size_of
from jobs.surveys.rules.taping import TAPED, key_at
from jobs.surveys.services.areas import locked_area
from quotes.engine.areas import measure_area, parse_shape
from quotes.engine.errors import EngineError


def judge(
    kind: str, before: Sequence[Mapping[str, Any]], after: list[dict[str, Any]], place: int,
    *, large: bool,
) -> None:  # fmt: skip
    """Let the engine judge the area's shapes with the one at `place`; refuse at the right field.

    An area larger than a small firm lays is asked again, and taken with `large`.
    """
    try:
        parse_shape(after[place], "shape")
    except EngineError as error:
        raise ServiceError(
            sentence(error.message), field=key_at(error.where, kind), code=error.code
        ) from error
    judge_together(after, place, kind)
    if not large and is_large(before, after):
        size = square_metres(size_of(after).area_m2)
        raise ServiceError(
            f"The area comes to {size}. Is it that large? Tick to say so, or put the "
            "measurements right.",
            field="large", code="ask_large",
        )  # fmt: skip


def judge_together(after: list[dict[str, Any]], place: int, kind: str) -> None:
    """Refuse shapes that leave nothing, share more than there is, or cut outside."""
    try:
        parsed = [parse_shape(shape, f"shapes[{k}]") for k, shape in enumerate(after)]
        measure_area(parsed, "shapes")
    except EngineError as error:
        here = f"shapes[{place}]"
        field = None
        if error.where.startswith(f"{here}."):
            field = key_at(error.where, kind)
        elif error.where == here or after[place].get("deduct"):
            field = "deduct"
        raise ServiceError(sentence(error.message), field=field, code=error.code) from error


def written_row(shape: Shape) -> None:
    """Refuse what the database would refuse, at its field."""
    try:
        shape.full_clean(exclude=["measurements"])
    except ValidationError as error:
        name, sentences = next(iter(error.message_dict.items()))
        field = "at_x_m" if name == "__all__" else name
        raise ServiceError(sentences[0], field=field, code="malformed") from error


def document_of(area: Area) -> list[dict[str, Any]]:
    """Return the area's shapes as the engine has them, in order."""
    return [mapping_of(shape) for shape in area.shapes.all()]


@transaction.atomic(durable=True)
def add_shape(
    *, area_id: int, kind: str, measurements: Mapping[str, Any], by: Any, at: datetime,
    deduct: bool = False, shared: str = "", note: str = "", at_x_m: Decimal | None = None,
    at_y_m: Decimal | None = None, large: bool = False, key: UUID | None = None,
) -> Shape:  # fmt: skip
    """Add a shape to an area: `measurements` are the engine's keys, lengths texts with a unit.

    Refuses at the field what no figure has; asks again (code 'ask_large') what is very large.
    """
    area = locked_area(area_id)
    inputs = {
        "area": area_id, "kind": kind, "measurements": dict(measurements), "deduct": deduct,
        "shared": shared, "note": note, "place": [str(at_x_m), str(at_y_m)],
    }  # fmt: skip
    if key and (done := claim_key(key=key, kind="add_shape", inputs=inputs, at=at)):
        return Shape.objects.get(pk=done.result or 0)
    refuse_unknown(kind)
    before = document_of(area)
    new = shape_mapping(kind, measurements, deduct=deduct, shared=shared)
    judge(kind, before, [*before, new], len(before), large=large)
    last = area.shapes.order_by("position", "pk").last()
    shape = Shape(
        area=area, position=last.position + 1 if last else 0, kind=kind,
        measurements=dict(measurements), deduct=deduct, shared="" if deduct else tidy_line(shared),
        note=tidy_line(note), at_x_m=at_x_m, at_y_m=at_y_m,
    )  # fmt: skip
    written_row(shape)
    shape.save()
    post_event(verb="add", subject=shape, by=by, at=at, after={"area": area.pk, "shape": str(new)})
    if key:
        finish_key(key=key, result=shape.pk)
    return shape


def refuse_unknown(kind: str) -> None:
    """Refuse a kind of shape that there is not."""
    if kind not in TAPED:
        raise ServiceError(f"There is no shape called '{kind}'.", field="kind")


@transaction.atomic(durable=True)
def change_shape(
    *, shape_id: int, measurements: Mapping[str, Any], by: Any, at: datetime,
    deduct: bool = False, shared: str = "", note: str = "", at_x_m: Decimal | None = None,
    at_y_m: Decimal | None = None, large: bool = False, version: int | None = None,
) -> Shape:  # fmt: skip
    """Change a shape; with `version`, StaleError if it is not what the page showed."""
    area = locked_area(Shape.objects.values_list("area_id", flat=True).get(pk=shape_id))
    shapes = list(area.shapes.all())
    place = next(k for k, each in enumerate(shapes) if each.pk == shape_id)
    shape = shapes[place]
    if version is not None and version != shape.version:
        raise StaleError
    before = [mapping_of(each) for each in shapes]
    after = list(before)
    after[place] = shape_mapping(shape.kind, measurements, deduct=deduct, shared=shared)
    judge(shape.kind, before, after, place, large=large)
    shape.measurements, shape.deduct = dict(measurements), deduct
    shape.shared, shape.note = "" if deduct else tidy_line(shared), tidy_line(note)
    shape.at_x_m, shape.at_y_m = at_x_m, at_y_m
    written_row(shape)
    shape.save()
    post_event(
        verb="change", subject=shape, by=by, at=at, before={"shape": str(before[place])},
        after={"shape": str(after[place])},
    )  # fmt: skip
    return shape


@transaction.atomic(durable=True)
def remove_shape(*, shape_id: int, by: Any, at: datetime) -> Area:
    """Remove a shape; refused where what is left would make no area."""
    area = locked_area(Shape.objects.values_list("area_id", flat=True).get(pk=shape_id))
    shapes = list(area.shapes.all())
    shape = next(each for each in shapes if each.pk == shape_id)
    left = [mapping_of(each) for each in shapes if each.pk != shape_id]
    size = size_of(left)
    if left and size.problem:
        raise ServiceError(f"What is left would be no area: {size.problem}", code="no_size")
    post_event(
        verb="remove", subject=shape, by=by, at=at,
        before={"area": area.pk, "shape": str(mapping_of(shape))},
    )  # fmt: skip
    shape.delete()
    return area
