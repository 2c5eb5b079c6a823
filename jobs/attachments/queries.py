"""Reading attachments and their bytes."""

from __future__ import annotations

from pathlib import Path
from uuid import UUID

from django.conf import settings
from django.db.models import Model, QuerySet

from jobs.attachments.models import Attachment


def path_of(digest: str) -> Path:
    """Return where the file with this hash lies; its first letters spread the folders."""
    return Path(settings.MEDIA_ROOT) / digest[:2] / digest


def attachments_of(subject: Model) -> QuerySet[Attachment]:
    """Return the attachments of a row, oldest first."""
    return Attachment.objects.filter(
        about_type=subject._meta.label_lower, about_id=subject.pk, removed_at=None
    )


def read_bytes(attachment: Attachment) -> bytes:
    """Return the file's bytes (OSError if the file is gone)."""
    return path_of(attachment.digest).read_bytes()


def attachment_bytes(uid: UUID) -> tuple[str, bytes, str]:
    """Return (name, bytes, type) of an attachment, as a mail wants them."""
    attachment = Attachment.objects.get(uid=uid)
    return attachment.name, read_bytes(attachment), attachment.content_type
