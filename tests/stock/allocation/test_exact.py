"""The exact plan against every plan, against the greedy one, and against a second solver."""

from __future__ import annotations

import os
import subprocess
import sys
from math import prod
from pathlib import Path

from hypothesis import assume, given, settings

from stock.allocation.rules.exact import exact_plan
from stock.allocation.rules.joint import Problem, faults, greedy_plan, judge, met
from stock.allocation.rules.joint import given as gets
from tests.stock.allocation.joint_worlds import best_by_trying, problems
from tests.stock.allocation.second_solver import best_score

ROOT = Path(__file__).resolve().parents[3]


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
    exact = exact_plan(problem, seconds=60.0)
    sums = gets(exact.plan)
    assert exact.proven
    assert faults(problem, sums) == []
    assert judge(problem, sums) == best_by_trying(problem, greedy)


@settings(max_examples=60, deadline=None)
@given(problems(most_lots=9, most_needs=7))
def test_the_exact_plan_is_never_worse_than_greedy_and_gives_no_need_less(
    problem: Problem,
) -> None:
    greedy, exact = gets(greedy_plan(problem)), gets(exact_plan(problem, seconds=60.0).plan)
    assert faults(problem, greedy) == []
    assert faults(problem, exact) == []
    assert judge(problem, exact) <= judge(problem, greedy)
    assert all(met(exact).get(pk, 0) >= n for pk, n in met(greedy).items())


@settings(max_examples=8, deadline=None)
@given(problems(most_lots=24, most_needs=16))
def test_a_second_solver_reaches_the_same(problem: Problem) -> None:
    """OR-Tools CP-SAT, a solver of another kind, on a formulation of its own."""
    floor = met(gets(greedy_plan(problem)))
    exact = exact_plan(problem, seconds=60.0)
    assert exact.proven
    assert judge(problem, gets(exact.plan)) == best_score(problem, dict(floor))


def test_a_solver_is_loaded_by_those_who_solve_and_by_nobody_else() -> None:
    program = (
        "import sys, django; django.setup()\n"
        "import stock.allocation.views, stock.allocation.tasks, stock.allocation.rules\n"
        "import stock.allocation.rules.exact, quotes.engine.document, config.urls\n"
        "print(sorted({'highspy', 'ortools', 'scipy.optimize'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False,
        env=os.environ | {"DJANGO_SETTINGS_MODULE": "config.settings"},
    )  # fmt: skip
    assert done.stdout == "[]\n", done.stderr
