"""Named reads of reorder suggestions."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db.models import QuerySet

if TYPE_CHECKING:
    from stock.reorder.models import ReorderRun, Suggestion  # noqa: F401


class SuggestionQuerySet(QuerySet["Suggestion"]):
    """Reads of suggestions."""

    def of_run(self, run: ReorderRun | None) -> SuggestionQuerySet:
        """Keep those of one day's reckoning; none where there was none."""
        return self.filter(run=run) if run is not None else self.none()

    def for_list(self) -> SuggestionQuerySet:
        """Return suggestions as the list shows them."""
        return self.select_related("item", "supplier", "channel", "job__site", "run").order_by(
            "state", "order_by", "pk"
        )
