"""Two workers look for reminders at once: the customer gets one. Only PostgreSQL shows the race."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import datetime, timedelta
from threading import Barrier

import pytest
from django.db import connection

from jobs.outbox.models import Message
from quotes.acceptance.models import QuoteLink
from quotes.chasing import services
from tests.quotes.acceptance.world import make_sent

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]


def test_two_workers_write_one_reminder(at: datetime) -> None:
    sent = make_sent()
    monday = at + timedelta(days=4, hours=1)
    start = Barrier(4)

    def one(_: int) -> object:
        start.wait(10)
        try:
            found = services.chase(revision_id=sent.revision.pk, at=monday)
            return found and found.pk
        finally:
            connection.close()

    with ThreadPoolExecutor(4) as pool:
        found = list(pool.map(one, range(4)))

    assert sum(answer is not None for answer in found) == 1
    assert Message.objects.filter(occasion__startswith="chase:").count() == 1
    # One link for the quote, one for its reminder: the losers left none behind.
    assert QuoteLink.objects.count() == 2
