"""What the customer gets of a variation, as plain values; no cost and no margin is in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from datetime import date, datetime
from decimal import Decimal
from typing import Any

SCHEMA = 1
MONEY = ("net", "vat", "gross", "vat_percent", "before", "after")


@dataclass(frozen=True)
class ChangedLine:
    """One line: `net` and `gross` are signed; the gross of all lines adds up to the change."""

    words: str
    quantity: Decimal | None
    unit: str
    net: Decimal
    gross: Decimal
    kind: str


@dataclass(frozen=True)
class VariationSheet:
    """A variation as it leaves the firm; `before` and `after` are the job's price with VAT."""

    firm: str
    firm_email: str
    reference: str
    label: str
    day: date
    valid_until: date
    customer: str
    customer_address: str
    site: str
    job_reference: str
    job_title: str
    title: str
    order_number: str
    consumer: bool
    words: str
    lines: tuple[ChangedLine, ...]
    net: Decimal
    vat: Decimal
    gross: Decimal
    vat_percent: Decimal
    vat_words: str
    before: Decimal
    after: Decimal
    days_added: int
    effect: str
    order_by: datetime | None

    @property
    def title_line(self) -> str:
        """The heading of page and PDF."""
        return f"Variation {self.label} to quote {self.reference}"

    def as_dict(self) -> dict[str, Any]:
        """Return it as JSON can keep it: money and figures as text, days ISO 8601."""
        found: dict[str, Any] = _plain(asdict(self))
        return found

    @classmethod
    def from_dict(cls, kept: Mapping[str, Any]) -> VariationSheet:
        """Return the sheet that `as_dict` gave."""
        values: dict[str, Any] = {each.name: kept[each.name] for each in fields(cls)}
        values |= {name: Decimal(values[name]) for name in MONEY}
        values |= {name: date.fromisoformat(values[name]) for name in ("day", "valid_until")}
        values["order_by"] = kept["order_by"] and datetime.fromisoformat(kept["order_by"])
        values["lines"] = tuple(_line(line) for line in values["lines"])
        return cls(**values)


def _line(kept: Mapping[str, Any]) -> ChangedLine:
    figures = {name: Decimal(kept[name]) for name in ("net", "gross")}
    quantity = None if kept["quantity"] is None else Decimal(kept["quantity"])
    return ChangedLine(**{**kept, **figures, "quantity": quantity})


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _plain(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(inner) for inner in value]
    if isinstance(value, Decimal):
        return str(value)
    return value.isoformat() if isinstance(value, date) else value
