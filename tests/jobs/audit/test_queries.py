"""The trail of one row."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest

from jobs.audit.queries import trail_of
from jobs.customers.services import archive_customer, change_customer
from tests.factories import make_customer


@pytest.mark.django_db
def test_the_trail_is_the_rows_own_newest_first(
    owner: Any, at: datetime, django_assert_num_queries: Any
) -> None:
    customer, other = make_customer(), make_customer()
    change_customer(customer_id=customer.pk, version=1, terms_days=30, by=owner, at=at)
    change_customer(customer_id=other.pk, version=1, terms_days=30, by=owner, at=at)
    archive_customer(customer_id=customer.pk, by=None, at=at + timedelta(hours=1))
    with django_assert_num_queries(1):
        last, first = trail_of(customer)
    assert (last.words, last.by) == ("put away", None)
    assert (first.words, first.by, first.fields) == ("changed", owner, "terms days")
