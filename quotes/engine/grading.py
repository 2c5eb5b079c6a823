"""Gradings of aggregates: sieves, blends by proportion, envelopes, fineness.

A sieve is named by its aperture in mm and passing is in per cent of mass, as a laboratory's
sheet prints them: both are labels of a series here, not quantities to convert.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from quotes.engine.errors import BlendError
from quotes.engine.guards import between, not_negative, positive
from quotes.engine.workings import Working, figure

SUM_SLACK = 1e-6  # shares must make 1 to within this
_SAME = 1e-6  # sieves whose apertures agree to this share are one sieve

# EN 12620 (memory) and the American series of doubling apertures.
EN_FINENESS = (4.0, 2.0, 1.0, 0.5, 0.25, 0.125)
US_FINENESS = (37.5, 19.0, 9.5, 4.75, 2.36, 1.18, 0.6, 0.3, 0.15)


@dataclass(frozen=True, slots=True)
class Grading:
    """A grading: name and (sieve mm, passing %) from the coarsest sieve down."""

    name: str
    passing: tuple[tuple[float, float], ...]

    @property
    def sieves(self) -> tuple[float, ...]:
        """The sieves (mm), coarsest first."""
        return tuple(sieve for sieve, _ in self.passing)


def grading(name: str, passing: Mapping[float, float]) -> Grading:
    """A grading from sieve (mm) to passing (%), in any order.

    Errors: BlendError for no sieves, and ModelError for a value outside 0 to 100; BlendError
    when more passes a finer sieve than a coarser one.
    """
    if not passing:
        raise BlendError("empty", name, "no sieves are given; accepted: one or more")
    ordered = sorted(
        ((positive(s, name, "mm"), between(p, name, 0.0, 100.0, "%")) for s, p in passing.items()),
        reverse=True,
    )
    for (coarse, more), (fine, less) in pairwise(ordered):
        if less > more + 1e-9:
            raise BlendError(
                "rising_passing",
                name,
                f"{less:g} % pass {fine:g} mm but only {more:g} % pass {coarse:g} mm; "
                "accepted: less through a finer sieve",
            )
    return Grading(name, tuple(ordered))


def from_retained(name: str, retained: Mapping[float, float], pan: float = 0.0) -> Grading:
    """A grading from what each sieve (mm) retained, in any one unit of mass, and the pan.

    Errors: as for `grading`, and ModelError for negative masses or nothing at all.
    """
    masses = {sieve: not_negative(mass, name) for sieve, mass in retained.items()}
    total = positive(math.fsum(masses.values()) + not_negative(pan, "pan"), f"total of {name}")
    passing, above = {}, 0.0
    for sieve in sorted(masses, reverse=True):
        above += masses[sieve]
        passing[sieve] = min(100.0, max(0.0, 100 * (1 - above / total)))
    return grading(name, passing)


def passing_at(one: Grading, sieve: float) -> float:
    """Passing (%) at a sieve (mm): as given, or straight over the logarithm of the aperture.

    Above the coarsest sieve all passes if all passes that one, below the finest nothing if
    nothing does. Errors: BlendError where the sheet does not tell.
    """
    wanted = positive(sieve, "sieve", "mm")
    for known, percent in one.passing:
        if math.isclose(known, wanted, rel_tol=_SAME):
            return percent
    coarsest, finest = one.passing[0], one.passing[-1]
    if wanted > coarsest[0] and coarsest[1] >= 100 - 1e-9:
        return 100.0
    if wanted < finest[0] and finest[1] <= 1e-9:
        return 0.0
    for (coarse, more), (fine, less) in pairwise(one.passing):
        if fine < wanted < coarse:
            share = math.log(wanted / fine) / math.log(coarse / fine)
            return less + share * (more - less)
    raise BlendError(
        "unknown_sieve",
        one.name,
        f"the sheet does not tell what passes {wanted:g} mm; "
        f"accepted: {finest[0]:g} to {coarsest[0]:g} mm",
    )


def check_shares(shares: Sequence[float], where: str = "shares") -> tuple[float, ...]:
    """Return shares of 0 to 1 that make 1; BlendError for others, saying what they make."""
    checked = tuple(between(share, where, 0.0, 1.0) for share in shares)
    total = math.fsum(checked)
    if abs(total - 1) > SUM_SLACK:
        raise BlendError(
            "not_whole", where, f"the shares make {100 * total:.4g} %; accepted: 100 % in all"
        )
    return checked


def combine(parts: Sequence[tuple[float, Grading]], name: str = "blend") -> Grading:
    """The grading of gradings mixed by shares of mass: P = sum of share x passing.

    The sieves are those of all parts. Errors: BlendError for shares that do not make 100 %, and
    where a sheet does not tell what passes a sieve of another.
    """
    shares = check_shares([share for share, _ in parts], name)
    sieves: list[float] = []
    for sieve in sorted({s for _, part in parts for s in part.sieves}, reverse=True):
        if not sieves or not math.isclose(sieves[-1], sieve, rel_tol=_SAME):
            sieves.append(sieve)
    return grading(
        name,
        {
            sieve: min(
                100.0,
                math.fsum(
                    share * passing_at(part, sieve)
                    for share, (_, part) in zip(shares, parts, strict=True)
                ),
            )
            for sieve in sieves
        },
    )


def combine_masses(parts: Sequence[tuple[float, Grading]], name: str = "blend") -> Grading:
    """The grading of gradings mixed by mass (kg): shares are the masses over their sum.

    Errors: ModelError for negative masses or nothing at all; else as for `combine`.
    """
    masses = [not_negative(mass, part.name, "kg") for mass, part in parts]
    total = positive(math.fsum(masses), "total mass", "kg")
    return combine(
        [(mass / total, part) for mass, (_, part) in zip(masses, parts, strict=True)], name
    )


@dataclass(frozen=True, slots=True)
class Fineness:
    """A fineness modulus with its workings."""

    modulus: float
    workings: tuple[Working, ...]


def fineness_modulus(one: Grading, series: Sequence[float] = EN_FINENESS) -> Fineness:
    """Sum of the cumulative per cent retained on the sieves of a series, over 100.

    Sieves of the series finer than the last that retained anything count too, in full: all is
    retained above them. Sieves outside the series do not count. Errors: BlendError where the
    sheet does not tell. Source: EN 12620 or the American definition, by the series.
    """
    rows = [(sieve, 100 - passing_at(one, sieve)) for sieve in series]
    modulus = math.fsum(retained for _, retained in rows) / 100
    said = Working(
        "fineness modulus",
        "sum of cumulative % retained on the series / 100",
        tuple((f"{sieve:g} mm", figure(retained, "%", 2)) for sieve, retained in rows),
        figure(modulus),
        "EN 12620" if tuple(series) == EN_FINENESS else "series as listed",
    )
    return Fineness(modulus, (said,))


@dataclass(frozen=True, slots=True)
class Limits:
    """The limits of an envelope at one sieve (mm): least and most passing (%)."""

    sieve: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class SieveCheck:
    """One sieve against its limits: passing (%) and how far outside, 0 within (% points).

    Negative when too little passes, positive when too much.
    """

    limits: Limits
    passing: float
    outside: float


@dataclass(frozen=True, slots=True)
class EnvelopeCheck:
    """A grading against an envelope: all sieves, and those that bind.

    binding: the sieves (mm) that fail; where none does, the one or ones nearest to a limit.
    """

    passes: bool
    rows: tuple[SieveCheck, ...]
    binding: tuple[float, ...]
    workings: tuple[Working, ...]


def check_envelope(one: Grading, envelope: Sequence[Limits]) -> EnvelopeCheck:
    """Check a grading against an envelope; a limit that is just met is met.

    Errors: BlendError for an empty envelope, limits upside down, or a sieve that the sheet does
    not tell.
    """
    rows = []
    for limits in checked_envelope(envelope):
        passed = passing_at(one, limits.sieve)
        short, over = limits.low - passed, passed - limits.high
        outside = -short if short > 1e-9 else over if over > 1e-9 else 0.0
        rows.append(SieveCheck(limits, passed, outside))
    failing = tuple(row.limits.sieve for row in rows if row.outside)
    margins = [min(r.passing - r.limits.low, r.limits.high - r.passing) for r in rows]
    tightest = tuple(
        row.limits.sieve
        for row, margin in zip(rows, margins, strict=True)
        if margin <= min(margins) + 1e-9
    )
    said = Working(
        "envelope",
        "least <= passing <= most, at each sieve",
        tuple(
            (
                f"{r.limits.sieve:g} mm",
                f"{r.passing:.1f} % in {r.limits.low:g} to {r.limits.high:g}",
            )
            for r in rows
        ),
        "within" if not failing else "outside at " + ", ".join(f"{s:g} mm" for s in failing),
        "envelope as given",
    )
    return EnvelopeCheck(not failing, tuple(rows), failing or tightest, (said,))


def checked_envelope(envelope: Sequence[Limits]) -> Sequence[Limits]:
    """Return the envelope; BlendError when it is empty or has limits upside down."""
    if not envelope:
        raise BlendError("empty", "envelope", "the envelope is empty; accepted: one sieve or more")
    for limits in envelope:
        if between(limits.low, "envelope", 0.0, 100.0) > between(limits.high, "envelope", 0, 100):
            raise BlendError(
                "bad_order",
                "envelope",
                f"at {limits.sieve:g} mm the least is above the most; accepted: the least first",
            )
    return envelope
