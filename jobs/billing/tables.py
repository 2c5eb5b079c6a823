"""The list of requests for payment."""

from __future__ import annotations

import django_tables2 as tables

from jobs.billing.models import PaymentRequest
from jobs.kernel.tables import DayColumn, FieldBookTable, MoneyColumn, StateColumn, VerbColumn


def state_of(request: PaymentRequest) -> tuple[str, str]:
    """Return (level, word) of a request."""
    if request.withdrawn_at is not None:
        return "", "withdrawn"
    if request.is_settled:
        return "ready", "received"
    return "look", "part received" if request.received else "open"


class RequestTable(FieldBookTable):
    reference = tables.Column(verbose_name="Request", footer="in all")
    job = tables.Column(verbose_name="Job", order_by=("job__reference",))
    kind = tables.Column(verbose_name="For")
    amount = MoneyColumn(verbose_name="With VAT", total=True)
    received = MoneyColumn(verbose_name="Received", total=True)
    due_on = DayColumn(verbose_name="Due")
    state = StateColumn(
        verbose_name="State",
        accessor="pk",
        orderable=False,
        level=lambda row: state_of(row)[0],
    )
    open = VerbColumn("open", url=lambda row: row.get_absolute_url())

    class Meta:
        model = PaymentRequest
        fields = ("reference", "job", "kind", "amount", "received", "due_on", "state", "open")

    def render_state(self, record: PaymentRequest) -> object:
        return self.columns["state"].column.render(state_of(record)[1], record)

    def value_state(self, record: PaymentRequest) -> str:
        return state_of(record)[1]
