"""Two devices accept at once: one acceptance, one budget. Only PostgreSQL can show the race."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import datetime
from threading import Barrier
from typing import Any
from unittest.mock import patch

import pytest
from django.db import IntegrityError, connection
from django.db.models import QuerySet

from jobs.billing.models import PaymentRequest
from jobs.costing.models import CostEntry
from quotes.acceptance import services
from quotes.acceptance.models import Acceptance
from tests.quotes.acceptance.world import YES, SentWorld, make_sent

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]


def race(sent: SentWorld, at: datetime) -> list[object]:
    start = Barrier(2)

    def one(name: str) -> object:
        start.wait(10)
        try:
            return services.accept(
                token=sent.token, name=name, consents=YES, options=[],
                network_address="203.0.113.9", user_agent=name, at=at,
            ).pk  # fmt: skip
        except Exception as error:  # noqa: BLE001 - the control looks at what came of it
            return error
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool:
        return list(pool.map(one, ("phone", "laptop")))


def test_two_devices_accept_once(at: datetime) -> None:
    sent = make_sent()

    first, second = race(sent, at)

    assert first == second
    assert Acceptance.objects.count() == 1
    assert PaymentRequest.objects.count() == 1
    total = sum(entry.amount for entry in CostEntry.objects.filter(kind="budget"))
    assert total == sent.revision.direct


def test_control_without_the_lock_one_of_them_breaks(at: datetime) -> None:
    """The same race, with the lock alone taken out, meets the unique key in some round."""

    def no_lock(self: QuerySet[Any], **kwargs: object) -> QuerySet[Any]:
        return self

    with patch.object(QuerySet, "select_for_update", no_lock):
        answers = [answer for _ in range(8) for answer in race(make_sent(), at)]

    assert any(isinstance(answer, IntegrityError) for answer in answers)
