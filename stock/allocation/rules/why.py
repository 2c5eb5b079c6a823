"""Why a lot was taken, which rule binds what was not met, and what would free it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import date

from stock.allocation.rules.values import (
    NO_DATE,
    Binds,
    LotView,
    Need,
    RunKey,
    Unmet,
    amount,
    codes,
    is_usable,
)


def day_words(day: date) -> str:
    """Write a day in a sentence: 'Tue 19 May'."""
    return f"{day:%a} {day.day} {day:%b}"


def why_lot(lot: LotView, usable: Sequence[LotView], need: Need, *, whole: bool = False) -> str:
    """Say why this lot was taken; `whole` where it went before a nearer one of the same date."""
    if whole:
        where = f", all of one batch{f' in {lot.place}' if lot.place else ''}"
    else:
        where = f", nearest in {lot.place}" if lot.place else ""
    if lot.expiry is None:
        return f"released, without a date{where}"
    others = [
        other for other in usable if other.lot_id != lot.lot_id and other.item_id == lot.item_id
    ]
    soonest = all((other.expiry or NO_DATE) > lot.expiry for other in others)
    rank = "first to expire" if soonest else "next to expire"
    return f"{rank}: {day_words(lot.expiry)}, good for use on {day_words(need.day)}{where}"


def stands_in(lot: LotView, need: Need, why: str) -> str:
    """Say that a lot of another item stands in for what was asked for, before its why."""
    if lot.item_id == need.item_id:
        return why
    other = lot.item_name or "an allowed substitute"
    return f"{other} stands in for {need.name}, as its card allows: {why}"


def why_run(run: str, choices: int, need: Need, *, fixed: bool) -> str:
    """Say why this run was taken."""
    group = f" for {need.colour_group}" if need.colour_group else ""
    if fixed:
        return f"run {run}, of which some is there{group} already"
    if choices == 1:
        return f"run {run}, the only one with all {need.words(need.quantity)}{group}"
    return f"run {run}, one of {choices} with all {need.words(need.quantity)}{group}; oldest first"


def why_short(need: Need, left: int, there: Sequence[LotView], free: dict[int, int]) -> Unmet:
    """Say which rule binds a need that takes what there is, and what would free it."""
    held = [lot for lot in there if lot.held and free[lot.lot_id] > 0]
    late = [
        lot for lot in there
        if not lot.held and not is_usable(lot, need) and free[lot.lot_id] > 0
    ]  # fmt: skip
    taken = [lot for lot in there if is_usable(lot, need) and lot.reserved > 0]
    short = f"{need.words(left)} of {need.name} short"
    if held and amount(held, free) >= left:
        return Unmet(
            need.need_id, left, Binds.HELD,
            f"{short}: {need.words(amount(held, free))} lie held in {codes(held)} "
            f"({held[0].held}).",
            f"Look at {codes(held)} and release it, or order {need.words(left)}.",
        )  # fmt: skip
    if late and amount(late, free) >= left:
        first = min(lot.expiry for lot in late if lot.expiry is not None)
        return Unmet(
            need.need_id, left, Binds.DATE,
            f"{short}: {need.words(amount(late, free))} in {codes(late)} are not good until "
            f"{day_words(need.good_until)}; the first date is {day_words(first)}.",
            f"Use them on an earlier job, lay sooner, or order {need.words(left)}.",
        )  # fmt: skip
    if sum(lot.reserved for lot in taken) >= left:
        return Unmet(
            need.need_id, left, Binds.RESERVED,
            f"{short}: what is there is reserved for other jobs ({codes(taken)}).",
            f"Release a later job's reservation, or order {need.words(left)}.",
        )  # fmt: skip
    return Unmet(
        need.need_id, left, Binds.NOTHING_THERE,
        f"{short}: no more of it is in the yard{nor(need)}.", f"Order {need.words(left)}.",
    )  # fmt: skip


def nor(need: Need) -> str:
    """Say that what may stand in is not there either."""
    return ", nor of what may stand in for it" if need.substitutes else ""


def why_no_run(
    need: Need,
    there: Sequence[LotView],
    free: dict[int, int],
    fixed: RunKey | None,
    offers: tuple[str, ...] = (),
) -> Unmet:
    """Say which rule binds run-matched stone, what would free it, and the least bad offers."""
    # long because: one sentence for each rule that may bind
    wanted = need.words(need.quantity)
    group = f" for {need.colour_group}" if need.colour_group else ""
    order = f"Order all {wanted} in one run."
    own, run = fixed or (need.item_id, "")
    there = [lot for lot in there if lot.item_id == own]
    usable: dict[str, int] = defaultdict(int)
    whole: dict[str, int] = defaultdict(int)
    for lot in there:
        if run in {"", lot.run}:
            whole[lot.run] += free[lot.lot_id] + lot.reserved
            if is_usable(lot, need):
                usable[lot.run] += free[lot.lot_id]
    holders = [
        lot for lot in there
        if lot.held and run in {"", lot.run} and free[lot.lot_id] > 0
        and usable[lot.run] + amount([lot], free) >= need.quantity
    ]  # fmt: skip
    if holders:
        return Unmet(
            need.need_id, need.quantity, Binds.HELD,
            f"{wanted} of {need.name}{group} must be of one run: run {holders[0].run} would do, "
            f"but {holders[0].code} is held ({holders[0].held}).",
            f"Look at {holders[0].code} and release it. {order}", offers,
        )  # fmt: skip
    big = [name for name, units in whole.items() if units >= need.quantity]
    if big:
        return Unmet(
            need.need_id, need.quantity, Binds.RESERVED,
            f"{wanted} of {need.name}{group} must be of one run: run {big[0]} has them, but other "
            "jobs hold part of it.",
            f"Release the other job's reservation of run {big[0]}. {order}", offers,
        )  # fmt: skip
    best = max(usable.items(), key=lambda found: (found[1], found[0]), default=("", 0))
    if best[1] > 0:
        return Unmet(
            need.need_id, need.quantity, Binds.ONE_RUN,
            f"{wanted} of {need.name}{group} must be of one run: the most in one run is "
            f"{need.words(best[1])} of {best[0]}, so none is kept.",
            f"{order} Odd bags of other runs do not count.", offers,
        )  # fmt: skip
    return Unmet(
        need.need_id, need.quantity, Binds.NOTHING_THERE,
        f"{wanted} of {need.name}{group} must be of one run: none is in the yard{nor(need)}.",
        order, offers,
    )  # fmt: skip
