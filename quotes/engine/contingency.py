"""Contingency: what spare mixes cost beside what running short costs.

The only place in the engine where money passes through, and it is only weighed: amounts come
from the caller as Decimal and go back as Decimal, unrounded. A spare that is used costs nothing
extra, for the job needed it; a spare that comes back unopened costs its carriage, handling and
its share of expiry.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from quotes.engine.errors import ModelError
from quotes.engine.risk import Job

MOST_OPTIONS = 200


@dataclass(frozen=True, slots=True)
class SpareOption:
    """A number of spares: the chance left of running short, spares expected back unopened."""

    spares: int
    by_session: tuple[int, ...]
    probability_short: float
    expected_unopened: float


@dataclass(frozen=True, slots=True)
class WeighedOption:
    """An option with both costs: of the spares that come back, and of running short."""

    option: SpareOption
    cost_of_spares: Decimal
    cost_of_short: Decimal

    @property
    def total(self) -> Decimal:
        """Both together."""
        return self.cost_of_spares + self.cost_of_short


def spare_options(job: Job, most: int) -> tuple[SpareOption, ...]:
    """The options of nought to `most` spares, each spare given to the likeliest to run short.

    Raises ModelError for a number outside 0 to 200.
    """
    if isinstance(most, bool) or not 0 <= most <= MOST_OPTIONS:
        raise ModelError(
            "out_of_range", "most", f"{most!r} spares; accepted is 0 to {MOST_OPTIONS}"
        )
    given = [0] * len(job.demands)
    alone = [job.session_short(k) for k in range(len(given))]
    unopened = 0.0
    options = [SpareOption(0, tuple(given), job.any_short(given), 0.0)]
    for spares in range(1, most + 1):
        worst = alone.index(max(alone))
        unopened += 1 - alone[worst]  # it comes back when its session was not short without it
        given[worst] += 1
        alone[worst] = job.session_short(worst, given[worst])
        options.append(SpareOption(spares, tuple(given), job.any_short(given), unopened))
    return tuple(options)


def weigh(
    options: Sequence[SpareOption], *, unopened_spare: Decimal, running_short: Decimal
) -> tuple[WeighedOption, ...]:
    """Put both costs beside each option: of a spare that comes back, and of running short once.

    Raises ModelError for a cost below nought.
    """
    if unopened_spare < 0 or running_short < 0:
        raise ModelError("not_positive", "costs", "a cost is nought or more")
    return tuple(
        WeighedOption(
            option,
            unopened_spare * Decimal(repr(option.expected_unopened)),
            running_short * Decimal(repr(option.probability_short)),
        )
        for option in options
    )


def cheapest(weighed: Sequence[WeighedOption]) -> WeighedOption:
    """The option with the least total, the fewest spares where several are equal."""
    return min(weighed, key=lambda each: (each.total, each.option.spares))
