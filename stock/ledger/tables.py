"""The yard's list and a lot's history."""

from __future__ import annotations

from typing import Any

import django_tables2 as tables
from django.urls import reverse

from jobs.kernel.clock import london_day, now
from jobs.kernel.tables import (
    DayColumn,
    FieldBookTable,
    MomentColumn,
    QuantityColumn,
    StateColumn,
    VerbColumn,
)
from stock.ledger.models import KeptBack, Lot, Movement
from stock.ledger.rules import pack_words


def lot_level(lot: Lot) -> str:
    """Return how a lot stands: stop when held or past its date, look in its last month."""
    today = london_day(now())
    if lot.status == "held" or (lot.expiry is not None and lot.expiry < today):
        return "stop"
    if lot.expiry is not None and (lot.expiry - today).days <= 30:
        return "look"
    return "ready"


class LotTable(FieldBookTable):
    """Lots with what of them is free, first expired first."""

    code = tables.Column(verbose_name="Lot", linkify=True)
    item = tables.Column(verbose_name="Item", order_by=("item__name",))
    run = tables.Column(verbose_name="Run or batch", empty_values=())
    on_hand = QuantityColumn(verbose_name="In the yard", unit="item__base_unit")
    packs = tables.Column(verbose_name="Packs", accessor="on_hand", orderable=False)
    reserved = QuantityColumn(verbose_name="Reserved", unit="item__base_unit")
    at_sites = QuantityColumn(verbose_name="At sites", unit="item__base_unit")
    expiry = DayColumn(verbose_name="Use by")
    status = StateColumn(
        verbose_name="State", accessor="get_status_display", order_by="status", level=lot_level
    )

    class Meta:
        model = Lot
        fields = (
            "code", "item", "run", "on_hand", "packs", "reserved", "at_sites", "expiry", "status",
        )  # fmt: skip

    def render_run(self, record: Lot) -> str:
        return record.run or "/".join(filter(None, [record.batch_a, record.batch_b])) or "–"

    def render_packs(self, value: int, record: Lot) -> str:
        return pack_words(value, record.item.pack_quantity, record.item.pack_name)


class MovementTable(FieldBookTable):
    """What happened to a lot."""

    # The posting's page undoes it.
    at = MomentColumn(
        verbose_name="When", accessor="posting__at",
        linkify=lambda record: reverse("movements:detail", args=[record.posting_id]),
    )  # fmt: skip
    kind = tables.Column(verbose_name="What", accessor="posting__get_kind_display")
    quantity = tables.Column(
        verbose_name="How much", attrs={"td": {"class": "num"}, "th": {"class": "num"}}
    )
    from_place = tables.Column(verbose_name="From")
    to_place = tables.Column(verbose_name="To")
    job = tables.Column(verbose_name="Job", accessor="posting__job__reference")
    reason = tables.Column(verbose_name="Why", accessor="posting__reason")
    by = tables.Column(verbose_name="By", accessor="posting__by")

    class Meta:
        model = Movement
        fields = ("at", "kind", "quantity", "from_place", "to_place", "job", "reason", "by")
        orderable = False

    def __init__(self, *args: Any, lot: Lot, **kwargs: Any) -> None:
        self.lot = lot
        super().__init__(*args, **kwargs)

    def render_quantity(self, value: int) -> str:
        return pack_words(value, self.lot.item.pack_quantity, self.lot.item.pack_name)


class KeptBackTable(FieldBookTable):
    """What is kept for call-backs, the earliest day first."""

    lot = tables.Column(verbose_name="Lot", linkify=True)
    item = tables.Column(verbose_name="Item", accessor="lot__item", order_by=("lot__item__name",))
    run = tables.Column(verbose_name="Run", accessor="lot__run")
    quantity = QuantityColumn(verbose_name="How much", unit="lot__item__base_unit")
    job = tables.Column(verbose_name="For job", accessor="job__reference")
    site = tables.Column(verbose_name="Site", accessor="job__site", orderable=False)
    until = DayColumn(verbose_name="Until")
    note = tables.Column(verbose_name="Remark", accessor="note")
    released = tables.Column(verbose_name="Released because", accessor="released_because")
    step = VerbColumn(
        "release",
        url=lambda row: "" if row.released_at else reverse("ledger:release_kept", args=[row.pk]),
    )
    longer = VerbColumn(
        "keep longer",
        url=lambda row: "" if row.released_at else reverse("ledger:extend_kept", args=[row.pk]),
    )

    class Meta:
        model = KeptBack
        fields = (
            "lot", "item", "run", "quantity", "job", "site", "until", "note", "released", "longer",
            "step",
        )  # fmt: skip
