"""Pages of lists that grow for ever: rows are counted up to a bound, never all of them.

Counting reads every row, so that a list would get slower each year; a page of it need not.
"""

from __future__ import annotations

from functools import cached_property
from typing import Any

from django.core.paginator import EmptyPage, Page, Paginator

COUNTED_UP_TO = 1000


class BoundedPage(Page[Any]):
    """A page that knows whether there are further rows, even where nobody counted them."""

    paginator: BoundedPaginator

    def has_next(self) -> bool:
        if not self.paginator.is_more:
            return super().has_next()
        return self.paginator.has_row(self.number * self.paginator.per_page)

    def end_index(self) -> int:
        if not self.paginator.is_more:
            return super().end_index()
        return self.start_index() + len(self.object_list) - 1


class BoundedPaginator(Paginator[Any]):
    """Pages of a table's rows (of a QuerySet); `is_more` where there are more than the bound.

    Then `count` is the bound, `num_pages` the pages up to it, and later pages can still be opened
    as long as they have rows; each of those costs one query more.
    """

    def _rows(self) -> Any:
        table_rows: Any = self.object_list
        return table_rows.data.data

    @cached_property
    def _found(self) -> int:
        return int(self._rows().order_by().values("pk")[: COUNTED_UP_TO + 1].count())

    @cached_property
    def count(self) -> int:
        """How many rows there are, or the bound."""
        return min(self._found, COUNTED_UP_TO)

    @property
    def is_more(self) -> bool:
        """Whether there are more rows than were counted."""
        return self._found > COUNTED_UP_TO

    def has_row(self, place: int) -> bool:
        """Return whether there is a row at a place, counted from nought."""
        return place < self._found or (
            self.is_more and self._rows().values("pk")[place : place + 1].exists()
        )

    def validate_number(self, number: Any) -> int:
        if not self.is_more:
            return super().validate_number(number)
        if not self.has_row((int(number) - 1) * self.per_page):
            raise EmptyPage("That page has no rows.")
        return int(number)

    def page(self, number: Any) -> BoundedPage:
        number = self.validate_number(number)
        bottom = (number - 1) * self.per_page
        return self._get_page(self.object_list[bottom : bottom + self.per_page], number, self)

    def _get_page(self, *args: Any, **kwargs: Any) -> BoundedPage:
        return BoundedPage(*args, **kwargs)
