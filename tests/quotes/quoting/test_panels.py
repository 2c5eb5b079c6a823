"""What today needs of quotes."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest

from quotes.quoting.models import Revision
from quotes.quoting.panels import quotes_to_see_to
from tests.quotes.world import make_quote_world

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(("days", "shown"), [(24, 0), (25, 1), (30, 1), (31, 0)])
def test_a_quote_near_its_last_day_is_shown(
    days: int, shown: int, owner: Any, at: datetime
) -> None:
    make_quote_world().send()  # it holds thirty days

    entries = list(quotes_to_see_to(owner, at + timedelta(days=days)))

    assert len(entries) == shown


def test_a_declined_quote_is_shown_until_the_job_is_closed(owner: Any, at: datetime) -> None:
    world = make_quote_world()
    revision = world.send()
    Revision.objects.filter(pk=revision.pk).update(state="declined", closed_at=at)

    entries = list(quotes_to_see_to(owner, at))

    assert [entry.title for entry in entries] == [
        f"{world.job.title}: quote Q-2026-0001 was declined"
    ]


@pytest.mark.parametrize("count", [1, 3])
def test_any_number_of_quotes_is_one_query(
    count: int, owner: Any, at: datetime, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        make_quote_world().send()

    with django_assert_num_queries(1):
        entries = list(quotes_to_see_to(owner, at + timedelta(days=29)))

    assert len(entries) == count
