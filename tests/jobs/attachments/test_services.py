"""Bytes lie under their hash before the row is written; what no row names is swept away."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse

from jobs.attachments.models import Attachment
from jobs.attachments.queries import attachments_of, path_of, read_bytes
from jobs.attachments.services import (
    attach_file,
    keep_file,
    post_attachment,
    remove_attachment,
    sweep_orphans,
)
from jobs.kernel.errors import ServiceError
from tests.factories import AT, make_job, make_user
from tests.jobs.attachments.files import PDF, photo

Log = Callable[[Any], Client]
HOUR = timedelta(hours=1)


def keep(permission: str = "jobs.view_work", name: str = "order.pdf", data: bytes = PDF) -> Any:
    kept = keep_file(data=data, name=name)
    with transaction.atomic():
        return post_attachment(kept=kept, about=make_job(), permission=permission, at=AT, by=None)


def set_age(digest: str, at: datetime, age: timedelta) -> None:
    stamp = (at - age).timestamp()
    os.utime(path_of(digest), (stamp, stamp))


@pytest.mark.django_db
def test_the_bytes_lie_under_their_hash(settings: Any) -> None:
    attachment = keep()
    digest = hashlib.sha256(PDF).hexdigest()
    assert attachment.digest == digest
    assert (Path(settings.MEDIA_ROOT) / digest[:2] / digest).read_bytes() == PDF
    assert read_bytes(attachment) == PDF
    assert attachment.size == len(PDF)


@pytest.mark.django_db
def test_the_same_bytes_lie_there_once(settings: Any) -> None:
    first, second = keep(), keep()
    assert first.pk != second.pk
    assert len([path for path in Path(settings.MEDIA_ROOT).rglob("*") if path.is_file()]) == 1


def test_what_is_refused_leaves_no_file(settings: Any) -> None:
    with pytest.raises(ServiceError):
        keep_file(data=b"<script>", name="a.jpg")
    assert not Path(settings.MEDIA_ROOT).exists()


@pytest.mark.django_db(transaction=True)
def test_a_row_is_written_in_the_callers_transaction() -> None:
    kept = keep_file(data=PDF, name="a.pdf")
    with pytest.raises(RuntimeError, match="in a transaction"):
        post_attachment(kept=kept, about=make_job(), permission="jobs.view_work", at=AT, by=None)


@pytest.mark.django_db(transaction=True)
def test_a_file_belongs_to_its_row_until_it_is_taken_off(at: datetime) -> None:
    job, other = make_job(), make_job()
    kept = keep_file(data=PDF, name="a.pdf")
    mine = attach_file(kept=kept, about=job, permission="jobs.view_work", at=at, by=None)
    attach_file(kept=kept, about=other, permission="jobs.view_work", at=at, by=None)
    attach_file(kept=kept, about=job.site, permission="jobs.view_work", at=at, by=None)
    assert list(attachments_of(job)) == [mine]
    remove_attachment(attachment_id=mine.pk, by=None, at=at)
    remove_attachment(attachment_id=mine.pk, by=None, at=at + HOUR)
    assert list(attachments_of(job)) == []
    assert Attachment.objects.get(pk=mine.pk).removed_at == at


@pytest.mark.django_db(transaction=True)
def test_the_sweep_takes_old_orphans_only(at: datetime) -> None:
    named, orphan, young = keep(), keep(data=PDF + b"2"), keep(data=PDF + b"3")
    for attachment in (orphan, young):
        Attachment.objects.filter(pk=attachment.pk).delete()
    for attachment in (named, orphan):
        set_age(attachment.digest, at, 7 * HOUR)
    set_age(young.digest, at, 5 * HOUR)
    assert sweep_orphans(at=at) == 1
    there = [path_of(found.digest).exists() for found in (named, orphan, young)]
    assert there == [True, False, True]


@pytest.mark.django_db(transaction=True)
def test_a_file_kept_again_is_young_again(at: datetime) -> None:
    kept = keep_file(data=PDF, name="a.pdf")
    set_age(kept.digest, at, 100 * HOUR)
    keep_file(data=PDF, name="a.pdf")  # its row is on its way
    assert path_of(kept.digest).stat().st_mtime > at.timestamp() - 6 * 3600


@pytest.mark.django_db(transaction=True)
def test_the_file_goes_when_its_last_row_was_taken_off(at: datetime) -> None:
    first, second = keep(), keep()
    set_age(first.digest, at, 7 * HOUR)
    remove_attachment(attachment_id=first.pk, by=None, at=at)
    assert sweep_orphans(at=at) == 0
    remove_attachment(attachment_id=second.pk, by=None, at=at)
    assert sweep_orphans(at=at) == 1


def test_a_firm_without_files_has_nothing_to_sweep(at: datetime) -> None:
    assert sweep_orphans(at=at) == 0


# -- serving -----------------------------------------------------------------------------------


@pytest.mark.django_db
def test_a_served_file_can_do_nothing_in_a_browser(office: Any, client_for: Log) -> None:
    attachment = keep(name="Einfahrt Süd.jpg", data=photo())
    answer = client_for(office).get(reverse("attachments:file", args=[attachment.uid]))
    assert answer.content == read_bytes(attachment)
    assert answer["Content-Type"] == "image/jpeg"
    # RFC 6266, 4.3: a name outside ASCII travels as filename*.
    assert answer["Content-Disposition"] == "inline; filename*=utf-8''Einfahrt%20S%C3%BCd.jpg"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in answer["Content-Security-Policy"]
    assert "default-src 'none'" in answer["Content-Security-Policy"]
    assert "script-src" not in answer["Content-Security-Policy"]
    assert "private" in answer["Cache-Control"]
    saved = client_for(office).get(
        reverse("attachments:file", args=[attachment.uid]), {"save": "1"}
    )
    assert saved["Content-Disposition"].startswith("attachment;")


@pytest.mark.django_db
def test_a_file_asks_for_the_verb_on_its_row(client_for: Log) -> None:
    url = reverse("attachments:file", args=[keep("jobs.see_billing").uid])
    assert client_for(make_user("crew")).get(url).status_code == 403
    assert client_for(make_user("accountant")).get(url).status_code == 200
    assert Client().get(url).status_code == 302


@pytest.mark.django_db
def test_a_file_whose_bytes_are_gone_is_not_there(office: Any, client_for: Log) -> None:
    attachment = keep()
    path_of(attachment.digest).unlink()
    url = reverse("attachments:file", args=[attachment.uid])
    assert client_for(office).get(url).status_code == 404


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(
    ("wanted", "then"),
    [
        ("/jobs/7/", "/jobs/7/"),
        ("https://bad.example/", "/today/"),
        ("//bad.example/", "/today/"),
        ("javascript:alert(1)", "/today/"),
        ("", "/today/"),
    ],
)
def test_taking_off_goes_back_to_a_page_of_ours(
    wanted: str, then: str, office: Any, client_for: Log
) -> None:
    url = reverse("attachments:remove", args=[keep().uid])
    answer = client_for(office).post(f"{url}?next={wanted}")
    assert answer.status_code == 302
    assert answer["Location"] == then


@pytest.mark.django_db
def test_what_one_may_not_see_one_may_not_take_off(office: Any, client_for: Log) -> None:
    url = reverse("attachments:remove", args=[keep("jobs.see_margin").uid])
    assert client_for(office).get(url).status_code == 404
