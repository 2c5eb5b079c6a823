"""The exact plan against every plan, against the greedy one, and against a second solver."""

from __future__ import annotations

from math import prod

from hypothesis import assume, given, settings

from stock.allocation.rules.exact import exact_plan
from stock.allocation.rules.joint import Problem, faults, given as gets, greedy_plan, judge, met
from tests.stock.allocation.joint_worlds import best_by_trying, problems


def tries(problem: Problem) -> int:
    return prod(
        min(need.quantity, lot.free) + 1 for need in problem.needs for lot in problem.lots
        if lot.item_id in need.items and not lot.held
    )  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(problems())
def test_the_exact_plan_is_the_best_of_all_plans(problem: Problem) -> None:
    assume(tries(problem) <= 3000)
    greedy = gets(greedy_plan(problem))
    exact = exact_plan(problem)
    sums = gets(exact.plan)
    assert exact.proven
    assert faults(problem, sums) == []
    assert judge(problem, sums) == best_by_trying(problem, greedy)


@settings(max_examples=60, deadline=None)
@given(problems(most_lots=9, most_needs=7))
def test_the_exact_plan_is_never_worse_than_greedy_and_gives_no_need_less(
    problem: Problem,
) -> None:
    greedy, exact = gets(greedy_plan(problem)), gets(exact_plan(problem).plan)
    assert faults(problem, greedy) == []
    assert faults(problem, exact) == []
    assert judge(problem, exact) <= judge(problem, greedy)
    assert all(met(exact).get(pk, 0) >= n for pk, n in met(greedy).items())
