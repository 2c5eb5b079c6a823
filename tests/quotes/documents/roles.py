"""Who may open quotes as PDF."""

from __future__ import annotations

from uuid import uuid4

from django.db import transaction

from jobs.attachments.rules import CheckedFile
from jobs.attachments.services import keep_file, keep_own_file, post_attachment
from quotes.documents.models import PagePicture, Rendering
from quotes.documents.services import ask_rendering
from quotes.quoting.services import revise
from tests.factories import AT
from tests.quotes.world import make_quote_world
from tests.role_rows import Row, World, only


def revision() -> World:
    return World({"pk": make_quote_world().start().pk})


def rendering() -> World:
    row = ask_rendering(revision_id=make_quote_world().start().pk, at=AT)
    return World({"uid": row.uid})


def ready() -> World:
    world = rendering()
    row = Rendering.objects.get(uid=world.kwargs["uid"])
    kept = keep_file(data=b"%PDF-1.7 drawn", name="quote.pdf")
    with transaction.atomic():
        found = post_attachment(
            kept=kept, about=row.revision, permission="jobs.see_billing", by=None, at=AT
        )
    Rendering.objects.filter(pk=row.pk).update(state="ready", attachment_uid=found.uid)
    return world


def picture() -> World:
    world = ready()
    row = Rendering.objects.get(uid=world.kwargs["uid"])
    kept = keep_own_file(CheckedFile("page.png", "image/png", b"\x89PNG drawn"))
    with transaction.atomic():
        found = post_attachment(kept=kept, about=row, permission="jobs.see_billing", by=None, at=AT)
    PagePicture.objects.create(
        rendering=row, number=1, attachment_uid=found.uid, width=9, height=9
    )  # fmt: skip
    return World({"uid": row.uid, "number": 1})


def other_page() -> World:
    return World(picture().kwargs | {"number": 2})


def quote() -> World:
    first = make_quote_world().send()
    revise(revision_id=first.pk, by=None, at=AT)
    return World({"pk": first.quote_id})


def missing() -> World:
    return World({"uid": uuid4()})


SEE = ("owner", "office", "accountant")
TABLES = ("quotes.Rendering",)
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
ROWS = [
    Row("documents:open", "GET", only(*SEE), revision),
    Row("documents:open", "GET", GONE, lambda: World({"pk": 999_999}), "other"),
    Row("documents:ask", "POST", only(*SEE, status=302), revision, models=TABLES),
    Row("documents:ask", "POST", GONE, lambda: World({"pk": 999_999}), "other", TABLES),
    Row("documents:progress", "GET", only(*SEE), rendering),
    Row("documents:progress", "GET", GONE, missing, "other"),
    Row("documents:pdf", "GET", only(*SEE), ready),
    Row("documents:pdf", "GET", GONE, rendering, "other"),
    Row("documents:pages", "GET", only(*SEE, status=302), revision),
    Row("documents:pages", "GET", GONE, lambda: World({"pk": 999_999}), "other"),
    Row("documents:picture", "GET", only(*SEE), picture),
    Row("documents:picture", "GET", GONE, other_page, "other"),
    Row("documents:compare", "GET", only(*SEE), quote),
    Row("documents:compare", "GET", GONE, lambda: World({"pk": 999_999}), "other"),
]
