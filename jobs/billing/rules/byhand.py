"""An invoice written line by line, outside any payment plan: the sums of its draft."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from jobs.billing.rules.invoices import InvoiceDraft, InvoiceLine
from jobs.billing.rules.vat import RateSum, code_of, vat_on
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO, round_line


@dataclass(frozen=True)
class HandLine:
    """One line as typed: words, how much of what, its price before VAT, its rate in per cent."""

    words: str
    quantity: Decimal
    unit: str
    unit_price: Decimal
    rate: Decimal

    @property
    def net(self) -> Decimal:
        """Quantity times price, in whole pence, half up."""
        return round_line(self.quantity * self.unit_price)


def nets_of(lines: Sequence[HandLine]) -> dict[Decimal, Decimal]:
    """Return the net of each rate."""
    found: dict[Decimal, Decimal] = {}
    for line in lines:
        found[line.rate] = found.get(line.rate, ZERO) + line.net
    return found


def draft_of(
    lines: Sequence[HandLine], *, reverse_charge: bool = False, note: str = ""
) -> InvoiceDraft:
    """Return what an invoice of these lines says; VAT on the total of each rate, half up.

    A line below nothing takes something off; what is left at each rate must not be below nothing.
    Refuses (ServiceError) no lines, a line without words, unit or quantity, a rate that there is
    not, and a total of nothing.
    """
    if not lines:
        raise ServiceError("Give at least one line with its words, quantity and price.")
    for line in lines:
        code_of(line.rate)
        if not line.words.strip() or not line.unit.strip() or line.quantity <= 0:
            raise ServiceError("Each line needs its words, a quantity above nothing and a unit.")
    nets = nets_of(lines)
    if min(nets.values()) < 0:
        raise ServiceError("What is taken off at a rate is more than there is at that rate.")
    totals = vat_on(nets)
    if totals.gross <= 0:
        raise ServiceError("The invoice comes to nothing; there is nothing to ask for.")
    rows = tuple(
        InvoiceLine(
            line.words.strip(), line.quantity, line.unit.strip(), line.unit_price, line.net,
            line.rate,
        )
        for line in lines
    )  # fmt: skip
    rates = tuple(
        RateSum(rate, net, ZERO if reverse_charge else vat) for rate, net, vat in totals.by_rate
    )
    return InvoiceDraft(rows, rates, reverse_charge, note=note)
