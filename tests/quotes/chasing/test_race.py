"""Two workers look for reminders at once: the customer gets one. Only PostgreSQL shows the race."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta
from threading import Barrier

import pytest
from django.db import connection

from jobs.outbox.models import Message
from quotes.acceptance.models import QuoteLink
from quotes.chasing import services
from quotes.variations.models import VariationLink
from tests.quotes.acceptance.world import make_sent
from tests.quotes.variations.world import make_out

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]


def together(write: Callable[[], Message | None]) -> int:
    """Let four workers write at once; returns how many did."""
    start = Barrier(4)

    def one(_: int) -> bool:
        start.wait(10)
        try:
            return write() is not None
        finally:
            connection.close()

    with ThreadPoolExecutor(4) as pool:
        return sum(pool.map(one, range(4)))


def test_two_workers_write_one_reminder_of_a_variation(at: datetime) -> None:
    variation, _ = make_out()
    monday = at + timedelta(days=4, hours=1)

    assert together(lambda: services.chase_variation(variation_id=variation.pk, at=monday)) == 1
    assert Message.objects.filter(occasion__startswith="chase-variation:").count() == 1
    # One link for the variation, one for its reminder: the losers left none behind.
    assert VariationLink.objects.count() == 2


def test_two_workers_write_one_reminder(at: datetime) -> None:
    sent = make_sent()
    monday = at + timedelta(days=4, hours=1)

    assert together(lambda: services.chase(revision_id=sent.revision.pk, at=monday)) == 1
    assert Message.objects.filter(occasion__startswith="chase:").count() == 1
    # One link for the quote, one for its reminder: the losers left none behind.
    assert QuoteLink.objects.count() == 2
