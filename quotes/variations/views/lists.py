"""The firm's list of variations."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet

from jobs.kernel.lists import Action, RoomListView
from quotes.variations import queries
from quotes.variations.filters import VariationFilter
from quotes.variations.tables import VariationTable
from quotes.variations.views.office import SEE


class VariationList(RoomListView):
    """Every variation of the firm: what is open, what was accepted, and what became of the rest."""

    permission = SEE
    title = "Variations"
    intro = "changes of accepted quotes"
    table_class = VariationTable
    filterset_class = VariationFilter
    search_fields = (
        "title", "revision__quote__reference", "revision__quote__job__reference",
        "revision__quote__job__title", "revision__quote__job__customer__name",
        "revision__quote__job__site__address",
    )  # fmt: skip
    search_hint = "what changes, reference, job, customer or address"
    actions = (Action("Quotes", "quoting:list", SEE, solid=False),)
    empty = "No variations yet. One is started on the page of a job whose quote was accepted."

    def get_rows(self) -> QuerySet[Any]:
        return queries.variations_listed()
