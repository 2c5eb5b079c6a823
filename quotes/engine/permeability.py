"""How fast water passes a layer: Kozeny-Carman, Hazen, and tests on the ground.

Lengths in m, velocities in m/s, temperatures in °C, masses in kg, times in s.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from quotes.engine.errors import ModelError
from quotes.engine.guards import between, positive
from quotes.engine.workings import Working, figure

GRAVITY = 9.80665
_LAMINAR = 10.0  # Reynolds number up to which flow through grains counts as laminar (memory)
_HAZEN_GRAINS = (0.1e-3, 3.0e-3)  # m, d10 for which the rule was made (memory)
_HAZEN_UNIFORMITY = 5.0  # d60 / d10, at most (memory)


@dataclass(frozen=True, slots=True)
class Permeability:
    """A permeability: conductivity (m/s), whether the rule is within its range, and why not."""

    conductivity: float
    in_range: bool
    remark: str
    workings: tuple[Working, ...]

    @property
    def mm_per_hour(self) -> float:
        """The same in mm/h, as sheets print it."""
        return self.conductivity * 3.6e6


def water_density(degc: float) -> float:
    """Density of water (kg/m3) at 0 to 40 °C. Source: Kell 1975 (coefficients from memory)."""
    t = between(degc, "water temperature", 0.0, 40.0, "°C")
    top = 999.83952 + t * (
        16.945176
        + t * (-7.9870401e-3 + t * (-46.170461e-6 + t * (105.56302e-9 - t * 280.54253e-12)))
    )
    return top / (1 + 16.879850e-3 * t)


def water_viscosity(degc: float) -> float:
    """Dynamic viscosity of water (Pa s) at 0 to 40 °C.

    Source: Kestin, Sokolov and Wakeham 1978, with 1.002 mPa s at 20 °C (memory).
    """
    t = between(degc, "water temperature", 0.0, 40.0, "°C")
    cold = 20.0 - t
    power = cold / (t + 96.0) * (1.2364 - 1.37e-3 * cold + 5.7e-6 * cold**2)
    viscosity: float = 1.002e-3 * 10.0**power
    return viscosity


def kozeny_carman(
    voids: float, grain: float, degc: float = 10.0, coefficient: float = 180.0
) -> Permeability:
    """Conductivity (m/s) by Kozeny-Carman: (rho g / mu) n3 / (1 - n)2 d2 / coefficient.

    voids: share, 0.05 to 0.6; grain: effective size in m; coefficient: 180, sometimes 150.
    It holds for laminar flow; open stone under a full head flows faster than that, and then
    the figure is too high, which is said. Errors: ModelError for values out of range.
    Source: Kozeny-Carman, as given by public groundwater calculators.
    """
    n = between(voids, "voids", 0.05, 0.6)
    d = between(grain, "grain size", 1e-6, 0.1, "m")
    density, viscosity = water_density(degc), water_viscosity(degc)
    open_share = n**3 / (1 - n) ** 2
    speed = density * GRAVITY / viscosity * open_share * d**2
    speed /= between(coefficient, "coefficient", 100.0, 250.0)
    reynolds = density * speed * d / viscosity
    laminar = reynolds <= _LAMINAR
    remark = "" if laminar else f"flow is not laminar (Reynolds {reynolds:.0f}); read it as a limit"
    said = Working(
        "permeability by Kozeny-Carman",
        "(density x g / viscosity) x n³ / (1 - n)² x d² / coefficient",
        (
            ("voids n", f"{n:.1%}"),
            ("grain d", figure(d * 1000, "mm")),
            ("water", f"{degc:g} °C, {viscosity * 1000:.3f} mPa s"),
            ("coefficient", f"{coefficient:g}"),
        ),
        f"{speed:.3g} m/s",
        "Kozeny-Carman",
    )
    return Permeability(speed, laminar, remark, (said,))


def hazen(d10: float, uniformity: float, coefficient: float = 1.0) -> Permeability:
    """Conductivity (m/s) by Hazen: k in cm/s = C x d10 squared in mm.

    d10 in m; uniformity: d60/d10; coefficient: C, 0.4 to 1.5. Made for d10 of 0.1 to 3 mm and a
    uniformity below 5; outside that an answer is given and said to be out of range. Errors:
    ModelError for values that make no sense. Source: Hazen (memory).
    """
    size = between(d10, "d10", 1e-6, 0.1, "m")
    spread = between(uniformity, "uniformity", 1.0, 1000.0)
    speed = between(coefficient, "coefficient", 0.4, 1.5) * (size * 1000) ** 2 / 100
    low, high = _HAZEN_GRAINS
    sized = low * (1 - 1e-9) <= size <= high * (1 + 1e-9)
    fits = sized and spread < _HAZEN_UNIFORMITY
    remark = "" if fits else "outside d10 0.1 to 3 mm and uniformity below 5; not to be relied on"
    said = Working(
        "permeability by Hazen",
        "k in cm/s = C x (d10 in mm)²",
        (("d10", figure(size * 1000, "mm")), ("uniformity", f"{spread:g}")),
        f"{speed:.3g} m/s",
        "Hazen (memory)",
    )
    return Permeability(speed, fits, remark, (said,))


@dataclass(frozen=True, slots=True)
class RingTest:
    """One ring test on a surface: water (kg), ring diameter (m), time (s) for it to go."""

    mass: float
    diameter: float
    seconds: float


@dataclass(frozen=True, slots=True)
class SurfaceInfiltration:
    """Infiltration of a surface: mean and least of the tests, m/s, with workings."""

    mean: float
    least: float
    workings: tuple[Working, ...]


def ring_infiltration(test: RingTest) -> float:
    """Infiltration (m/s) of one ring test: 4 M / (1000 pi D2 t).

    Errors: ModelError for values that are not positive. Source: ASTM C1701/C1781 single ring,
    whose constant 4 583 666 000 (memory) is this formula in mm and hours.
    """
    wetted = math.pi * positive(test.diameter, "diameter", "m") ** 2 / 4
    volume = positive(test.mass, "water", "kg") / 1000
    return volume / (wetted * positive(test.seconds, "time", "s"))


def surface_infiltration(tests: Sequence[RingTest]) -> SurfaceInfiltration:
    """Reduce the ring tests of a surface to their mean and their least (m/s).

    Errors: ModelError for no tests. Source: ASTM C1701/C1781.
    """
    if not tests:
        raise ModelError("empty", "tests", "no tests are given; accepted: one or more")
    rates = [ring_infiltration(test) for test in tests]
    mean = math.fsum(rates) / len(rates)
    said = Working(
        "surface infiltration",
        "water / (ring's area x time), mean of the tests",
        tuple(
            (f"test {n}", f"{t.mass:g} kg, {t.diameter * 1000:g} mm ring, {t.seconds:g} s")
            for n, t in enumerate(tests, start=1)
        ),
        f"{mean * 3.6e6:.0f} mm/h, least {min(rates) * 3.6e6:.0f} mm/h",
        "single ring test, ASTM C1701/C1781",
    )
    return SurfaceInfiltration(mean, min(rates), (said,))


@dataclass(frozen=True, slots=True)
class SoilInfiltration:
    """Soil infiltration rate (m/s), storage volume (m3) and wetted area (m2) of the pit."""

    rate: float
    volume: float
    wetted: float
    workings: tuple[Working, ...]


def soil_infiltration(
    length: float, width: float, depth: float, falls: Sequence[float]
) -> SoilInfiltration:
    """Soil infiltration rate (m/s) from a trial pit filled three times.

    length, width, effective depth in m; falls: times (s) from 75 % to 25 % full. The slowest
    of them counts. Rate = volume between 75 and 25 % / (area wetted at half depth, base
    included, x time). Errors: ModelError for fewer than three fillings or values not positive.
    Source: BRE Digest 365, as worked in public reports.
    """
    if len(falls) < 3:
        raise ModelError(
            "too_few", "falls", f"{len(falls)} fillings are given; accepted: three or more"
        )
    plan = positive(length, "length", "m") * positive(width, "width", "m")
    deep = positive(depth, "depth", "m")
    volume = plan * deep / 2
    wetted = plan + 2 * (length + width) * deep / 2
    slowest = max(positive(seconds, "fall", "s") for seconds in falls)
    rate = volume / (wetted * slowest)
    said = Working(
        "soil infiltration",
        "volume from 75 to 25 % / (wetted area at half depth x slowest time)",
        (
            ("volume", figure(volume, "m³")),
            ("wetted area", figure(wetted, "m²")),
            ("slowest time", figure(slowest / 60, "min", 1)),
        ),
        f"{rate:.3g} m/s",
        "BRE Digest 365",
    )
    return SoilInfiltration(rate, volume, wetted, (said,))
