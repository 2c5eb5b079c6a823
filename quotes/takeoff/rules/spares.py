"""Spare mixes for a chosen risk: how many, what chance is left, how many come back unopened."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from quotes.engine.contingency import MOST_OPTIONS, SpareOption, spare_options
from quotes.engine.risk import Job

RISKS = (0.10, 0.05, 0.01)


@dataclass(frozen=True)
class SpareRow:
    """One choice of spares. `risk` is the risk it keeps to, None for what is taken along now."""

    risk: float | None
    option: SpareOption | None
    chosen: bool = False

    @property
    def words(self) -> str:
        """What the row is, for reading."""
        return "taken along now" if self.risk is None else f"for {100 * self.risk:.0f} % or less"

    @property
    def percent(self) -> float:
        """The chance left of running short, in %."""
        return 100 * self.option.probability_short if self.option else 0.0


def spare_rows(job: Job, taken: int, risks: Sequence[float] = RISKS) -> tuple[SpareRow, ...]:
    """Return what is taken along now, and the fewest spares for each risk (0 to 1).

    A row has no option where more than 200 spares would be needed: then the job is to be split.
    """
    wanted = [sum(job.spares_for(risk)) for risk in risks]
    most = min(MOST_OPTIONS, max([taken, *(n for n in wanted if n <= MOST_OPTIONS)]))
    options = spare_options(job, most)
    now = SpareRow(None, options[min(taken, most)], chosen=True)
    rows = (
        SpareRow(risk, options[n] if n <= MOST_OPTIONS else None)
        for risk, n in zip(risks, wanted, strict=True)
    )
    return (now, *rows)
