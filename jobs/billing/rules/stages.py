"""Stage payments: shares of a price whose last takes the remainder of net and of VAT."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from jobs.billing.rules.vat import RateSum, vat_on
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO, round_line, round_vat, share_out

WHOLE = Decimal(100)


@dataclass(frozen=True)
class Stage:
    """One stage as agreed: its words, and its share in per cent of the net or as a net amount.

    `deposit` says that the stage is asked for on acceptance.
    """

    words: str
    percent: Decimal | None = None
    amount: Decimal | None = None
    deposit: bool = False


@dataclass(frozen=True)
class StageSum:
    """What one stage comes to, by rate."""

    stage: Stage
    by_rate: tuple[RateSum, ...]

    @property
    def net(self) -> Decimal:
        return sum((row.net for row in self.by_rate), ZERO)

    @property
    def vat(self) -> Decimal:
        return sum((row.vat for row in self.by_rate), ZERO)

    @property
    def gross(self) -> Decimal:
        return self.net + self.vat


def share_stages(
    net_by_rate: Mapping[Decimal, Decimal], stages: Sequence[Stage]
) -> tuple[StageSum, ...]:
    """Return the sums of each stage; net and VAT of every rate add up to the document's.

    The list is all in per cent (adding up to 100) or all in net amounts (adding up to the net);
    an empty list is one stage for all of it. Each stage but the last has its VAT on its own net;
    the last takes the remainder. Refuses (ServiceError) a list that does not add up.
    """
    totals = vat_on(net_by_rate)
    wished = tuple(stages) or (Stage("all of it", percent=WHOLE),)
    nets = _nets_of(totals.net, wished)
    left = {rate: RateSum(rate, net, vat) for rate, net, vat in totals.by_rate}
    found: list[StageSum] = []
    for stage, net in zip(wished[:-1], nets[:-1], strict=True):
        rows = _part_of(net, left)
        for row in rows:
            before = left[row.rate]
            left[row.rate] = RateSum(row.rate, before.net - row.net, before.vat - row.vat)
        found.append(StageSum(stage, rows))
    last = tuple(row for _, row in sorted(left.items(), reverse=True))
    return (*found, StageSum(wished[-1], last))


def _part_of(net: Decimal, left: Mapping[Decimal, RateSum]) -> tuple[RateSum, ...]:
    """Share a stage's net over the rates as they are left, with the VAT on each part."""
    rates = sorted(left, reverse=True)
    weights = [max(left[rate].net, ZERO) for rate in rates]
    if not sum(weights, ZERO):
        return tuple(RateSum(rate, ZERO, ZERO) for rate in rates)
    parts = share_out(net, weights)
    return tuple(
        RateSum(rate, part, round_vat(part, rate)) for rate, part in zip(rates, parts, strict=True)
    )


def _nets_of(net: Decimal, stages: Sequence[Stage]) -> list[Decimal]:
    in_percent = [stage.percent for stage in stages if stage.percent is not None]
    in_pounds = [stage.amount for stage in stages if stage.amount is not None]
    if len(in_percent) == len(stages) and not in_pounds:
        _check_parts(in_percent, WHOLE, "per cent")
        parts = [round_line(net * percent / WHOLE) for percent in in_percent[:-1]]
        # Many small shares, each rounded up, can come to more than there is.
        parts = _within(parts, net)
        return [*parts, net - sum(parts, ZERO)]
    if len(in_pounds) == len(stages) and not in_percent:
        _check_parts(in_pounds, net, "pounds before VAT")
        return in_pounds
    raise ServiceError("Give every stage in per cent, or every stage in pounds.", field="stages")


def _check_parts(parts: Sequence[Decimal], whole: Decimal, unit: str) -> None:
    if min(parts) < 0:
        raise ServiceError("A stage cannot be less than nothing.", field="stages")
    if sum(parts, ZERO) != whole:
        raise ServiceError(
            f"The stages come to {sum(parts, ZERO):,.2f} {unit}; they must come to {whole:,.2f}.",
            field="stages",
        )


def _within(parts: list[Decimal], whole: Decimal) -> list[Decimal]:
    left, found = whole, []
    for part in parts:
        found.append(min(part, left))
        left -= found[-1]
    return found
