"""The next step of a job that was won: a crew, until it is booked to be laid."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from tests.factories import make_booking, make_job

pytestmark = pytest.mark.django_db
STEP = "Next: book the crew"


def page(client: Client, job: Any) -> str:
    return client.get(job.get_absolute_url()).content.decode()


def test_a_won_job_asks_for_its_crew(office: Any, client_for: Callable[[Any], Client]) -> None:
    client, job = client_for(office), make_job(stage="won")
    assert STEP in page(client, job)
    make_booking(job, "prepare")
    assert STEP in page(client, job)
    make_booking(job, "lay")
    assert STEP not in page(client, job)


def test_nobody_who_cannot_book_is_asked(
    storeman: Any, client_for: Callable[[Any], Client]
) -> None:
    assert STEP not in page(client_for(storeman), make_job(stage="won"))
