from __future__ import annotations

from typing import Any

import pytest
from django.core.paginator import EmptyPage

from jobs.customers.models import Customer
from jobs.kernel import paging
from jobs.kernel.paging import BoundedPaginator
from tests.factories import make_customer
from tests.jobs.kernel.pages import CustomerTable

pytestmark = pytest.mark.django_db


@pytest.fixture
def pages(monkeypatch: Any) -> BoundedPaginator:
    """Seven rows, two a page, counted up to four."""
    monkeypatch.setattr(paging, "COUNTED_UP_TO", 4)
    for number in range(7):
        make_customer(name=f"Customer {number}")
    return BoundedPaginator(CustomerTable(Customer.objects.order_by("pk")).rows, 2)


def test_rows_are_counted_up_to_the_bound(pages: BoundedPaginator) -> None:
    assert (pages.count, pages.num_pages, pages.is_more) == (4, 2, True)


def test_pages_beyond_the_bound_open_as_long_as_they_have_rows(pages: BoundedPaginator) -> None:
    shown = [[row.record.name[-1] for row in pages.page(number)] for number in (1, 2, 3, 4)]
    assert shown == [["0", "1"], ["2", "3"], ["4", "5"], ["6"]]
    assert [pages.page(number).has_next() for number in (1, 2, 3, 4)] == [True, True, True, False]
    assert (pages.page(4).start_index(), pages.page(4).end_index()) == (7, 7)
    with pytest.raises(EmptyPage):
        pages.page(5)


def test_few_rows_are_counted_as_ever(monkeypatch: Any) -> None:
    for number in range(3):
        make_customer(name=f"Customer {number}")
    pages = BoundedPaginator(CustomerTable(Customer.objects.order_by("pk")).rows, 2)
    assert (pages.count, pages.num_pages, pages.is_more) == (3, 2, False)
    assert (pages.page(2).has_next(), pages.page(2).end_index()) == (False, 3)
    with pytest.raises(EmptyPage):
        pages.page(3)


def test_no_row_of_ten_years_is_counted(
    pages: BoundedPaginator, django_assert_num_queries: Any
) -> None:
    with django_assert_num_queries(1) as caught:
        assert pages.is_more
    assert "LIMIT 5" in caught.captured_queries[0]["sql"]
