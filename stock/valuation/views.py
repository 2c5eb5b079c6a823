"""Worth at a day, turns, and dead stock: lists that a form at their head reckons."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property
from typing import Any, ClassVar

from django.urls import reverse

from jobs.kernel.charts import Bar, draw_bars
from jobs.kernel.clock import london_day
from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.money import ZERO
from stock.catalogue.enums import PlaceKind
from stock.valuation import queries
from stock.valuation.forms import DayForm, IdleForm, PeriodForm
from stock.valuation.rules import add_turns
from stock.valuation.tables import DeadTable, TurnTable, ValueTable

SEE = "jobs.see_margin"


class ReckonedList(RoomListView):
    """A list of rows that are reckoned, not read: searched by their `text`.

    What a form at its head cannot use gives no rows, and the sentence stands at the field.
    """

    permission = SEE
    form_class: ClassVar[Any] = None
    search_hint = "Item or place"

    @cached_property
    def form(self) -> Any:
        form = self.form_class(self.request.GET, today=london_day(self.request.now))
        form.is_valid()
        return form

    def reckon(self, **values: Any) -> list[Any]:
        """Return the rows for what the form says."""
        raise NotImplementedError

    @cached_property
    def rows(self) -> list[Any]:
        return [] if self.form.errors else self.reckon(**self.form.cleaned_data)

    def get_rows(self) -> Any:
        return self.rows

    def narrow(self, rows: Any) -> Any:
        words = self.request.GET.get("q", "").replace("\x00", "").lower().split()
        return [row for row in rows if all(word in row.text for word in words)]

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        context = super().get_context_data(form=self.form, **kwargs)
        return context | {"searchable": True, **self.get_figures()}

    def get_figures(self) -> dict[str, Any]:
        """Return what stands above the list."""
        return {}


class ValueList(ReckonedList):
    title = "Stock valuation"
    template_name = "stock/valuation/value.html"
    form_class = DayForm
    table_class = ValueTable
    actions = (
        Action("Turns", "valuation:turns", SEE, solid=False),
        Action("Dead stock", "valuation:dead", SEE, solid=False),
    )
    empty = "Nothing lay anywhere."

    def reckon(self, **values: Any) -> list[queries.ValueRow]:
        self.valuation = queries.value_at(values["on"], now=self.request.now)
        wanted = values["where"]
        return [row for row in self.valuation.rows if not wanted or row.place.kind == wanted]

    def get_figures(self) -> dict[str, Any]:
        if self.form.errors:
            return {}
        found = self.valuation
        return {
            "valuation": found,
            "in_bays": found.of_kind(PlaceKind.BAY),
            "in_vans": found.of_kind(PlaceKind.VAN),
            "bars": bars(queries.by_place(found), "Worth by place"),
        }


class TurnList(ReckonedList):
    title = "How often stock turns"
    template_name = "stock/valuation/turns.html"
    form_class = PeriodForm
    table_class = TurnTable
    actions = (Action("Valuation", "valuation:list", SEE, solid=False),)
    search_hint = "Item or kind"
    empty = "Nothing lay in the yard and nothing was issued in these days."

    def reckon(self, **values: Any) -> list[queries.ItemTurn]:
        return queries.item_turns(values["first"], values["last"])

    def get_figures(self) -> dict[str, Any]:
        if not self.rows:
            return {}
        turns = [row.turn for row in self.rows]
        return {
            "total": add_turns(turns, turns[0].days, len(turns[0].values)),
            "days": turns[0].days,
            "bars": bars(
                [(str(row.item), row.turn.mean) for row in self.rows[:8]], "Mean worth by item"
            ),
        }


class DeadList(ReckonedList):
    title = "Dead stock"
    template_name = "stock/valuation/dead.html"
    form_class = IdleForm
    table_class = DeadTable
    actions = (Action("Valuation", "valuation:list", SEE, solid=False),)
    search_hint = "Lot, run, batch or item"
    empty = "Everything in the yard was used within these days."

    def reckon(self, **values: Any) -> list[queries.DeadLot]:
        return queries.dead_stock(values["days"], now=self.request.now)

    def get_figures(self) -> dict[str, Any]:
        soon = [row for row in self.rows if row.days_left is not None and row.days_left <= 60]
        return {
            "worth": sum((row.value for row in self.rows), ZERO),
            "dying": sum((row.value for row in soon), ZERO),
            "yard_url": reverse("ledger:list"),
        }


def bars(pairs: Iterable[tuple[str, Any]], title: str) -> Any:
    """Draw amounts as bars; '' where there is nothing to draw."""
    rows = [Bar(name[:28], float(amount)) for name, amount in pairs if amount > 0]
    return draw_bars(rows, unit="£", title=title) if rows else ""
