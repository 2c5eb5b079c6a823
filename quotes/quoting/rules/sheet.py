"""What the customer gets, as plain values: page, PDF and acceptance are drawn from it alone.

It holds no cost, no overhead and no margin, so nothing drawn from it can show them.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import MISSING, asdict, dataclass, fields
from datetime import date
from decimal import Decimal
from typing import Any

from quotes.quoting.enums import LineKind
from quotes.quoting.rules.drafts import spread

SCHEMA = 1


@dataclass(frozen=True)
class SheetLine:
    """One line: `net` before VAT, `gross` with it; the gross of all lines adds up to the total."""

    key: int
    words: str
    quantity: Decimal
    unit: str
    net: Decimal
    gross: Decimal
    kind: str = ""
    # What to know about it, in the customer's words.
    caution: str = ""

    @property
    def provisional(self) -> bool:
        """Whether it is a provisional sum or day-work, settled by what it comes to."""
        return self.kind in LineKind.SETTLED_LATER

    @property
    def settled_words(self) -> str:
        """How the customer reads that: '' for a line whose price stands."""
        if not self.provisional:
            return ""
        return "provisional quantity" if self.kind == LineKind.DAYWORK else "provisional sum"

    @property
    def has_quantity(self) -> bool:
        """Whether it is so much of something; a discount or the least price of a job is not."""
        return self.kind not in LineKind.OWN


@dataclass(frozen=True)
class SheetArea:
    """One area as the customer reads it."""

    name: str
    area_m2: Decimal
    depth_mm: Decimal


@dataclass(frozen=True)
class SheetStage:
    """One stage of the payment: a share, or an amount before VAT, or neither: what is left."""

    words: str
    percent: Decimal | None
    amount: Decimal | None
    deposit: bool
    net: Decimal
    vat: Decimal
    gross: Decimal

    @property
    def share(self) -> str:
        """What of the price it is, in words."""
        if self.percent is not None:
            return f"{self.percent.normalize():f} %"
        return "what is left" if self.amount is None else f"£{self.amount:,.2f} before VAT"


@dataclass(frozen=True)
class QuoteSheet:
    """A quote as it leaves the firm."""

    firm: str
    firm_email: str
    reference: str
    number: int
    day: date
    valid_until: date
    customer: str
    customer_address: str
    site: str
    job_reference: str
    title: str
    order_number: str
    consumer: bool
    message: str
    areas: tuple[SheetArea, ...]
    lines: tuple[SheetLine, ...]
    options: tuple[SheetLine, ...]
    net: Decimal
    vat: Decimal
    gross: Decimal
    vat_percent: Decimal
    vat_words: str
    deposit: Decimal
    deposit_percent: Decimal
    cautions: tuple[str, ...]
    colour_areas: tuple[str, ...]
    exclusions: str
    terms: str
    plan: str
    # What the customer was shown, and where another blend is quoted.
    sample: str = ""
    sample_warning: str = ""
    # How it is paid; empty in a sheet that was kept before quotes had stages.
    stages: tuple[SheetStage, ...] = ()
    firm_address: str = ""

    def as_dict(self) -> dict[str, Any]:
        """Return it as JSON can keep it: money and figures as text, days ISO 8601."""
        found: dict[str, Any] = _plain(asdict(self))
        return found

    @classmethod
    def from_dict(cls, kept: Mapping[str, Any]) -> QuoteSheet:
        """Return the sheet that `as_dict` gave."""
        # A sheet kept before a field was added has not got it; what has no default must be there.
        values: dict[str, Any] = {
            each.name: kept[each.name]
            for each in fields(cls)
            if each.name in kept or each.default is MISSING
        }
        for name in ("net", "vat", "gross", "vat_percent", "deposit", "deposit_percent"):
            values[name] = Decimal(values[name])
        for name in ("day", "valid_until"):
            values[name] = date.fromisoformat(values[name])
        for name in ("lines", "options"):
            values[name] = tuple(_line(line) for line in values[name])
        values["areas"] = tuple(
            SheetArea(a["name"], Decimal(a["area_m2"]), Decimal(a["depth_mm"]))
            for a in values["areas"]
        )
        values["stages"] = tuple(_stage(stage) for stage in values.get("stages", ()))
        for name in ("cautions", "colour_areas"):
            values[name] = tuple(values[name])
        return cls(**values)

    @property
    def title_line(self) -> str:
        """The heading of page and PDF."""
        return f"Quote {self.reference}" if self.reference else "Quote, draft"


def _line(kept: Mapping[str, Any]) -> SheetLine:
    figures = {name: Decimal(kept[name]) for name in ("quantity", "net", "gross")}
    return SheetLine(**{**kept, **figures})


def _stage(kept: Mapping[str, Any]) -> SheetStage:
    figures = {
        name: None if kept[name] is None else Decimal(kept[name])
        for name in ("percent", "amount", "net", "vat", "gross")
    }
    return SheetStage(**{**kept, **figures})


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _plain(inner) for name, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(inner) for inner in value]
    if isinstance(value, Decimal):
        return str(value)
    return value.isoformat() if isinstance(value, date) else value


def gross_of_lines(nets: Sequence[Decimal], gross: Decimal) -> tuple[Decimal, ...]:
    """Return the lines' prices with VAT; they add up to the document's total to the penny."""
    return spread(gross, nets) if nets else ()
