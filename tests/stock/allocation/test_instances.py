"""Ten committed problems whose best score is known by how they are made."""

from __future__ import annotations

from functools import cache

import pytest

from stock.allocation.rules.exact import Exact, exact_plan
from stock.allocation.rules.joint import faults, greedy_plan, judge
from stock.allocation.rules.joint import given as gets
from tests.stock.allocation.planted import FOLDER, SIZES, Size, as_text, make, read

# A busy machine must not fail a test; that 5 s are enough is what `make bench` measures.
PATIENT = 60.0
LARGE = 200  # lots from which an instance counts as a long test


def instances() -> list[object]:
    return [
        pytest.param(size, id=size.name, marks=[pytest.mark.slow] if size.lots > LARGE else [])
        for size in SIZES
    ]


@cache
def solved(name: str) -> Exact:
    """The exact plan of an instance, reckoned once for all that is asked of it."""
    return exact_plan(read(FOLDER / f"{name}.json")[0], seconds=PATIENT)


@pytest.mark.parametrize("size", instances())
def test_the_exact_plan_reaches_the_planted_best(size: Size) -> None:
    problem, best = read(FOLDER / f"{size.name}.json")
    exact = solved(size.name)
    sums = gets(exact.plan)
    assert faults(problem, sums) == []
    assert judge(problem, sums) == best
    assert exact.proven


def test_the_files_are_what_their_seeds_make_and_the_largest_is_as_large_as_asked() -> None:
    assert len(SIZES) == 10
    for size in SIZES:
        text = (FOLDER / f"{size.name}.json").read_text(encoding="utf-8")
        assert text == as_text(*make(size)), size.name
    problem, _ = read(FOLDER / "high-season-few-stones.json")
    assert len({need.job_id for need in problem.needs}) == 60
    assert len(problem.lots) == 400


def test_the_planted_best_is_out_of_reach_of_the_greedy_plan_in_most_of_them() -> None:
    """So that reaching it says something."""
    worse = 0
    for size in SIZES:
        problem, best = read(FOLDER / f"{size.name}.json")
        worse += judge(problem, gets(greedy_plan(problem))) > best
    assert worse >= 7


def test_the_greedy_plan_lets_kits_die_that_the_exact_one_uses() -> None:
    """First expired first, job by job, is no help where a stand-in dies or the dear lot does."""
    problem, best = read(FOLDER / "all-reserved.json")
    greedy = judge(problem, gets(greedy_plan(problem)))
    exact = judge(problem, gets(solved("all-reserved").plan))
    assert greedy[:2] == exact[:2] == best[:2]
    assert greedy.loss > exact.loss == best.loss


def test_without_time_the_greedy_plan_stands_and_it_is_said() -> None:
    problem, _ = read(FOLDER / "six-weeks.json")
    exact = exact_plan(problem, seconds=0.0)
    assert (exact.proven, exact.bettered) == (False, False)
    assert gets(exact.plan) == gets(greedy_plan(problem))


def test_every_pick_says_why_and_every_shortage_what_would_free_it() -> None:
    problem, _ = read(FOLDER / "high-season.json")
    plan = solved("high-season").plan
    assert all(pick.why for pick in plan.picks)
    stays = sum(pick.why.startswith("stays") for pick in plan.picks)
    assert stays == len(problem.present) - 2
    assert {unmet.remedy != "" for unmet in plan.unmet} == {True}
    assert all(unmet.offers[-1].startswith("Order all 6 bags (120 kg)") for unmet in plan.unmet)
