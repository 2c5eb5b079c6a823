"""Adding quotes up: how many, for how much, won or lost and why; no rows.

A quote counts once, by its newest revision that left the firm, on the day on which its first one
was sent. Values are before VAT. A hit rate is of what was decided: won / (won + lost).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from jobs.kernel.money import ZERO
from quotes.pricebook.rules import margin_in, overhead_on
from quotes.results.enums import Outcome

TENTH = Decimal("0.1")


@dataclass(frozen=True)
class Result:
    """One quote: when it was first sent, what it came to, what became of it."""

    sent_on: date
    outcome: str
    net: Decimal
    floor: Decimal
    source: str
    base: str
    customer_kind: str
    reason: str = ""

    @property
    def month(self) -> str:
        """The month of its first sending, as it sorts: '2026-05'."""
        return f"{self.sent_on:%Y-%m}"


@dataclass
class Tally:
    """What a group of quotes comes to."""

    label: str
    count: dict[str, int] = field(default_factory=lambda: dict.fromkeys(Outcome.values, 0))
    value: dict[str, Decimal] = field(default_factory=lambda: dict.fromkeys(Outcome.values, ZERO))
    floor: Decimal = ZERO

    def add(self, result: Result) -> None:
        """Count one quote in."""
        self.count[result.outcome] += 1
        self.value[result.outcome] += result.net
        self.floor += result.floor

    @property
    def sent(self) -> int:
        """How many were sent."""
        return sum(self.count.values())

    @property
    def net(self) -> Decimal:
        """What all of them came to before VAT."""
        return sum(self.value.values(), ZERO)

    @property
    def hit_rate(self) -> Decimal | None:
        """Of those decided, how many in a hundred were won; None while none is decided."""
        return share(Decimal(self.count["won"]), Decimal(self.count["lost"]))

    @property
    def value_rate(self) -> Decimal | None:
        """Of the value decided, the per cent that was won."""
        return share(self.value["won"], self.value["lost"])

    @property
    def margin(self) -> Decimal:
        """What the quoted prices leave above direct cost and overhead."""
        return self.net - self.floor

    @property
    def margin_share(self) -> Decimal | None:
        """The margin as % of the quoted price."""
        found = margin_in(self.net, self.floor)
        return None if found is None else found.quantize(TENTH)


def share(won: Decimal, lost: Decimal) -> Decimal | None:
    """Return won / (won + lost) in per cent; None where both are nought."""
    decided = won + lost
    return (won / decided * 100).quantize(TENTH) if decided else None


def floor_with(
    direct: Decimal, overhead: Decimal, options: Decimal, overhead_percent: Decimal
) -> Decimal:
    """Return direct cost and overhead with the options that were taken."""
    return direct + overhead + options + overhead_on(options, overhead_percent)


def tally(label: str, results: Iterable[Result]) -> Tally:
    """Return the sums of all the quotes given."""
    found = Tally(label)
    for result in results:
        found.add(result)
    return found


def tallies(results: Sequence[Result], key: Callable[[Result], str]) -> list[Tally]:
    """Return the sums of each group, in the order of the groups' keys."""
    groups: dict[str, list[Result]] = {}
    for result in results:
        groups.setdefault(key(result), []).append(result)
    return [tally(name, groups[name]) for name in sorted(groups)]


def month_in_words(month: str) -> str:
    """Return '2026-05' as people write it: 'May 2026'."""
    return f"{date.fromisoformat(month + '-01'):%b %Y}"


def losses(results: Iterable[Result]) -> list[Tally]:
    """Return what was lost by reason, the dearest first."""
    found = tallies([r for r in results if r.outcome == Outcome.LOST], lambda r: r.reason)
    return sorted(found, key=lambda row: (-row.net, row.label))


# The groupings that pages and files offer: heading, and what a quote is put under.
GROUPINGS: tuple[tuple[str, Callable[[Result], str]], ...] = (
    ("month", lambda result: result.month),
    ("source", lambda result: result.source),
    ("base", lambda result: result.base),
    ("customer", lambda result: result.customer_kind),
)
