"""A backup holds everything and is put back as it was; a damaged one changes nothing."""

from __future__ import annotations

import json
import zipfile
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import IntegrityError, connection, transaction

from jobs.attachments.models import Attachment
from jobs.attachments.queries import read_bytes
from jobs.attachments.services import attach_file, keep_file
from jobs.audit.models import Event
from jobs.customers.models import Customer
from jobs.kernel import backup
from jobs.work.models import Job
from tests.factories import make_area, make_customer, make_job, make_lot, make_stone, make_survey

pytestmark = pytest.mark.django_db(transaction=True)
PDF = b"%PDF-1.7\nnot much of one"


def a_firm(at: datetime) -> Job:
    job = make_job()
    make_area(make_survey(job))
    make_lot(make_stone())
    kept = keep_file(data=PDF, name="order.pdf")
    attach_file(kept=kept, about=job, permission="jobs.view_work", at=at, by=None)
    return job


def snapshot() -> dict[str, list[dict[str, Any]]]:
    return {
        model._meta.label: list(model._base_manager.order_by("pk").values())
        for model in backup.backed_up_models()
    }


def test_restore_puts_back_every_row_and_file(at: datetime, tmp_path: Path) -> None:
    job = a_firm(at)
    before = snapshot()
    backup.write_backup(tmp_path / "firm.backup", at=at)
    make_customer(name="Came after the backup")
    for file in Path(str(tmp_path / "media")).glob("*/*"):
        file.unlink()

    call_command("restore", str(tmp_path / "firm.backup"), "--yes", verbosity=0)

    assert snapshot() == before
    assert read_bytes(Attachment.objects.get(about_id=job.pk)) == PDF
    # The append-only tables are guarded again, and new rows get new numbers.
    with pytest.raises(Exception, match="append-only"), transaction.atomic():
        Event.objects.update(verb="changed")
    assert make_customer().pk > max(row["id"] for row in before["jobs.Customer"])


def test_backup_refuses_an_existing_file(at: datetime, tmp_path: Path) -> None:
    (tmp_path / "firm.backup").write_text("mine")
    with pytest.raises(CommandError, match="exists already") as refused:
        call_command("backup", str(tmp_path / "firm.backup"))
    assert refused.value.returncode == 2
    assert (tmp_path / "firm.backup").read_text() == "mine"


def damaged(kind: str, good: Path, bad: Path) -> None:
    data = good.read_bytes()
    if kind == "cut":
        bad.write_bytes(data[: len(data) // 2])
    elif kind == "foreign":
        with zipfile.ZipFile(bad, "w") as archive:
            archive.writestr("hello.txt", "hello")
    elif kind == "empty":
        bad.write_bytes(b"")
    else:
        with zipfile.ZipFile(good) as old, zipfile.ZipFile(bad, "w") as new:
            for name in old.namelist():
                text = old.read(name)
                if kind == "row changed" and name == "rows/jobs.customer.jsonl":
                    text = text.replace(b"Customer", b"Somebody")
                if kind == "list changed" and name == "manifest.json":
                    listed = json.loads(text)
                    listed["members"]["rows/jobs.customer.jsonl"]["rows"] = 0
                    text = json.dumps(listed).encode()
                if kind == "row lost" and name == "rows/jobs.customer.jsonl":
                    continue
                new.writestr(name, text)


@pytest.mark.parametrize(
    "kind", ["cut", "foreign", "empty", "row changed", "list changed", "row lost"]
)
def test_a_damaged_backup_is_refused_and_changes_nothing(
    kind: str, at: datetime, tmp_path: Path
) -> None:
    a_firm(at)
    backup.write_backup(tmp_path / "good", at=at)
    damaged(kind, tmp_path / "good", tmp_path / "bad")
    make_customer(name="Still here")
    before = snapshot()

    with pytest.raises(CommandError) as refused:
        call_command("restore", str(tmp_path / "bad"), "--yes")

    assert refused.value.returncode == 2
    assert snapshot() == before


def test_a_failure_half_way_leaves_the_old_rows(
    at: datetime, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    a_firm(at)
    backup.write_backup(tmp_path / "good", at=at)
    make_customer(name="Still here")
    before = snapshot()

    def breaks(_models: object) -> None:
        raise IntegrityError("the disk is full")

    monkeypatch.setattr(backup, "_reset_sequences", breaks)
    with pytest.raises(IntegrityError):
        backup.restore_backup(tmp_path / "good")

    assert snapshot() == before
    assert Customer.objects.filter(name="Still here").exists()
    if connection.vendor == "sqlite":
        assert backup.applied_migrations() is not None


def test_restore_without_yes_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="--yes") as refused:
        call_command("restore", str(tmp_path / "any"))
    assert refused.value.returncode == 2
