"""Who may measure."""

from __future__ import annotations

from uuid import uuid4

from django.core.files.uploadedfile import SimpleUploadedFile

from jobs.surveys.models import QUESTIONS
from tests.factories import AT, make_area, make_job, make_survey
from tests.role_rows import Row, World, everybody, only

OFFICE = only("owner", "office")
DONE = only("owner", "office", status=302)
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
TABLES = (
    "jobs.Survey", "jobs.Area", "jobs.Shape", "jobs.Pour", "jobs.ColourGroup", "jobs.Job",
    "jobs.Event", "jobs.Attachment",
)  # fmt: skip
BASE = {
    "visited_at": "2026-05-14T09:00", "base_kind": "tarmac", "base_condition": "sound",
    "base_texture_mm": "0",
}  # fmt: skip
AREA = {"name": "path", "use": "pedestrian", "depth_mm": "15", "pour_name": "pour 1"}
SHAPE = {"length": "4 m", "width": "1.2 m"}


def new() -> World:
    return World({"job": make_job().pk}, BASE | {"uid": str(uuid4())})


def no_job() -> World:
    return World({"job": 999_999}, BASE | {"uid": str(uuid4())})


def survey() -> World:
    answers = dict.fromkeys(QUESTIONS, "yes")
    return World({"pk": make_survey().pk}, BASE | answers | {"version": "1"})


def measured() -> World:
    return World({"pk": make_area().survey_id})


def finished() -> World:
    return World({"pk": make_survey(finished_at=AT).pk}, {"note": "one more area", "version": "1"})


def missing() -> World:
    return World({"pk": 999_999}, {"note": "none"})


def paper() -> World:
    file = SimpleUploadedFile("sketch.pdf", b"%PDF-1.7\n%%EOF\n", "application/pdf")
    return World({"pk": make_survey().pk}, {"file": file, "caption": "sketch"})


def new_area() -> World:
    return World({"pk": make_survey().pk}, AREA | {"uid": str(uuid4())})


def area() -> World:
    row = make_area()
    return World({"pk": row.pk}, AREA | {"version": str(row.version)})


def closed_area() -> World:
    return World({"pk": make_area(make_survey(finished_at=AT)).pk}, AREA | {"version": "1"})


def new_shape() -> World:
    return World({"pk": make_area().pk, "kind": "rectangle"}, SHAPE | {"uid": str(uuid4())})


def no_shape() -> World:
    return World({"pk": make_area().pk, "kind": "blob"}, SHAPE | {"uid": str(uuid4())})


def shape() -> World:
    row = make_area().shapes.get()
    return World({"pk": row.pk}, SHAPE | {"version": str(row.version)})


def closed_shape() -> World:
    row = make_area(make_survey(finished_at=AT)).shapes.get()
    return World({"pk": row.pk}, SHAPE | {"version": str(row.version)})


ROWS = [
    Row("surveys:list", "GET", everybody()),
    Row("surveys:create", "GET", OFFICE, new),
    Row("surveys:create", "POST", DONE, new, models=TABLES),
    Row("surveys:create", "POST", GONE, no_job, "other", TABLES),
    Row("surveys:detail", "GET", everybody(), survey),
    Row("surveys:detail", "GET", GONE, missing, "other"),
    Row("surveys:edit", "GET", OFFICE, survey),
    Row("surveys:edit", "POST", DONE, survey, models=TABLES),
    Row("surveys:edit", "POST", GONE, finished, "other", TABLES),
    Row("surveys:photos", "GET", OFFICE, survey),
    Row("surveys:photos", "POST", DONE, paper, models=TABLES),
    Row("surveys:photos", "POST", GONE, missing, "other", TABLES),
    Row("surveys:finish", "POST", DONE, measured, models=TABLES),
    Row("surveys:finish", "POST", GONE, missing, "other", TABLES),
    Row("surveys:reopen", "GET", OFFICE, finished),
    Row("surveys:reopen", "POST", DONE, finished, models=TABLES),
    Row("surveys:reopen", "POST", GONE, missing, "other", TABLES),
    Row("surveys:discard", "GET", OFFICE, survey),
    Row("surveys:discard", "POST", DONE, measured, models=TABLES),
    Row("surveys:discard", "POST", GONE, finished, "other", TABLES),
    Row("surveys:area_create", "GET", OFFICE, survey),
    Row("surveys:area_create", "POST", DONE, new_area, models=TABLES),
    Row("surveys:area_create", "POST", GONE, finished, "other", TABLES),
    Row("surveys:area", "GET", everybody(), area),
    Row("surveys:area", "GET", GONE, missing, "other"),
    Row("surveys:area_edit", "GET", OFFICE, area),
    Row("surveys:area_edit", "POST", DONE, area, models=TABLES),
    Row("surveys:area_edit", "POST", GONE, closed_area, "other", TABLES),
    Row("surveys:area_remove", "GET", OFFICE, area),
    Row("surveys:area_remove", "POST", DONE, area, models=TABLES),
    Row("surveys:area_remove", "POST", GONE, closed_area, "other", TABLES),
    Row("surveys:shape_create", "POST", DONE, new_shape, models=TABLES),
    Row("surveys:shape_create", "POST", GONE, no_shape, "other", TABLES),
    Row("surveys:shape_edit", "GET", OFFICE, shape),
    Row("surveys:shape_edit", "POST", DONE, shape, models=TABLES),
    Row("surveys:shape_edit", "POST", GONE, closed_shape, "other", TABLES),
    Row("surveys:shape_remove", "GET", OFFICE, shape),
    Row("surveys:shape_remove", "POST", DONE, shape, models=TABLES),
    Row("surveys:shape_remove", "POST", GONE, closed_shape, "other", TABLES),
]
