"""The stages in which a quote is paid: what is planned, what each comes to, ready plans; no rows.

A plan is a deposit, a share of the price, and the stages after it, each a share or a fixed amount
before VAT. The last stage has neither: it takes what is left of net and of VAT.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_DOWN, Decimal
from typing import Any

from jobs.billing.rules import Stage, StageSum, share_stages
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO, round_line
from quotes.quoting.rules.sheet import SheetStage

WHOLE = Decimal(100)
# All of them together, deposit and last stage included.
MOST_STAGES = 6
LONGEST = 120
DEPOSIT = "Deposit"
REST = "The rest, when the work is done"
ALL = "All of it, when the work is done"
TOO_MANY = f"A plan holds {MOST_STAGES} stages at most, deposit and last stage among them."


def planned_stages(
    deposit_percent: Decimal, kept: Sequence[Mapping[str, Any]]
) -> tuple[Stage, ...]:
    """Return the stages of a plan as a revision keeps it; without one, deposit and rest.

    A deposit of the whole price is the only stage.
    """
    head = (Stage(DEPOSIT, percent=deposit_percent, deposit=True),) if deposit_percent > 0 else ()
    if deposit_percent >= WHOLE and not kept:
        return head
    rows = [Stage(row["words"], _figure(row, "percent"), _figure(row, "amount")) for row in kept]
    return (*head, *(rows or [Stage(REST if head else ALL)]))


def kept_plan(stages: Sequence[Stage]) -> list[dict[str, str]]:
    """Return the stages after the deposit as JSON keeps them; [] for the usual single one."""
    rows = [stage for stage in stages if not stage.deposit]
    if len(rows) <= 1 and all(stage.words in {REST, ALL} for stage in rows):
        return []
    return [
        {"words": stage.words} | {
            name: str(value) for name in ("percent", "amount")
            if (value := getattr(stage, name)) is not None
        }
        for stage in rows
    ]  # fmt: skip


def _figure(row: Mapping[str, Any], name: str) -> Decimal | None:
    return Decimal(row[name]) if row.get(name) else None


def check_plan(stages: Sequence[Stage], net: Decimal | None = None) -> None:
    """Refuse (ServiceError) a plan that leaves nothing for its last stage, or cannot be read.

    net: the price before VAT, against which fixed amounts are held; None or nought where there is
    none yet. A field is named by the stage's place after the deposit, from 1.
    """
    if len(stages) > MOST_STAGES:
        raise ServiceError(TOO_MANY)
    rows = [stage for stage in stages if not stage.deposit]
    for place, stage in enumerate(rows[:-1], start=1):
        _check_row(place, stage)
    names = [stage.words.casefold() for stage in stages]
    if len(set(names)) < len(names):
        raise ServiceError("Two stages have the same words; say when each is due.")
    shares = sum((stage.percent or ZERO for stage in stages), ZERO)
    if shares > WHOLE:
        raise ServiceError(
            f"The stages come to {shares.normalize():f} %. Together they stay below 100 %, so that "
            "the last one takes the rest."
        )
    if shares == WHOLE and rows:
        raise ServiceError(
            "Nothing is left for the last stage: the others come to 100 % already. Make one of "
            "them smaller, or take one off."
        )
    fixed = sum((stage.amount or ZERO for stage in stages), ZERO)
    if net and fixed and round_line(net * shares / WHOLE) + fixed >= net:
        raise ServiceError(
            f"Nothing is left for the last stage: the others come to £{fixed:,.2f} before VAT"
            + (f" and {shares.normalize():f} %" if shares else "")
            + f", and the price is £{net:,.2f}."
        )


def _check_row(place: int, stage: Stage) -> None:
    if not stage.words.strip():
        raise ServiceError("Say when this stage is due.", field=f"words_{place}")
    if stage.percent is None and stage.amount is None:
        raise ServiceError(
            "Give the stage a share in per cent or an amount before VAT.", field=f"percent_{place}"
        )
    if stage.percent is not None and stage.amount is not None:
        raise ServiceError(
            "Give a share or an amount, not both.", field=f"amount_{place}"
        )  # fmt: skip
    if (stage.percent or stage.amount or ZERO) <= 0:
        name = "percent" if stage.amount is None else "amount"
        raise ServiceError(
            "Give more than nothing, or leave the stage out.", field=f"{name}_{place}"
        )


def invoiced_stages(net: Decimal, stages: Sequence[Stage]) -> tuple[Stage, ...]:
    """Return the stages as `share_stages` takes them: all in per cent, else all in pounds.

    No stage takes more than its forerunners left, so that a price that fell is still shared out.
    """
    shares = [stage.percent for stage in stages[:-1]]
    if all(share is not None for share in shares):
        given = sum((share for share in shares if share is not None), ZERO)
        if given <= WHOLE:
            last = replace(stages[-1], percent=WHOLE - given, amount=None)
            return (*stages[:-1], last)
    found, left = [], net
    for stage in stages[:-1]:
        wished = round_line(net * (stage.percent or ZERO) / WHOLE) + (stage.amount or ZERO)
        part = min(wished, left)
        left -= part
        found.append(replace(stage, percent=None, amount=part))
    return (*found, replace(stages[-1], percent=None, amount=left))


def share_plan(
    net_by_rate: Mapping[Decimal, Decimal], stages: Sequence[Stage]
) -> tuple[StageSum, ...]:
    """Return what each stage comes to; net and VAT of every rate add up to those of the price."""
    net = sum(net_by_rate.values(), ZERO)
    sums = share_stages(net_by_rate, invoiced_stages(net, stages))
    return tuple(
        StageSum(stage, each.by_rate) for stage, each in zip(stages, sums, strict=True)
    )  # fmt: skip


def sheet_stages(net: Decimal, rate: Decimal, stages: Sequence[Stage]) -> tuple[SheetStage, ...]:
    """Return the stages as the customer reads them. rate: the VAT on the price, in per cent."""
    return tuple(
        SheetStage(
            each.stage.words, each.stage.percent, each.stage.amount, each.stage.deposit,
            each.net, each.vat, each.gross,
        )
        for each in share_plan({rate: net}, stages)
    )  # fmt: skip


def of_sheet(stages: Sequence[SheetStage]) -> tuple[Stage, ...]:
    """Return the plan behind stages of a sheet, so that it is shared out over another price."""
    return tuple(Stage(each.words, each.percent, each.amount, each.deposit) for each in stages)


@dataclass(frozen=True)
class ReadyPlan:
    """A plan to begin with: its name, whether it has a deposit, shares of the stages between.

    Common practice, no source.
    """

    key: str
    name: str
    deposit: bool
    between: tuple[tuple[str, Decimal], ...] = ()

    def stages(self, deposit_percent: Decimal) -> tuple[Stage, ...]:
        """Return its stages; together they leave something for the last."""
        deposit = min(deposit_percent, Decimal(50)) if self.deposit else ZERO
        room = (WHOLE - deposit) / (len(self.between) + 1)
        rows = [
            {"words": words, "percent": str(min(share, room.quantize(Decimal("0.01"), ROUND_DOWN)))}
            for words, share in self.between
        ]
        if rows:
            rows.append({"words": REST})
        return planned_stages(deposit, rows)


READY_PLANS = (
    ReadyPlan("done", "All when the work is done", deposit=False),
    ReadyPlan("deposit", "Deposit, rest when done", deposit=True),
    ReadyPlan(
        "start", "Deposit, start, rest when done", deposit=True,
        between=(("On the first day on site", Decimal(35)),),
    ),
    ReadyPlan(
        "laid", "Deposit, start, base ready, rest when done", deposit=True,
        between=(
            ("On the first day on site", Decimal(25)),
            ("When the base is ready", Decimal(25)),
        ),
    ),
)  # fmt: skip


def ready_plan(key: str) -> ReadyPlan:
    """Return a ready plan by its key; ServiceError where there is none."""
    found = next((plan for plan in READY_PLANS if plan.key == key), None)
    if found is None:
        raise ServiceError("Choose one of the ready plans.")
    return found
