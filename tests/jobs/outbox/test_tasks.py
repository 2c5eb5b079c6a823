"""The bell rings after commit, and a real worker sends; the sweep finds what no bell told."""

from __future__ import annotations

import time
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from celery.contrib.testing.worker import start_worker
from django.db import transaction

from config.celery import app
from jobs.kernel.clock import now
from jobs.kernel.models import TaskRun
from jobs.outbox.models import Message
from jobs.outbox.services import post_message
from tests.factories import numbers

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def worker(settings: Any) -> Iterator[None]:
    """A worker on the broker in memory, with the tasks as the settings name them."""
    settings.EMAIL_BACKEND = "jobs.outbox.filemail.EmailBackend"
    before = app.conf.broker_url
    app.conf.update(broker_url="memory://")
    try:
        with start_worker(app, perform_ping_check=False, pool="solo"):
            yield
    finally:
        app.conf.update(broker_url=before)


def write() -> Message:
    return post_message(
        occasion=f"test:{next(numbers)}", audience="staff", to="bea@firm.example",
        subject="Cut-off", body="Order by 11:45.", at=now() - timedelta(seconds=1),
    )  # fmt: skip


def comes_true(question: Any, seconds: float = 8) -> bool:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if question():
            return True
        time.sleep(0.05)
    return False


def test_a_committed_message_is_sent_by_a_worker(worker: None, settings: Any) -> None:
    with transaction.atomic():
        message = write()
    assert comes_true(lambda: Message.objects.get(pk=message.pk).state == "sent")
    assert len(list(Path(settings.EMAIL_FILE_PATH).glob("*.eml"))) == 1


def test_a_message_that_was_rolled_back_rings_no_bell(worker: None, settings: Any) -> None:
    with transaction.atomic():
        write()
        transaction.set_rollback(True)
    with transaction.atomic():
        kept = write()
    assert comes_true(lambda: Message.objects.get(pk=kept.pk).state == "sent")
    assert Message.objects.count() == 1
    assert len(list(Path(settings.EMAIL_FILE_PATH).glob("*.eml"))) == 1


def test_the_sweep_sends_what_no_bell_told_and_notes_its_run(worker: None) -> None:
    lost = Message.objects.create(
        occasion="lost", audience="staff", to="bea@firm.example", subject="s", body="b",
        due_at=now(), created_at=now(),
    )  # fmt: skip
    app.send_task("jobs.outbox.sweep")
    assert comes_true(lambda: TaskRun.objects.filter(finished_at__isnull=False).exists())
    assert Message.objects.get(pk=lost.pk).state == "sent"
    assert TaskRun.objects.get(name="jobs.outbox.sweep").outcome == "1 sent"
