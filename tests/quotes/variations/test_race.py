"""Two devices sign a variation at once: one signature, one budget. Only PostgreSQL shows it."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import datetime
from decimal import Decimal
from threading import Barrier
from typing import Any
from unittest.mock import patch

import pytest
from django.db import IntegrityError, connection
from django.db.models import QuerySet

from jobs.costing.models import CostEntry
from quotes.variations import services
from quotes.variations.models import VariationAnswer
from tests.quotes.variations.world import make_out

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]


def race(token: str, at: datetime) -> list[object]:
    start = Barrier(2)

    def one(name: str) -> object:
        start.wait(10)
        try:
            return services.accept(
                token=token, name=name, consents={"terms": True}, network_address=None,
                user_agent=name, at=at,
            ).pk  # fmt: skip
        except Exception as error:  # noqa: BLE001 - the control looks at what came of it
            return error
        finally:
            connection.close()

    with ThreadPoolExecutor(2) as pool:
        return list(pool.map(one, ("phone", "laptop")))


def test_two_devices_sign_once(at: datetime) -> None:
    variation, token = make_out()

    first, second = race(token, at)

    assert first == second
    assert VariationAnswer.objects.count() == 1
    posted = CostEntry.objects.filter(source="quotes.variation", source_id=variation.pk)
    assert sum(entry.amount for entry in posted) == Decimal("60.00")


def test_control_without_the_lock_one_of_them_breaks(at: datetime) -> None:
    """The same race, with the lock alone taken out, meets the unique key in some round."""

    def no_lock(self: QuerySet[Any], **kwargs: object) -> QuerySet[Any]:
        return self

    with patch.object(QuerySet, "select_for_update", no_lock):
        answers = [answer for _ in range(8) for answer in race(make_out()[1], at)]

    assert any(isinstance(answer, IntegrityError) for answer in answers)
