"""A small exact linear programme: the simplex method on fractions, by Bland's rule.

For a handful of unknowns and some dozens of rows. Exact arithmetic means that 'just feasible'
is told from 'infeasible by a hair' without a tolerance.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True, slots=True)
class Optimum:
    """Values of the unknowns, and the rows that hold the optimum where it is."""

    values: tuple[Fraction, ...]
    binding: tuple[int, ...]


def least_last(rows: Sequence[tuple[Sequence[Fraction], Fraction]]) -> Optimum:
    """The least last unknown x_n with A x <= b and x >= 0.

    rows: (coefficients, right-hand side); in every row whose right-hand side is negative the
    coefficient of x_n must be -1, so that a large x_n satisfies all. The rows must bound the
    other unknowns. Binding are the rows that would let x_n fall if they were loosened.
    Source: simplex method with Bland's rule.
    """
    tableau = _Tableau(rows)
    worst = min(range(tableau.rows), key=lambda row: tableau.body[row][-1])
    if tableau.body[worst][-1] < 0:
        tableau.pivot(worst, tableau.unknowns - 1)
        tableau.clear_goal()
    while (entering := tableau.entering()) is not None:
        tableau.pivot(tableau.leaving(entering), entering)
    return tableau.optimum()


class _Tableau:
    """Columns: unknowns, then a slack for each row, then the right-hand side."""

    def __init__(self, rows: Sequence[tuple[Sequence[Fraction], Fraction]]) -> None:
        self.rows = len(rows)
        self.unknowns = len(rows[0][0])
        self.body = [
            [*coefficients, *(Fraction(int(n == row)) for n in range(self.rows)), side]
            for row, (coefficients, side) in enumerate(rows)
        ]
        self.basis = [self.unknowns + row for row in range(self.rows)]
        self.goal = [Fraction(0)] * (self.unknowns + self.rows + 1)
        self.goal[self.unknowns - 1] = Fraction(1)

    def pivot(self, row: int, column: int) -> None:
        scale = self.body[row][column]
        self.body[row] = [value / scale for value in self.body[row]]
        for other in range(self.rows):
            if other != row and self.body[other][column]:
                self.body[other] = self._less(self.body[other], row, column)
        if self.goal[column]:
            self.goal = self._less(self.goal, row, column)
        self.basis[row] = column

    def _less(self, line: list[Fraction], row: int, column: int) -> list[Fraction]:
        share = line[column]
        return [value - share * p for value, p in zip(line, self.body[row], strict=True)]

    def clear_goal(self) -> None:
        """Take the basic unknowns out of the goal."""
        for row, column in enumerate(self.basis):
            if self.goal[column]:
                self.goal = self._less(self.goal, row, column)

    def entering(self) -> int | None:
        return next((c for c in range(self.unknowns + self.rows) if self.goal[c] < 0), None)

    def leaving(self, column: int) -> int:
        fit = [
            (self.body[row][-1] / self.body[row][column], self.basis[row], row)
            for row in range(self.rows)
            if self.body[row][column] > 0
        ]
        return min(fit)[2]

    def optimum(self) -> Optimum:
        values = [Fraction(0)] * self.unknowns
        for row, column in enumerate(self.basis):
            if column < self.unknowns:
                values[column] = self.body[row][-1]
        slacks = range(self.unknowns, self.unknowns + self.rows)
        binding = tuple(c - self.unknowns for c in slacks if self.goal[c] > 0)
        return Optimum(tuple(values), binding)
