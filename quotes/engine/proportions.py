"""Proportions of components that keep to an envelope, and the nearest ones in bags.

Shares are of mass, from 0 to 1; bags by number, in wholes or quarters; masses in kg.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from quotes.engine.errors import BlendError
from quotes.engine.grading import Grading, Limits, checked_envelope, passing_at
from quotes.engine.guards import between, not_negative, positive
from quotes.engine.simplex import least_last
from quotes.engine.workings import Working, figure

_MOST_COMPONENTS = 8
_MOST_TRIED = 200_000


@dataclass(frozen=True, slots=True)
class Feasibility:
    """Whether any proportion of the components keeps to the envelope.

    shares: the proportion that stays clearest of the limits, or comes nearest to them; outside:
    by how many % points it is outside at worst (negative: by how many it is clear); binding:
    the sieves (mm) that hold it there.
    """

    possible: bool
    shares: tuple[float, ...]
    outside: float
    binding: tuple[float, ...]
    workings: tuple[Working, ...]


def feasible_shares(components: Sequence[Grading], envelope: Sequence[Limits]) -> Feasibility:
    """Whether any proportion of the components could keep to the envelope, and which does best.

    Exact: limits that are just met are met. Errors: BlendError for no components, more than
    eight, an envelope that will not do, or a sieve that a sheet does not tell.
    Source: linear programme, least greatest deviation.
    """
    if not 1 <= len(components) <= _MOST_COMPONENTS:
        raise BlendError(
            "wrong_number",
            "components",
            f"{len(components)} components are given; accepted: 1 to {_MOST_COMPONENTS}",
        )
    limits = checked_envelope(envelope)
    optimum = least_last(_rows(components, limits))
    *others, shifted = optimum.values
    shares = (1 - sum(others, Fraction(0)), *others)
    outside = shifted - 100
    held = (row // 2 for row in optimum.binding if row // 2 < len(limits))
    binding = tuple(dict.fromkeys(limits[place].sieve for place in held))
    said = Working(
        "possible proportions",
        "shares that make 100 % with the least greatest deviation from the envelope",
        tuple((c.name, f"{100 * float(s):.1f} %") for c, s in zip(components, shares, strict=True)),
        f"{'possible' if outside <= 0 else 'not possible'}; bound at "
        + ", ".join(f"{sieve:g} mm" for sieve in binding),
        "linear programme, solved exactly",
    )
    return Feasibility(
        outside <= 0, tuple(float(s) for s in shares), float(outside), binding, (said,)
    )


def _rows(
    components: Sequence[Grading], envelope: Sequence[Limits]
) -> list[tuple[list[Fraction], Fraction]]:
    """Rows for the shares of all components but the first, and the deviation + 100.

    The first component takes what the others leave, so that only inequalities remain.
    """
    rows = []
    for limits in envelope:
        first, *rest = (_exact(passing_at(component, limits.sieve)) for component in components)
        gains = [passed - first for passed in rest]
        down, shift = Fraction(-1), Fraction(100)
        rows.append(([*gains, down], _exact(limits.high) - first - shift))
        rows.append(([*(-gain for gain in gains), down], first - _exact(limits.low) - shift))
    rows.append(([*(Fraction(1) for _ in components[1:]), Fraction(0)], Fraction(1)))
    return rows


def _exact(value: float) -> Fraction:
    """The decimal that was typed, not the binary number nearest to it."""
    return Fraction(repr(float(value)))


def share_window(one: Grading, other: Grading, limits: Limits) -> tuple[float, float] | None:
    """The shares of `one` (rest `other`) that keep to the limits at one sieve, or None.

    Errors: BlendError for limits upside down or a sieve that a sheet does not tell.
    """
    checked_envelope([limits])
    a, b = passing_at(one, limits.sieve), passing_at(other, limits.sieve)
    if math.isclose(a, b, abs_tol=1e-12):
        return (0.0, 1.0) if limits.low - 1e-9 <= a <= limits.high + 1e-9 else None
    ends = sorted(((limits.low - b) / (a - b), (limits.high - b) / (a - b)))
    low, high = max(0.0, ends[0]), min(1.0, ends[1])
    return (low, high) if low <= high + 1e-12 else None


@dataclass(frozen=True, slots=True)
class NearestBags:
    """The bags nearest to the present ones that keep to the envelope.

    bags: by component; moved: mass (kg) added and taken away, summed.
    """

    bags: tuple[float, ...]
    moved: float
    workings: tuple[Working, ...]


def nearest_bags(
    components: Sequence[Grading],
    bag_masses: Sequence[float],
    present: Sequence[float],
    envelope: Sequence[Limits],
    *,
    step: float = 1.0,
    mass_change: float = 0.1,
) -> NearestBags | None:
    """The numbers of bags nearest to the present ones whose blend keeps to the envelope.

    bag_masses: kg of a bag of each component; step: 1 for whole bags, 0.25 for quarters;
    mass_change: share by which the mix's aggregate may grow or shrink, because the kit's resin
    stays the same. Nearest is the least mass moved. None if no such bags do. Errors: BlendError
    for lists of unequal length, another step, or too many choices; else as for `feasible_shares`.
    """
    if not len(components) == len(bag_masses) == len(present):
        raise BlendError("unequal", "bags", "the lists differ in length; accepted: one bag each")
    if step not in {1.0, 0.25}:
        raise BlendError("bad_step", "step", f"{step:g} is not offered; accepted: 1 or 0.25")
    masses = [positive(mass, "bag", "kg") for mass in bag_masses]
    now = [not_negative(n, "bags") * m for n, m in zip(present, masses, strict=True)]
    total = positive(math.fsum(now), "total mass", "kg")
    allowed = between(mass_change, "mass change", 0.0, 1.0) * total + 1e-9
    if not feasible_shares(components, envelope).possible:
        return None
    counts = [int((total + allowed) / (mass * step) + 1e-9) for mass in masses]
    if math.prod(count + 1 for count in counts) > _MOST_TRIED * math.factorial(len(counts)):
        raise BlendError("too_many", "bags", "too many choices of bags; accepted: larger steps")
    table = [[passing_at(c, limits.sieve) for c in components] for limits in envelope]
    choices = _choices(masses, now, step, (total - allowed, total + allowed), counts)
    for moved, bags in sorted(choices):
        if _keeps([n * m for n, m in zip(bags, masses, strict=True)], table, envelope):
            return NearestBags(bags, moved, (_said(components, present, bags),))
    return None


def _keeps(
    masses: Sequence[float], table: Sequence[Sequence[float]], envelope: Sequence[Limits]
) -> bool:
    total = math.fsum(masses)
    for limits, passings in zip(envelope, table, strict=True):
        passed = math.fsum(m * p for m, p in zip(masses, passings, strict=True)) / total
        if not limits.low - 1e-9 <= passed <= limits.high + 1e-9:
            return False
    return True


def _choices(
    masses: Sequence[float],
    now: Sequence[float],
    step: float,
    span: tuple[float, float],
    counts: Sequence[int],
) -> Iterator[tuple[float, tuple[float, ...]]]:
    """All numbers of bags whose mass lies in a span, each with the mass moved."""
    if not masses:
        if span[0] <= 0:
            yield (0.0, ())
        return
    for n in range(counts[0] + 1):
        mass = n * step * masses[0]
        if mass > span[1]:
            break
        left = (span[0] - mass, span[1] - mass)
        for rest, bags in _choices(masses[1:], now[1:], step, left, counts[1:]):
            yield (abs(mass - now[0]) + rest, (n * step, *bags))


def _said(
    components: Sequence[Grading], present: Sequence[float], bags: Sequence[float]
) -> Working:
    return Working(
        "nearest bags",
        "least mass moved among the bags that keep to the envelope",
        tuple((c.name, f"{n:g} bags now") for c, n in zip(components, present, strict=True)),
        ", ".join(f"{figure(n)} x {c.name}" for n, c in zip(bags, components, strict=True)),
        "search of all bags within the mass allowed",
    )
