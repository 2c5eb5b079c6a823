"""What dies unused, while there is time to use it elsewhere."""

from __future__ import annotations

from typing import Any

from jobs.kernel.clock import london_day
from jobs.kernel.lists import RoomListView
from stock.movements import queries
from stock.movements.filters import DyingFilter
from stock.movements.tables import DyingTable
from stock.movements.views.postings import SEE


class DyingList(RoomListView):
    permission = SEE
    title = "Use first"
    table_class = DyingTable
    filterset_class = DyingFilter
    search_fields = ("code", "batch_a", "batch_b", "run", "item__name", "item__code")
    search_hint = "Lot, batch, run or item"
    empty = "Nothing that is free dies within this time."

    def get_rows(self) -> Any:
        return queries.dying_for_list()

    def get_table_kwargs(self) -> dict[str, Any]:
        today = london_day(self.request.now)
        return super().get_table_kwargs() | {"today": today}
