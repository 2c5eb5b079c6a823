"""Who may take enquiries, change jobs and move them on."""

from __future__ import annotations

from uuid import uuid4

from django.core.files.uploadedfile import SimpleUploadedFile

from jobs.work.models import StageChange
from tests.factories import AT, make_customer, make_job, make_site
from tests.role_rows import Row, World, everybody, only

OFFICE = only("owner", "office")
DONE = only("owner", "office", status=302)
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
TABLES = (
    "jobs.Job", "jobs.StageChange", "jobs.Customer", "jobs.Site", "jobs.Event", "jobs.NumberSeries",
    "jobs.Attachment",
)  # fmt: skip
PDF = b"%PDF-1.7\n%%EOF\n"


def call() -> World:
    return World({}, {
        "uid": str(uuid4()), "name": "Alex Marsh", "phone": "01632 960123", "kind": "household",
        "address": "4 Mill Lane, Orrford", "source": "telephone",
    })  # fmt: skip


def job() -> World:
    data = {"version": "1", "title": "Drive and path", "source": "email"}
    return World({"pk": make_job().pk}, data)


def missing() -> World:
    return World({"pk": 999_999}, {"version": "1", "title": "None", "source": "email"})


def to_copy() -> World:
    like = make_job()
    site = make_site(like.customer)
    data = {"uid": str(uuid4()), "site": str(site.pk), "title": "Plot 2"}
    return World({"pk": like.pk}, data)


def of_archived() -> World:
    like = make_job(make_site(make_customer(archived_at=AT)))
    return World({"pk": like.pk}, {"uid": str(uuid4()), "title": "Plot 2"})


def to_lose() -> World:
    return World({"pk": make_job().pk}, {"reason": "price", "note": "dearer by a third"})


def to_cancel() -> World:
    return World({"pk": make_job().pk}, {"note": "the house is sold"})


def cancelled() -> World:
    row = make_job(stage="cancelled")
    StageChange.objects.create(job=row, before="won", after="cancelled", at=AT)
    return World({"pk": row.pk}, {"note": "it is on again"})


def laid() -> World:
    return World({"pk": make_job(stage="on_site").pk, "stage": "snagging"}, {"note": ""})


def no_step() -> World:
    return World({"pk": make_job(stage="on_site").pk, "stage": "won"}, {"note": ""})


def paper() -> World:
    file = SimpleUploadedFile("letter.pdf", PDF, "application/pdf")
    return World({"pk": make_job().pk}, {"file": file, "caption": "their letter"})


MEASURE = ("owner", "office", "crew")
ROWS = [
    Row("work:list", "GET", everybody()),
    Row("work:enquiry", "GET", OFFICE),
    Row("work:enquiry", "POST", DONE, call, models=TABLES),
    Row("work:detail", "GET", everybody(), job),
    Row("work:detail", "GET", GONE, missing, "other"),
    Row("work:edit", "GET", OFFICE, job),
    Row("work:edit", "POST", DONE, job, models=TABLES),
    Row("work:edit", "POST", GONE, missing, "other", TABLES),
    Row("work:copy", "GET", OFFICE, to_copy),
    Row("work:copy", "POST", DONE, to_copy, models=TABLES),
    Row("work:copy", "POST", GONE, of_archived, "other", TABLES),
    Row("work:photos", "GET", only(*MEASURE), job),
    Row("work:photos", "POST", only(*MEASURE, status=302), paper, models=TABLES),
    Row("work:photos", "POST", GONE, missing, "other", TABLES),
    Row("work:lose", "GET", OFFICE, job),
    Row("work:lose", "POST", DONE, to_lose, models=TABLES),
    Row("work:lose", "POST", GONE, missing, "other", TABLES),
    Row("work:cancel", "GET", OFFICE, job),
    Row("work:cancel", "POST", DONE, to_cancel, models=TABLES),
    Row("work:cancel", "POST", GONE, missing, "other", TABLES),
    Row("work:reopen", "GET", OFFICE, cancelled),
    Row("work:reopen", "POST", DONE, cancelled, models=TABLES),
    Row("work:reopen", "POST", GONE, missing, "other", TABLES),
    Row("work:step", "GET", OFFICE, laid),
    Row("work:step", "POST", DONE, laid, models=TABLES),
    Row("work:step", "POST", GONE, no_step, "other", TABLES),
]
