import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from quotes.engine import proportions as subject
from quotes.engine.errors import BlendError
from quotes.engine.grading import Limits, check_envelope, combine_masses, grading

SIEVES = (8.0, 4.0, 2.0, 1.0, 0.5)
percents = st.lists(st.integers(0, 100), min_size=5, max_size=5).map(
    lambda values: sorted(values, reverse=True)
)
gradings = percents.map(lambda values: grading("g", dict(zip(SIEVES, values, strict=True))))
bands = st.lists(st.tuples(st.integers(0, 100), st.integers(0, 40)), min_size=5, max_size=5).map(
    lambda rows: [
        Limits(s, float(low), float(min(100, low + w)))
        for s, (low, w) in zip(SIEVES, rows, strict=True)
    ]
)


@settings(deadline=None)
@given(components=st.lists(gradings, min_size=1, max_size=5), envelope=bands)
def test_the_best_proportion_agrees_with_a_linear_programme_of_scipy(components, envelope):
    table = np.array([[p for _, p in c.passing] for c in components]).T
    low = np.array([each.low for each in envelope])
    high = np.array([each.high for each in envelope])
    count = len(components)
    ones = -np.ones((len(envelope), 1))
    solved = linprog(
        np.r_[np.zeros(count), 1],
        A_ub=np.block([[table, ones], [-table, ones]]),
        b_ub=np.r_[high, -low],
        A_eq=[np.r_[np.ones(count), 0]],
        b_eq=[1],
        bounds=[(0, None)] * count + [(None, None)],
    )
    found = subject.feasible_shares(components, envelope)
    assert found.outside == pytest.approx(solved.fun, abs=1e-6)
    assert found.possible == (found.outside <= 0)
    assert sum(found.shares) == pytest.approx(1)
    mixed = table @ np.array(found.shares)
    worst = max(np.max(low - mixed), np.max(mixed - high))
    assert worst == pytest.approx(found.outside, abs=1e-6)


STONE = grading("stone", {8: 100, 4: 40, 2: 0})
GRIT = grading("grit", {8: 100, 4: 100, 2: 30, 1: 0})
SAND = grading("sand", {2: 100, 1: 60, 0.5: 0})


def test_a_limit_just_met_is_possible_and_a_hair_beyond_is_not():
    # Half and half pass 70 % at 4 mm and 15 % at 2 mm.
    touching = [Limits(4, 0, 70), Limits(2, 15, 100)]
    assert subject.feasible_shares([STONE, GRIT], touching).possible
    beyond = subject.feasible_shares([STONE, GRIT], [Limits(4, 0, 70), Limits(2, 15.000001, 100)])
    assert not beyond.possible
    assert beyond.binding == (4, 2)


def test_the_window_of_a_share_at_one_sieve():
    assert subject.share_window(STONE, GRIT, Limits(4, 55, 70)) == pytest.approx((0.5, 0.75))
    assert subject.share_window(STONE, GRIT, Limits(4, 0, 30)) is None
    assert subject.share_window(STONE, GRIT, Limits(8, 90, 100)) == (0, 1)
    assert subject.share_window(STONE, GRIT, Limits(8, 80, 90)) is None


ENVELOPE = [Limits(4, 55, 65), Limits(2, 12, 25), Limits(1, 0, 10)]


def test_the_nearest_bags_keep_to_the_envelope():
    found = subject.nearest_bags([STONE, GRIT, SAND], [25, 25, 25], [4, 1, 0], ENVELOPE, step=0.25)
    assert found is not None
    parts = zip(found.bags, [STONE, GRIT, SAND], strict=True)
    assert check_envelope(combine_masses([(25 * n, c) for n, c in parts]), ENVELOPE).passes
    assert all(n * 4 == int(n * 4) for n in found.bags)


@settings(max_examples=25, deadline=None)
@given(present=st.tuples(st.integers(0, 4), st.integers(0, 3), st.integers(0, 2)))
def test_no_bags_are_nearer_than_those_found(present):
    if not any(present):
        return
    bags, masses = [float(n) for n in present], [25.0, 20.0, 10.0]
    components = [STONE, GRIT, SAND]
    total = sum(n * m for n, m in zip(bags, masses, strict=True))
    best = None
    for n in np.ndindex(12, 12, 20):
        mass = [k * m for k, m in zip(n, masses, strict=True)]
        if abs(sum(mass) - total) > 0.2 * total + 1e-9:
            continue
        if check_envelope(
            combine_masses(list(zip(mass, components, strict=True))), ENVELOPE
        ).passes:
            moved = sum(abs(a - b * m) for a, b, m in zip(mass, bags, masses, strict=True))
            best = moved if best is None else min(best, moved)
    found = subject.nearest_bags(components, masses, bags, ENVELOPE, mass_change=0.2)
    assert (found.moved if found else None) == (pytest.approx(best) if best is not None else None)


def test_where_no_proportion_would_do_no_bags_are_named():
    assert subject.nearest_bags([STONE], [25], [4], ENVELOPE) is None


def test_bags_that_keep_to_the_envelope_already_stay():
    fine = [Limits(4, 0, 100)]
    found = subject.nearest_bags([STONE, GRIT], [25, 25], [3, 1], fine)
    assert found is not None
    assert (found.bags, found.moved) == ((3, 1), 0)


@pytest.mark.parametrize(
    ("call", "code"),
    [
        (lambda: subject.feasible_shares([], ENVELOPE), "wrong_number"),
        (lambda: subject.feasible_shares([STONE], []), "empty"),
        (lambda: subject.nearest_bags([STONE], [25, 25], [4], ENVELOPE), "unequal"),
        (lambda: subject.nearest_bags([STONE], [25], [4], ENVELOPE, step=0.5), "bad_step"),
        (
            lambda: subject.nearest_bags(
                [STONE, GRIT, SAND], [1, 1, 1], [90, 90, 90], [Limits(8, 0, 100)], step=0.25
            ),
            "too_many",
        ),
    ],
)
def test_what_cannot_be_is_refused(call, code):
    with pytest.raises(BlendError) as refused:
        call()
    assert refused.value.code == code
