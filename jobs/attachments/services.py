"""Keeping files: the bytes first, the row in the transaction, an orphan sweep for what is left."""

from __future__ import annotations

import os
import tempfile
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

from django.conf import settings
from django.db import transaction
from django.db.models import Model

from jobs.attachments.models import Attachment
from jobs.attachments.queries import path_of
from jobs.attachments.rules import CheckedFile, check_file
from jobs.audit.services import post_event
from jobs.kernel.posting import assert_in_transaction

# A file is written before its row commits; younger ones may belong to a write in progress.
ORPHAN_AFTER = timedelta(hours=6)


def keep_file(*, data: bytes, name: str) -> CheckedFile:
    """Check the bytes and write them under their hash; call before the transaction.

    Raises ServiceError at field 'file' for what is not taken.
    """
    return keep_own_file(check_file(data, name, most_bytes=settings.ATTACHMENT_MAX_BYTES))


def keep_own_file(checked: CheckedFile) -> CheckedFile:
    """Write bytes that were checked, or that we made ourselves, under their hash.

    As `keep_file`: before the transaction.
    """
    target = path_of(checked.digest)
    if not target.exists():
        target.parent.mkdir(parents=True, exist_ok=True)
        handle, part = tempfile.mkstemp(dir=target.parent)
        with os.fdopen(handle, "wb") as file:
            file.write(checked.data)
            file.flush()
            os.fsync(file.fileno())
        Path(part).replace(target)
    else:
        target.touch()  # so that the orphan sweep leaves it alone while the row is on its way
    return checked


def post_attachment(
    *,
    kept: CheckedFile,
    about: Model,
    permission: str,
    at: datetime,
    by: Any,
    caption: str = "",
) -> Attachment:
    """Record a kept file as belonging to `about`; `permission` is the verb that may see it."""
    assert_in_transaction()
    attachment = Attachment.objects.create(
        digest=kept.digest,
        name=kept.name,
        content_type=kept.content_type,
        size=len(kept.data),
        caption=caption[:200],
        about_type=about._meta.label_lower,
        about_id=about.pk,
        permission=permission,
        at=at,
        by=by,
    )
    post_event(verb="attach", subject=attachment, by=by, at=at, after={"about": str(about)})
    return attachment


@transaction.atomic(durable=True)
def attach_file(
    *, kept: CheckedFile, about: Model, permission: str, at: datetime, by: Any, caption: str = ""
) -> Attachment:
    """Record a kept file by itself, e.g. a photo added to a job."""
    return post_attachment(
        kept=kept, about=about, permission=permission, at=at, by=by, caption=caption
    )


@transaction.atomic(durable=True)
def remove_attachment(*, attachment_id: int, by: Any, at: datetime) -> None:
    """Take an attachment off its row; the file goes with the orphan sweep."""
    attachment = Attachment.objects.select_for_update(no_key=True).get(pk=attachment_id)
    if attachment.removed_at is None:
        attachment.removed_at = at
        attachment.save(update_fields=["removed_at"])
        post_event(verb="remove_attachment", subject=attachment, by=by, at=at)


def sweep_orphans(*, at: datetime) -> int:
    """Delete files that no row names any more; returns how many."""
    root = Path(settings.MEDIA_ROOT)
    if not root.exists():
        return 0
    named = set(Attachment.objects.filter(removed_at=None).values_list("digest", flat=True))
    old = (at - ORPHAN_AFTER).timestamp()
    gone = 0
    for file in root.glob("??/*"):
        if file.name not in named and file.stat().st_mtime < old:
            file.unlink(missing_ok=True)
            gone += 1
    return gone
