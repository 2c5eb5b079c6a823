"""Named reads of claims."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.db.models import Case, CharField, F, Q, QuerySet, Value, When

from stock.claims.enums import ClaimState

if TYPE_CHECKING:
    from stock.claims.models import Claim  # noqa: F401

# How a claim stands, by its columns; `Claim.state` says the same of one row.
STATES = {
    ClaimState.CLOSED: Q(closed_at__isnull=False),
    ClaimState.ANSWERED: Q(closed_at=None) & ~Q(answer=""),
    ClaimState.NOTIFIED: Q(closed_at=None, answer="", notified_at__isnull=False),
    ClaimState.OPEN: Q(closed_at=None, answer="", notified_at=None),
}


class ClaimQuerySet(QuerySet["Claim"]):
    """Reads of claims."""

    def going(self) -> ClaimQuerySet:
        """Keep those that are not closed."""
        return self.filter(closed_at=None)

    def standing(self, state: str) -> ClaimQuerySet:
        """Keep those that stand so."""
        return self.filter(STATES[ClaimState(state)])

    def for_list(self) -> ClaimQuerySet:
        """Return claims as lists show them, with `state_code`; the first deadline first."""
        return (
            self.select_related("goods_in__order__supplier", "opened_by")
            .annotate(
                state_code=Case(
                    *[When(how, then=Value(code.value)) for code, how in STATES.items()],
                    output_field=CharField(),
                ),
                left=F("credit_expected") - F("credit_received"),
            )
            .order_by(F("closed_at").asc(nulls_first=True), "notify_by", "pk")
        )

    def for_page(self) -> ClaimQuerySet:
        """Return claims with all that a claim's page shows."""
        return self.select_related(
            "goods_in__order__supplier", "opened_by", "closed_by"
        ).prefetch_related("lines__order_line__item", "lines__lot")
