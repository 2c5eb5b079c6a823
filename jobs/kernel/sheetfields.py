"""Cells of a sheet: how a figure, a day, a choice or a known row is written, with our sentences.

Widgets for django-import-export: `read(text)` returns the value or raises ValueError with a
sentence that says what would be accepted; `write(value)` writes it so that it can be read again.
"""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal, InvalidOperation
from typing import Any

from django.db.models import Model, TextChoices
from import_export.fields import Field
from import_export.widgets import Widget

YES, NO = {"yes", "y", "true", "1", "x"}, {"no", "n", "false", "0", ""}
LARGEST = Decimal(10) ** 12


class Cell(Widget):
    """One kind of cell; the library's `clean` and `render` in our words."""

    def read(self, text: str) -> Any:
        """Return the value of a cell's text, which has no spaces around it."""
        return text

    def write(self, value: Any) -> Any:
        """Return what stands in the cell for a value other than None."""
        return str(value)

    def clean(self, value: Any, row: Any = None, **_: Any) -> Any:  # noqa: ARG002 - the library's
        """Return the value of a cell."""
        return self.read(str("" if value is None else value).strip())

    def render(self, value: Any, obj: Any = None, **_: Any) -> Any:  # noqa: ARG002 - the library's
        """Return the cell of a value."""
        return "" if value is None else self.write(value)


def column(head: str, attribute: str, cell: Cell, **options: Any) -> Field:
    """Return a column named `head` that holds `attribute` (dotted by `__` where only shown)."""
    return Field(column_name=head, attribute=attribute, widget=cell, **options)


class Words(Cell):
    """Text; `needed` refuses an empty cell."""

    def __init__(self, *, needed: bool = False, most: int = 200) -> None:
        super().__init__()
        self.needed, self.most = needed, most

    def read(self, text: str) -> str:
        if self.needed and not text:
            raise ValueError("Fill this in.")
        if len(text) > self.most:
            raise ValueError(f"At most {self.most} characters; this has {len(text)}.")
        return text


class Figure(Cell):
    """A decimal figure with so many places, within limits; '1,234.5' and '£12' are read too.

    An empty cell is `default`, or refused where that is None.
    """

    def __init__(
        self,
        *,
        places: int = 2,
        least: Decimal | int | None = 0,
        most: Decimal | int = LARGEST,
        default: Decimal | None = None,
    ) -> None:
        super().__init__()
        self.places, self.least, self.most, self.default = places, least, most, default

    def read(self, text: str) -> Any:
        bare = text.lstrip("£").replace(",", "").replace("\u2212", "-")
        if not bare:
            if self.default is None:
                raise ValueError("Give a figure, like 12.50.")
            return self.default
        try:
            figure = Decimal(bare)
        except InvalidOperation:
            raise ValueError(f"'{text}' is no figure; write it like 12.50.") from None
        if not figure.is_finite() or abs(figure) > self.most:
            raise ValueError(f"'{text}' is too large; at most {self.most:f}.")
        if self.least is not None and figure < self.least:
            raise ValueError(f"'{text}' is too small; at least {self.least}.")
        if figure != round(figure, self.places):
            raise ValueError(f"'{text}' has more than {self.places} places after the point.")
        return figure

    def write(self, value: Any) -> Any:
        text = f"{Decimal(value):f}"
        return Decimal(text.rstrip("0").rstrip(".") if "." in text else text)


class Whole(Figure):
    """A whole number within limits."""

    def __init__(
        self, *, least: int = 0, most: int = 2_000_000_000, default: int | None = None
    ) -> None:
        empty = None if default is None else Decimal(default)
        super().__init__(places=0, least=least, most=most, default=empty)

    def read(self, text: str) -> int:
        return int(super().read(text))

    def write(self, value: Any) -> int:
        return int(value)


class Day(Cell):
    """A day as 2026-05-14 or 14/05/2026."""

    def read(self, text: str) -> date:
        for form in ("%Y-%m-%d", "%d/%m/%Y", "%d.%m.%Y"):
            try:
                return datetime.strptime(text, form).date()  # noqa: DTZ007 - a day has no zone
            except ValueError:
                continue
        raise ValueError(f"'{text}' is no day; write it like 2026-05-14 or 14/05/2026.")

    def write(self, value: Any) -> str:
        return str(value.isoformat())


class YesNo(Cell):
    """Yes or no; an empty cell is no."""

    def read(self, text: str) -> bool:
        if text.lower() not in YES | NO:
            raise ValueError(f"'{text}' is neither yes nor no.")
        return text.lower() in YES

    def write(self, value: Any) -> str:
        return "yes" if value else "no"


class Choice(Cell):
    """One of a list, by its word as the pages show it, or by its short code."""

    def __init__(self, choices: type[TextChoices], *, default: str = "") -> None:
        super().__init__()
        self.choices, self.default = choices, default

    def read(self, text: str) -> str:
        wanted = text.lower() or self.default.lower()
        for code, label in self.choices.choices:
            if wanted in {str(code).lower(), str(label).lower()}:
                return str(code)
        words = ", ".join(str(label) for label in self.choices.labels)
        raise ValueError(f"'{text}' is not one of: {words}.")

    def write(self, value: Any) -> str:
        return str(self.choices(value).label) if value else ""


class Known(Cell):
    """A row of another table, named by one of its columns; the table is read once a file."""

    def __init__(self, model: type[Model], by: str, *, needed: bool = True, what: str = "") -> None:
        super().__init__()
        self.model, self.by, self.needed = model, by, needed
        self.what = what or str(model._meta.verbose_name)
        # A resource copies its columns for each file, and this with them.
        self.rows: dict[str, Any] | None = None

    def read(self, text: str) -> Any:
        if not text and not self.needed:
            return None
        if self.rows is None:
            every = self.model._base_manager.all()  # noqa: SLF001 - documented; archived ones too
            self.rows = {str(getattr(each, self.by)).lower(): each for each in every}
        found = self.rows.get(text.lower())
        if found is None:
            raise ValueError(f"There is no {self.what} '{text}'.")
        return found

    def write(self, value: Any) -> str:
        return str(getattr(value, self.by))
