"""Substitutes, and the least bad offers where no run has all that a colour group needs."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from stock.allocation.rules import Binds, LotView, Need, allocate

DAY = date(2026, 5, 19)
BUFF, GOLD = 1, 2
NEED = Need(
    1, BUFF, "Buff 2–6 mm", 20 * 20_000, DAY, job_id=7, colour_group="buff", run_matched=True,
    pack_quantity=20_000, pack_name="bag", pack_mass_g=20_000,
)  # fmt: skip


def stone(number: int, bags: int, run: str, item: int = BUFF) -> LotView:
    names = {BUFF: "Buff 2–6 mm", GOLD: "Gold 2–6 mm"}
    return LotView(number, f"L-{number}", item, bags * 20_000, run=run, item_name=names[item])


def kit(number: int, item: int, free: int, expiry: date | None = None) -> LotView:
    return LotView(number, f"L-{number}", item, free, expiry=expiry, item_name=f"kit {item}")


def test_two_runs_in_one_ratio_a_break_between_pours_or_all_in_one_order() -> None:
    need = replace(NEED, parts=(("drive", 2), ("path", 1), ("apron", 1)))
    (unmet,) = allocate([need], [stone(1, 15, "26-01"), stone(2, 8, "26-02")]).unmet
    assert unmet.binds == Binds.ONE_RUN
    ratio, edge, order = unmet.offers
    assert ratio == (
        "The same ratio in every mix: 15 bags of run 26-01 with 5 bags of run 26-02, that is of "
        "every 20 kg 15.0 kg of 26-01 and 5.0 kg of 26-02. Show the customer a trial mix first."
    )
    assert edge == (
        "A natural break: 15 bags of run 26-01 for drive and apron, 5 bags of run 26-02 for path. "
        "The change shows at the edge between the pours; agree it with the customer."
    )
    assert order == (
        "Order all 20 bags (400 kg) in one run, the spare included. The 23 bags that are here stay "
        "for small jobs and call-backs."
    )


def test_no_offer_that_the_yard_cannot_keep() -> None:
    """14 and 8 bags divide by no pour's edge, 3 bags with nothing else not at all."""
    need = replace(NEED, parts=(("drive", 2), ("path", 1), ("apron", 1)))
    (two,) = allocate([need], [stone(1, 14, "26-01"), stone(2, 8, "26-02")]).unmet
    ratio, order = two.offers
    assert ratio.startswith("The same ratio in every mix: 14 bags of run 26-01 with 6 bags")
    assert order.startswith("Order all 20 bags (400 kg) in one run")
    (few,) = allocate([need], [stone(1, 3, "26-01")]).unmet
    (none,) = allocate([need], []).unmet
    assert len(few.offers) == 1
    assert none.offers == ("Order all 20 bags (400 kg) in one run, the spare included.",)


def test_what_is_in_hand_counts_with_its_run() -> None:
    need = replace(NEED, quantity=6 * 20_000, run="26-01", in_hand=4 * 20_000)
    (unmet,) = allocate([need], [stone(1, 2, "26-01"), stone(2, 9, "26-02")]).unmet
    assert unmet.offers[0].startswith(
        "The same ratio in every mix: 6 bags of run 26-01 with 4 bags of run 26-02, that is of "
        "every 20 kg 12.0 kg of 26-01 and 8.0 kg of 26-02."
    )
    assert unmet.offers[-1].startswith("Order all 10 bags (200 kg)")


def test_a_substitute_serves_when_no_run_of_the_stone_itself_does_and_says_so() -> None:
    need = replace(NEED, substitutes=(GOLD,))
    lots = [stone(1, 2, "26-01"), stone(2, 39, "26-02", GOLD)]
    (pick,) = allocate([need], lots).picks
    assert (pick.lot_id, pick.substitute) == (2, True)
    assert pick.why == (
        "Gold 2–6 mm stands in for Buff 2–6 mm, as its card allows: run 26-02, the only one with "
        "all 20 bags for buff"
    )
    assert allocate([NEED], lots).picks == []
    own = allocate([need], [*lots, stone(3, 20, "26-03")]).picks
    assert [(row.lot_id, row.substitute) for row in own] == [(3, False)]


def test_one_surface_is_never_of_the_stone_and_its_substitute() -> None:
    first, second = (replace(NEED, need_id=n, substitutes=(GOLD,)) for n in (1, 2))
    lots = [stone(1, 20, "26-01"), stone(2, 60, "26-01", GOLD)]
    plan = allocate([first, second], lots)
    assert [(row.need_id, row.lot_id) for row in plan.picks] == [(1, 1)]
    assert [row.need_id for row in plan.unmet] == [2]


def test_a_kit_takes_its_own_lots_before_a_substitute() -> None:
    need = Need(1, 1, "Kit", 5, DAY, substitutes=(2,), pack_name="kit")
    plan = allocate([need], [kit(1, 1, 2), kit(2, 2, 2, date(2026, 6, 1))])
    assert [(row.lot_id, row.quantity, row.substitute) for row in plan.picks] == [
        (1, 2, False),
        (2, 2, True),
    ]
    assert plan.picks[1].why.startswith("kit 2 stands in for Kit, as its card allows: ")
    (unmet,) = plan.unmet
    assert "no more of it is in the yard, nor of what may stand in for it" in unmet.sentence
