"""Photos and papers of a job or of what belongs to it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Model

from jobs.attachments.models import Attachment
from jobs.attachments.queries import attachments_of
from jobs.attachments.services import keep_file, post_attachment
from jobs.customers.rules import tidy_line


def attach_files(
    *, about: Model, files: Sequence[tuple[str, bytes]], caption: str, by: Any, at: datetime,
    permission: str = "jobs.view_work",
) -> list[Attachment]:  # fmt: skip
    """Attach files (name, bytes) to a row; one that is there already is not attached again.

    All are looked into and written first, so that one that is refused leaves none attached.
    """
    kept = [keep_file(data=data, name=name) for name, data in files]
    manager: Any = type(about).objects  # type: ignore[attr-defined]
    with transaction.atomic(durable=True):
        manager.select_for_update(no_key=True).get(pk=about.pk)
        there = {file.digest: file for file in attachments_of(about)}
        return [
            there.get(file.digest)
            or post_attachment(
                kept=file, about=about, permission=permission, caption=tidy_line(caption),
                by=by, at=at,
            )
            for file in {one.digest: one for one in kept}.values()
        ]  # fmt: skip
