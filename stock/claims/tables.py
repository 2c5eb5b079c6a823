"""The list of claims."""

from __future__ import annotations

import django_tables2 as tables

from jobs.kernel.tables import DayColumn, FieldBookTable, MoneyColumn, StateColumn
from stock.claims.enums import ClaimState
from stock.claims.models import Claim

LEVELS = {
    ClaimState.OPEN: "stop", ClaimState.NOTIFIED: "look", ClaimState.ANSWERED: "look",
    ClaimState.CLOSED: "ready",
}  # fmt: skip


class ClaimTable(FieldBookTable):
    """Claims, those that are going first."""

    reference = tables.Column(verbose_name="Claim", linkify=True, footer="in all")
    supplier = tables.Column(
        verbose_name="Supplier", accessor="goods_in__order__supplier",
        order_by="goods_in__order__supplier__name",
    )  # fmt: skip
    order = tables.Column(verbose_name="Order", accessor="goods_in__order__reference")
    against = tables.Column(verbose_name="Against", accessor="get_against_display")
    what = tables.Column(verbose_name="What")
    state = StateColumn(
        verbose_name="State", accessor="state__label", order_by="state_code",
        level=lambda row: LEVELS[row.state],
    )  # fmt: skip
    notify_by = DayColumn(verbose_name="Tell them by")
    expected = MoneyColumn(verbose_name="Expected", accessor="credit_expected", total=True)
    received = MoneyColumn(verbose_name="Came", accessor="credit_received", total=True)
    difference = MoneyColumn(verbose_name="To come", order_by="left")

    class Meta:
        model = Claim
        fields = (
            "reference", "supplier", "order", "against", "what", "state", "notify_by", "expected",
            "received", "difference",
        )  # fmt: skip
