"""Two people write the same to a customer at once: one message. Only PostgreSQL shows the race."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from threading import Barrier
from typing import Any

import pytest
from django.db import connection

from jobs.kernel.errors import ServiceError
from jobs.messages import services
from jobs.messages.models import CustomerMessage
from jobs.outbox.models import Message
from jobs.work.models import Job
from tests.jobs.messages.world import make_told_job, send

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]


def write_at_once(job: Job) -> int:
    """Four people press Send with the same words; returns how many messages were written."""
    start = Barrier(4)

    def one(_: int) -> bool:
        start.wait(10)
        try:
            send(job, "car")
        except ServiceError:
            return False
        finally:
            connection.close()
        return True

    with ThreadPoolExecutor(4) as pool:
        return sum(pool.map(one, range(4)))


def test_the_same_words_of_several_people_go_once() -> None:
    assert write_at_once(make_told_job()) == 1
    assert CustomerMessage.objects.count() == Message.objects.count() == 1


def test_without_the_jobs_lock_they_would_go_twice(monkeypatch: Any) -> None:
    """The control differs in one thing: the job is read without its lock, and all look first."""
    looked = Barrier(4)
    looks = services._refuse_twice

    def unlocked(job_id: int) -> Job:
        job: Job = Job.objects.select_related("customer", "site").get(pk=job_id)
        return job

    def look_together(*given: Any) -> None:
        looks(*given)
        looked.wait(10)

    monkeypatch.setattr(services, "_locked_job", unlocked)
    monkeypatch.setattr(services, "_refuse_twice", look_together)
    assert write_at_once(make_told_job()) == 4
