"""Who may read, write and send quotes."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile

from jobs.kernel.clock import london_day, now
from quotes.quoting.models import Revision
from quotes.quoting.services import add_asked_line, send_revision
from stock.catalogue.models import Blend
from tests.quotes.world import PDF, make_quote_world, make_small_job
from tests.role_rows import Row, World, only


def job() -> World:
    world = make_quote_world()
    return World(
        {"job": world.job.pk}, {"survey": world.survey.pk, "work_items": [world.edge_work.pk]}
    )


def draft() -> World:
    revision = make_quote_world().start(at=now())
    day = london_day(now()) + timedelta(days=9)
    data: dict[str, Any] = {
        "version": revision.version, "deposit_percent": "30", "valid_until": day.isoformat(),
        "vat_code": "standard", "vat_percent": "20", "overhead_percent": "10",
        "margin_percent": "20", "message": "Hello", "kind": "free", "unit": "each",
        "words": "Skip", "fixed": "240", "to": "home@customer.example", "crew_size": "2",
    }  # fmt: skip
    return World({"pk": revision.pk}, data)


def travelled() -> World:
    world = draft()
    data = {"version": world.data["version"], "trips": "2", "miles": "14", "people": "2"}
    return World(world.kwargs | {"kind": "travel"}, data)


def unknown_kind() -> World:
    return World(travelled().kwargs | {"kind": "surface"}, travelled().data)


def travel_line() -> World:
    world = travelled()
    line = add_asked_line(
        revision_id=world.kwargs["pk"], kind="travel", asked={"trips": 1, "miles": "9",
        "people": 1}, by=None, at=now(),
    )  # fmt: skip
    version = Revision.objects.get(pk=world.kwargs["pk"]).version
    pk = world.kwargs["pk"]
    return World({"pk": pk, "line": line.pk}, world.data | {"version": version})


def small() -> World:
    world = draft()
    return World(world.kwargs, {"entry": make_small_job().pk})


def sampled() -> World:
    world = draft()
    blend = Blend.objects.latest("pk")
    day = london_day(now()).isoformat()
    data = {"version": world.data["version"], "blend": blend.pk, "shown_on": day}
    return World(world.kwargs, data)


def papered() -> World:
    return World(draft().kwargs, {"file": SimpleUploadedFile("letter.pdf", PDF)})


def some() -> World:
    draft()
    return World()


def staged() -> World:
    world = draft()
    values = {
        "version": world.data["version"], "deposit_percent": "20", "words_1": "Base ready",
        "percent_1": "40", "last_words": "Handed over",
    }  # fmt: skip
    plan = {f"plan-{name}": value for name, value in values.items()}
    return World(world.kwargs, plan | {"ready": "start"})


def line() -> World:
    world = draft()
    row = Revision.objects.get(pk=world.kwargs["pk"]).lines.last()
    assert row is not None
    data = {"version": world.data["version"], "words": "Edge", "quantity": "3", "way": "up"}
    return World(world.kwargs | {"line": row.pk}, data)


def another_quotes_line() -> World:
    return World(line().kwargs | {"line": line().kwargs["line"]}, {"words": "x", "quantity": "1"})


def sent() -> World:
    revision = make_quote_world().start(at=now())
    send_revision(revision_id=revision.pk, to="home@customer.example", by=None, at=now())
    return World({"pk": revision.pk})


def missing() -> World:
    return World({"pk": 999_999})


def missing_job() -> World:
    return World({"job": 999_999})


SEE = ("owner", "office", "accountant")
WRITE = ("owner", "office")
TABLES = ("quotes.Revision", "quotes.Line", "quotes.Quote")
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
ROWS = [
    Row("quoting:list", "GET", only(*SEE), some),
    Row("quoting:start", "GET", only(*WRITE), job),
    Row("quoting:start", "POST", only(*WRITE, status=302), job, models=TABLES),
    Row("quoting:start", "POST", GONE, missing_job, "other", TABLES),
    Row("quoting:detail", "GET", only(*SEE), draft),
    Row("quoting:detail", "GET", only(*SEE), sent),
    Row("quoting:detail", "GET", GONE, missing, "other"),
    Row("quoting:terms", "GET", only(*WRITE), draft),
    Row("quoting:terms", "POST", only(*WRITE, status=302), draft, models=TABLES),
    Row("quoting:plan", "GET", only(*WRITE), staged),
    Row("quoting:plan", "POST", only(*WRITE, status=302), staged, models=TABLES),
    Row("quoting:plan", "POST", GONE, missing, "other", TABLES),
    Row("quoting:ready_plan", "POST", only(*WRITE, status=302), staged, models=TABLES),
    Row("quoting:ready_plan", "POST", GONE, missing, "other", TABLES),
    Row("quoting:words", "GET", only(*WRITE), draft),
    Row("quoting:words", "POST", only(*WRITE, status=302), draft, models=TABLES),
    Row("quoting:add_line", "GET", only(*WRITE), draft),
    Row("quoting:add_line", "POST", only(*WRITE, status=302), draft, models=TABLES),
    Row("quoting:change_line", "GET", only(*WRITE), line),
    Row("quoting:change_line", "POST", only(*WRITE, status=302), line, models=TABLES),
    Row("quoting:change_line", "POST", GONE, another_quotes_line, "other", TABLES),
    Row("quoting:remove_line", "POST", only(*WRITE, status=302), line, models=TABLES),
    Row("quoting:remove_line", "POST", GONE, another_quotes_line, "other", TABLES),
    Row("quoting:move_line", "POST", only(*WRITE, status=302), line, models=TABLES),
    Row("quoting:add_asked", "GET", only(*WRITE), travelled),
    Row("quoting:add_asked", "POST", only(*WRITE, status=302), travelled, models=TABLES),
    Row("quoting:add_asked", "POST", GONE, unknown_kind, "other", TABLES),
    Row("quoting:change_asked", "GET", only(*WRITE), travel_line),
    Row("quoting:change_asked", "POST", only(*WRITE, status=302), travel_line, models=TABLES),
    Row("quoting:change_asked", "POST", GONE, another_quotes_line, "other", TABLES),
    Row("quoting:add_small", "POST", only(*WRITE, status=302), small, models=TABLES),
    Row("quoting:add_small", "POST", GONE, missing, "other", TABLES),
    Row("quoting:sample", "GET", only(*WRITE), sampled),
    Row("quoting:sample", "POST", only(*WRITE, status=302), sampled, models=TABLES),
    Row("quoting:vat_document", "GET", only(*WRITE), draft),
    Row("quoting:vat_document", "POST", only(*WRITE, status=302), papered, models=TABLES),
    Row("quoting:lines_file", "GET", only(*SEE), draft),
    Row("quoting:lines_file", "GET", GONE, missing, "other"),
    Row("quoting:reprice", "POST", only(*WRITE, status=302), draft, models=TABLES),
    Row("quoting:revise", "POST", only(*WRITE, status=302), sent, models=TABLES),
    Row("quoting:send", "GET", only("owner"), draft),
    Row("quoting:send", "POST", only("owner", status=302), draft, models=TABLES),
    Row("quoting:send", "POST", GONE, missing, "other", TABLES),
    Row("quoting:workings", "GET", only("owner", "accountant"), draft),
]
