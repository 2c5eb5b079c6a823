"""Photos and papers of a job."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import pytest

from jobs.attachments.models import Attachment
from jobs.attachments.queries import attachments_of
from jobs.kernel.errors import ServiceError
from jobs.work import services
from tests.factories import make_job

pytestmark = pytest.mark.django_db
PDF = b"%PDF-1.7\n%%EOF\n"


def test_a_file_that_is_there_is_not_attached_again(office: Any, at: datetime) -> None:
    job = make_job()
    for _ in range(2):
        services.attach_files(
            about=job, files=[("a.pdf", PDF), ("b.pdf", PDF)], caption="letter", by=office, at=at
        )
    assert [file.caption for file in attachments_of(job)] == ["letter"]


def test_one_refused_file_leaves_none_attached(office: Any, at: datetime) -> None:
    with pytest.raises(ServiceError) as refusal:
        services.attach_files(
            about=make_job(), files=[("a.pdf", PDF), ("b.jpg", b"<html>")], caption="", by=office,
            at=at,
        )  # fmt: skip
    assert refusal.value.field == "file"
    assert not Attachment.objects.exists()
