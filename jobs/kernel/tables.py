"""Columns of the field book: figures aligned on the point, sums ruled, states with a shape.

Every column knows how it is read on the page (`render`) and what a file gets (`value`: the bare
figure or day, never the page's typography).
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime
from decimal import Decimal
from typing import Any

import django_tables2 as tables
from django.core.exceptions import FieldError
from django.core.paginator import EmptyPage
from django.db.models import QuerySet, Sum
from django.http import HttpRequest
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django_tables2.utils import A

from jobs.kernel import clock
from jobs.kernel.templatetags import firm

PER_PAGE = 25
NUMERIC = {"th": {"class": "num"}, "td": {"class": "num"}, "tf": {"class": "num"}}


class FieldBookTable(tables.Table):
    """The base of a room's tables: the field book's template, '–' where there is nothing.

    A room's own `class Meta` need not inherit anything. With a `request`, for a table within a
    page, it is paged by the request's page number; of the page's size the address says nothing.
    """

    def __init__(self, *args: Any, request: HttpRequest | None = None, **kwargs: Any) -> None:
        kwargs.setdefault("template_name", "django_tables2/fieldbook.html")
        kwargs.setdefault("default", firm.DASH)
        for name, column in self.base_columns.items():
            said = f"{name} {column.accessor} {column.order_by}"
            if "reference" in said or name in {"number", "code"}:
                # A job's or paper's reference is one word, whatever hyphens it has.
                column.attrs = {**column.attrs, "td": {"class": "nowrap"}}
        super().__init__(*args, **kwargs)
        if request is not None:
            self.request = request
            self.turn_to(request.GET.get(self.prefixed_page_field, ""))

    def turn_to(self, typed: str) -> None:
        """Show a page by its typed number, the first where there is no such page."""
        try:
            self.paginate(page=int(typed or 1), per_page=PER_PAGE)
        except (ValueError, EmptyPage):
            self.paginate(page=1, per_page=PER_PAGE)


class FigureColumn(tables.Column):
    """A figure: `places` fixes the digits after the point, `unit` follows it, `total` sums below.

    The total covers all the rows of the list, not only the page that is shown.
    """

    def __init__(
        self, *, places: int | None = None, unit: str = "", total: bool = False, **kwargs: Any
    ) -> None:
        self.places = places
        self.unit = unit
        kwargs.setdefault("attrs", NUMERIC)
        if total:
            kwargs["footer"] = self.write_total
        super().__init__(**kwargs)

    def write(self, value: Any) -> str:
        """Return the figure as the page shows it."""
        text = firm.figure(value, "" if self.places is None else self.places)
        return f"{text}{firm.THIN}{self.unit}" if self.unit and text != firm.DASH else text

    def write_total(self, table: Any, bound_column: Any) -> str:
        """Return the sum over all rows, written as the figures above it."""
        return self.write(sum_of(table.data.data, str(bound_column.accessor)))

    def render(self, value: Any) -> str:
        return self.write(value)

    def value(self, value: Any) -> Any:
        return value


class MoneyColumn(FigureColumn):
    """Pounds and pence; `sign` writes the plus of a difference."""

    def __init__(self, *, sign: bool = False, **kwargs: Any) -> None:
        self.sign = sign
        super().__init__(**kwargs)

    def write(self, value: Any) -> str:
        return firm.signed_money(value) if self.sign else firm.money(value)


class QuantityColumn(tables.Column):
    """A stock quantity in its base unit, written as people read it (kg, l, m, bags).

    `unit` is the accessor of the base unit on the row.
    """

    def __init__(self, *, unit: str, **kwargs: Any) -> None:
        self.unit = unit
        kwargs.setdefault("attrs", NUMERIC)
        super().__init__(**kwargs)

    def render(self, value: Any, record: Any) -> str:
        return firm.base_quantity(value, str(A(self.unit).resolve(record, quiet=True) or ""))

    def value(self, value: Any) -> Any:
        return value


class DayColumn(tables.Column):
    """A day: 'Tue 19 May 2026'; `year=False` leaves the year out."""

    def __init__(self, *, year: bool = True, **kwargs: Any) -> None:
        self.year = year
        kwargs.setdefault("attrs", {"td": {"class": "when"}})
        super().__init__(**kwargs)

    def render(self, value: Any) -> str:
        return firm.day_year(value) if self.year else firm.day(value)

    def value(self, value: Any) -> date | None:
        return clock.london_day(value) if isinstance(value, datetime) else value


class MomentColumn(tables.Column):
    """An instant on London's clock: 'Tue 19 May 2026, 11:45'."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("attrs", {"td": {"class": "when"}})
        super().__init__(**kwargs)

    def render(self, value: Any) -> str:
        return f"{firm.day_year(value)}, {firm.wall(value)}"

    def value(self, value: Any) -> Any:
        return value


class StateColumn(tables.Column):
    """A state as a word with its shape: ● ready, ▲ look, ■ stop.

    `level` is an accessor on the row or a function of it, and gives any word the `level` filter
    knows; a state without a level is written as a plain word. The word is the cell's value (a
    choice's label).
    """

    def __init__(self, *, level: str | Callable[[Any], str] = "", **kwargs: Any) -> None:
        self.level = level
        super().__init__(**kwargs)

    def render(self, value: Any, record: Any) -> SafeString:
        return state_word(self.level_of(record), value)

    def value(self, value: Any) -> Any:
        return value

    def level_of(self, record: Any) -> str:
        """Return the level's word for a row; '' for a plain state."""
        if callable(self.level):
            return self.level(record)
        return str(A(self.level).resolve(record, quiet=True) or "") if self.level else ""


class VerbColumn(tables.Column):
    """The one thing to do with a row, as a link in words; it is left out of files.

    `url` is a function of the row; where it gives '' there is nothing to do. `word` may be a
    function of the row too.
    """

    def __init__(
        self, word: str | Callable[[Any], str], *, url: Callable[[Any], str], **kwargs: Any
    ) -> None:
        self.word = word
        self.url = url
        kwargs.setdefault("verbose_name", "")
        super().__init__(
            empty_values=(), orderable=False, exclude_from_export=True,
            attrs={"td": {"class": "verb"}}, **kwargs,
        )  # fmt: skip

    @property
    def header(self) -> SafeString:
        return format_html('<span class="unseen">{}</span>', "Next step")

    def render(self, record: Any) -> SafeString | str:
        url = self.url(record)
        if not url:
            return ""
        word = self.word(record) if callable(self.word) else self.word
        return format_html('<a href="{}">{}</a>', url, word)


def state_word(level: object, word: object) -> SafeString:
    """Return a state's word with its shape, as `elements/state.html` draws it."""
    name = firm.level(level)
    if not name:
        return format_html('<span class="state">{}</span>', word)
    return format_html(
        '<span class="state {}"><span aria-hidden="true">{}</span> {}</span>',
        name, firm.mark(name), word,
    )  # fmt: skip


def sum_of(rows: Any, accessor: str) -> Decimal | int:
    """Return the sum of one column over all rows, by the database where it can add it."""
    if isinstance(rows, QuerySet):
        try:
            total: Decimal | int | None = rows.order_by().aggregate(total=Sum(accessor))["total"]
        except FieldError:
            pass  # a property of the row: added in Python below
        else:
            return total or 0
    values = (A(accessor).resolve(row, quiet=True) for row in rows)
    added: Decimal | int = sum((value for value in values if value is not None), start=0)
    return added
