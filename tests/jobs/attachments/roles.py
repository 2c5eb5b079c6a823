"""Who may see a file: those who hold the verb on its row."""

from __future__ import annotations

from uuid import uuid4

from jobs.attachments.services import keep_file, post_attachment
from tests.factories import AT, make_job
from tests.role_rows import Row, World, everybody, only

PDF = b"%PDF-1.7\n"


def open_file() -> World:
    return kept("jobs.view_work")


def money_file() -> World:
    return kept("jobs.see_billing")


def kept(permission: str) -> World:
    found = post_attachment(
        kept=keep_file(data=PDF, name="paper.pdf"), about=make_job(), permission=permission,
        at=AT, by=None,
    )  # fmt: skip
    return World({"uid": found.uid})


def missing() -> World:
    return World({"uid": uuid4()})


GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
ROWS = [
    Row("attachments:file", "GET", everybody(), open_file),
    Row("attachments:file", "GET", only("owner", "office", "accountant"), money_file),
    Row("attachments:file", "GET", GONE, missing, "other"),
    Row("attachments:remove", "GET", only("owner", "office"), open_file),
    Row(
        "attachments:remove",
        "POST",
        only("owner", "office", status=302),
        open_file,
        models=("jobs.Attachment",),
    ),
]
