"""Small joint problems for the properties, and their best score by trying everything."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date, timedelta
from itertools import product

from hypothesis import strategies as st

from stock.allocation.rules import LotView, Need
from stock.allocation.rules.joint import (
    Present,
    Problem,
    Score,
    Spot,
    faults,
    judge,
    met,
)

DAY = date(2026, 5, 19)
KIT, STONE, OTHER_STONE = 1, 2, 3


@st.composite
def problems(draw: st.DrawFn, *, most_lots: int = 4, most_needs: int = 3) -> Problem:
    """A few lots and needs with small figures, some reserved, some with a run in hand."""
    lots = [
        LotView(
            lot_id=n, code=f"L-{n}", item_id=draw(st.sampled_from([KIT, STONE, OTHER_STONE])),
            free=draw(st.integers(1, 4)),
            expiry=draw(st.none() | st.integers(0, 12).map(lambda d: DAY + timedelta(days=d))),
            run=draw(st.sampled_from("AB")), held=draw(st.sampled_from(["", "", "", "wet"])),
            near=draw(st.integers(0, 2)), value=draw(st.integers(0, 3)) * 100_000,
        )
        for n in range(1, draw(st.integers(1, most_lots)) + 1)
    ]  # fmt: skip
    # What a colour group has in hand is of one run, whichever of its needs asks.
    in_hand = {job: draw(st.sampled_from(["", "", "A"])) for job in (1, 2)}
    needs = []
    for n in range(1, draw(st.integers(1, most_needs)) + 1):
        item = draw(st.sampled_from([KIT, STONE]))
        job = draw(st.integers(1, 2))
        run = in_hand[job] if item == STONE else ""
        needs.append(
            Need(
                need_id=n, item_id=item, name=f"item {item}", quantity=draw(st.integers(1, 5)),
                day=DAY + timedelta(days=draw(st.integers(0, 8))), job_id=job,
                colour_group="buff", run_matched=item == STONE, run=run,
                in_hand=draw(st.integers(0, 2)) if run else 0,
                substitutes=(OTHER_STONE,) if item == STONE and draw(st.booleans()) else (),
            )
        )  # fmt: skip
    present = draw(reserved(needs, lots))
    return Problem(tuple(needs), tuple(lots), present, DAY + timedelta(days=10))


@st.composite
def reserved(draw: st.DrawFn, needs: list[Need], lots: list[LotView]) -> tuple[Present, ...]:
    free = {lot.lot_id: lot.free for lot in lots}
    want = {need.need_id: need.quantity for need in needs}
    rows = []
    for need in needs:
        for lot in lots:
            most = min(free[lot.lot_id], want[need.need_id])
            if lot.item_id == need.item_id and most and draw(st.booleans()):
                part = draw(st.integers(1, most))
                free[lot.lot_id] -= part
                want[need.need_id] -= part
                rows.append(Present(need.need_id, lot.lot_id, part))
    return tuple(rows)


def every_plan(problem: Problem) -> Iterator[dict[Spot, int]]:
    """Yield every way to give lots to needs that breaks no rule; only for a few of each."""
    spots = [
        (need, lot) for need in problem.needs for lot in problem.lots
        if lot.item_id in need.items and not lot.held
    ]  # fmt: skip
    ranges = [range(min(need.quantity, lot.free) + 1) for need, lot in spots]
    for amounts in product(*ranges):
        sums = {
            (need.need_id, lot.lot_id): n
            for (need, lot), n in zip(spots, amounts, strict=True)
            if n
        }
        if not faults(problem, sums):
            yield sums


def best_by_trying(problem: Problem, floor: Mapping[Spot, int]) -> Score:
    """Return the best score of all plans that give no need less than `floor` does."""
    least = met(floor)
    return min(
        judge(problem, sums) for sums in every_plan(problem)
        if all(met(sums).get(pk, 0) >= n for pk, n in least.items())
    )  # fmt: skip
