"""Storage under a permeable surface: rain of many durations, infiltration, time to half empty.

Rain depths in m, infiltration in m/s, durations in s, voids and ratios without unit.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from quotes.engine.errors import ModelError
from quotes.engine.guards import between, not_negative, positive
from quotes.engine.workings import Working, figure

UNMEASURED_VOIDS = 0.35  # share, where nobody has measured the sub-base
HALF_EMPTY_WITHIN = 24 * 3600.0  # s (memory)
GREATEST_RATIO = 2.0  # impermeable to permeable area that may drain onto it
SHORT_STORM = (0.010, 300.0)  # m, s: 10 mm in 5 minutes for up to 25 m2 (Approved Document H)


@dataclass(frozen=True, slots=True)
class Rain:
    """Rain of one duration: duration (s) and depth (m)."""

    duration: float
    depth: float


@dataclass(frozen=True, slots=True)
class Storage:
    """Depth of sub-base that holds the worst storm.

    depth: m; worst: the storm that sets it, None where nothing need be stored; by_duration:
    (s, m) with negative depths clamped to 0; half_empty: s, None where nothing soaks away.
    """

    depth: float
    worst: Rain | None
    by_duration: tuple[tuple[float, float], ...]
    half_empty: float | None
    empties_in_time: bool
    workings: tuple[Working, ...]


def growth_rain(m5_60: float, z1: float, z2: float, duration: float) -> Rain:
    """Rain of a duration (s) from the 60-minute, 5-year depth (m): M5-60 x Z1 x Z2.

    Errors: ModelError for factors or depths that are not positive. Source: the method of BRE
    Digest 365 with growth factors Z1 (duration) and Z2 (return period).
    """
    five_year = positive(m5_60, "M5-60", "m") * positive(z1, "Z1")
    return Rain(positive(duration, "duration", "s"), five_year * positive(z2, "Z2"))


def inflow(area: float, depth: float) -> float:
    """Water (m3) that a depth of rain (m) brings from an area (m2), all of it running off."""
    return positive(area, "area", "m2") * not_negative(depth, "rain", "m")


def outflow(wetted: float, rate: float, duration: float) -> float:
    """Water (m3) soaking away through a wetted area (m2) at a rate (m/s) in a duration (s)."""
    soaking = not_negative(wetted, "wetted area", "m2") * not_negative(rate, "rate", "m/s")
    return soaking * not_negative(duration, "duration", "s")


def design_infiltration(rate: float, safety: float) -> float:
    """The measured infiltration (m/s) over a factor of safety of 1 or more."""
    return not_negative(rate, "infiltration", "m/s") / between(safety, "safety factor", 1.0, 20.0)


def contributing_ratio(drained: float, permeable: float) -> tuple[float, bool]:
    """Impermeable to permeable area (both m2), and whether it keeps to 2 : 1.

    Source: SuDS Manual section 20.2, as given in council guidance.
    """
    ratio = not_negative(drained, "drained area", "m2") / positive(permeable, "permeable", "m2")
    return ratio, ratio <= GREATEST_RATIO * (1 + 1e-9)


def storage_depth(
    table: Sequence[Rain],
    infiltration: float,
    voids: float = UNMEASURED_VOIDS,
    ratio: float = 1.0,
) -> Storage:
    """Depth of sub-base (m) for the worst storm of a rainfall table.

    d = D (R i - q) / n, clamped at 0: a storm that soaks away as it falls needs no storage.
    infiltration: q in m/s, its safety factor taken already; ratio: R, drained area over
    infiltrating area, at least 1 where the surface itself takes rain. Errors: ModelError for an
    empty table or values out of range. Source: plane infiltration as in CIRIA 156 and C753
    (algebra from the public design wiki of a Canadian conservation authority).
    """
    if not table:
        raise ModelError("empty", "table", "the rainfall table is empty; accepted: one row or more")
    q = not_negative(infiltration, "infiltration", "m/s")
    n = between(voids, "voids", 0.01, 1.0)
    r = between(ratio, "ratio", 0.01, 1000.0)
    depths = [
        (
            positive(rain.duration, "duration", "s"),
            max(0.0, (r * not_negative(rain.depth, "rain", "m") - q * rain.duration) / n),
        )
        for rain in table
    ]
    deepest = max(range(len(depths)), key=lambda row: depths[row][1])
    depth = depths[deepest][1]
    half = half_empty_time(depth, q, n) if q else None
    said = _storage_working((q, n, r), table[deepest], depth)
    in_time = depth == 0 or (half is not None and half <= HALF_EMPTY_WITHIN * (1 + 1e-9))
    worst = table[deepest] if depth > 0 else None
    return Storage(depth, worst, tuple(depths), half, in_time, (said,))


def _storage_working(taken: tuple[float, float, float], worst: Rain, depth: float) -> Working:
    infiltration, voids, ratio = taken
    return Working(
        "storage depth",
        "(ratio x rain - infiltration x duration) / voids, the deepest of the table",
        (
            ("infiltration", f"{infiltration * 3.6e6:.4g} mm/h"),
            ("voids", f"{voids:.0%}"),
            ("ratio", figure(ratio)),
            ("worst storm", f"{worst.duration / 60:g} min, {worst.depth * 1000:g} mm"),
        ),
        f"{depth * 1000:.1f} mm",
        "plane infiltration, as in CIRIA 156 and C753",
    )


def half_empty_time(depth: float, infiltration: float, voids: float) -> float:
    """Time (s) in which a full layer falls to half: n h / (2 q).

    Errors: ModelError for infiltration that is not positive. Source: memory; target 24 h.
    """
    held = between(voids, "voids", 0.01, 1.0) * not_negative(depth, "depth", "m")
    return held / (2 * positive(infiltration, "infiltration", "m/s"))


# Whether a layer lets water through, for the whole build-up; a test on site comes first.
POROUS_BASES: Mapping[str, bool] = {
    "soil": True,
    "open-graded stone": True,
    "open-graded tarmac": True,
    "resin-bound surface": True,
    "type 1 sub-base": False,  # the fines of a well-graded sub-base close it
    "dense tarmac": False,
    "concrete": False,
    "paving on mortar": False,
}
