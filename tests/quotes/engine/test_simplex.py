from fractions import Fraction

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog

from quotes.engine import simplex as subject


def test_the_least_last_unknown_and_the_rows_that_hold_it():
    # x + ... : t >= 3 - x, t >= x - 1, x <= 5 meet at x = 2, t = 1.
    rows = [
        ([Fraction(-1), Fraction(-1)], Fraction(-3)),
        ([Fraction(1), Fraction(-1)], Fraction(1)),
        ([Fraction(1), Fraction(0)], Fraction(5)),
    ]
    found = subject.least_last(rows)
    assert found.values == (Fraction(2), Fraction(1))
    assert found.binding == (0, 1)


coefficients = st.integers(-5, 5)


@settings(deadline=None)
@given(
    table=st.lists(
        st.tuples(coefficients, coefficients, st.integers(-9, 9)), min_size=1, max_size=8
    )
)
def test_it_agrees_with_scipy(table):
    rows = [([Fraction(a), Fraction(b), Fraction(-1)], Fraction(side)) for a, b, side in table]
    rows.append(([Fraction(1), Fraction(1), Fraction(0)], Fraction(1)))
    solved = linprog(
        [0, 0, 1],
        A_ub=np.array([[float(v) for v in row] for row, _ in rows]),
        b_ub=[float(side) for _, side in rows],
        bounds=[(0, None)] * 3,
    )
    assert abs(float(subject.least_last(rows).values[-1]) - solved.fun) < 1e-9
