"""The chance of running short, and the spare mixes that bring it down.

A session needs, in mixes,

    N = (density + e_density) × Σ area_i × (1 + e_i) × (layer_i + e_layer) × (1 + waste) / mass

where the errors of density and of the layer (depth and texture together) are common to the whole
job and each e_i is an area's own. All are normal. Waste is expected loss and shifts N; it is no
contingency. For one session N given the density error is normal, so its chance is one integral
over that error. For several the chance that any runs short is integrated over the common errors
along the direction that moves all most, with a few points across. Own model; checked by simulation.

Long because: the chance and the loop that reckons it fast are read together.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

ACCEPTED = 0.05
_NONE = 1e-12
_NOUGHT = 1e-15  # a chance that changes nothing beside 1
_REACH = 6.0
_MANY = 300
_LEAST_WIDTH = 0.02
_ROOT_HALF = math.sqrt(0.5)
_ROOT_TAU = math.sqrt(2 * math.pi)
# Gauss–Hermite for a standard normal, three points; Gauss–Legendre, six points on −1…1.
# Abramowitz and Stegun 1964, tables 25.10 and 25.4 (memory); checked in the tests by moments.
_ACROSS = (
    (0.0, 0.6666666666666666),
    (1.7320508075688772, 0.16666666666666666),
    (-1.7320508075688772, 0.16666666666666666),
)
_ALONG = (
    (-0.9324695142031521, 0.1713244923791704),
    (-0.6612093864662645, 0.3607615730481386),
    (-0.2386191860831969, 0.4679139345726910),
    (0.2386191860831969, 0.4679139345726910),
    (0.6612093864662645, 0.3607615730481386),
    (0.9324695142031521, 0.1713244923791704),
)


@dataclass(frozen=True)
class SessionDemand:
    """What a lay session needs: parts are (area m², layer m, own error of the area m²).

    density in kg/m³; mixes_exact with waste, before any rounding; mixes: what it is given.
    """

    parts: tuple[tuple[float, float, float], ...]
    density: float
    mixes_exact: float
    mixes: float

    @cached_property
    def volume(self) -> float:
        """Area times layer, m³."""
        return math.fsum(area * layer for area, layer, _ in self.parts)

    @cached_property
    def area(self) -> float:
        """Area, m²."""
        return math.fsum(area for area, _, _ in self.parts)

    @cached_property
    def own(self) -> tuple[float, float, float]:
        """The own errors' variance as a polynomial in the layer's error: relative, from u⁰."""
        squares = [(error * error, layer) for _, layer, error in self.parts]
        v2 = self.volume * self.volume
        return (
            math.fsum(s * h * h for s, h in squares) / v2,
            math.fsum(2 * s * h for s, h in squares) / v2,
            math.fsum(s for s, _ in squares) / v2,
        )


@dataclass(frozen=True, slots=True)
class CommonErrors:
    """One standard deviation of the layer in m (depth and texture together) and of density."""

    layer_m: float
    density: float


@dataclass(frozen=True, slots=True)
class _Session:
    """A session made relative to what it is expected to need."""

    layer: float  # one standard deviation of the common layer error, relative
    density: float
    own: tuple[float, float, float]  # variance of the own errors by powers of the layer error z
    own_sd: float
    spread: float  # layer and own together

    def short(self, ratio: float) -> float:
        """The chance that it needs more than `ratio` times what is expected."""
        if ratio >= 1 - _NONE and self.spread < _NONE and self.density < _NONE:
            return 0.0
        if self.spread < 1e-3 * self.density:
            return upper_tail((ratio - 1) / self.density)
        if self.density < _NONE:
            return upper_tail((ratio - 1) / self.spread)
        step = min(0.75, 1.2 * self.spread / self.density)
        count = math.ceil(_REACH / step)
        total = weights = 0.0
        for k in range(-count, count + 1):
            z = k * step
            weight = math.exp(-0.5 * z * z)
            weights += weight
            factor = 1 + self.density * z
            if factor > 0:
                total += weight * upper_tail((ratio / factor - 1) / self.spread)
        return total / weights


def upper_tail(z: float) -> float:
    """P(Z > z) for a standard normal."""
    return 0.5 * math.erfc(z * _ROOT_HALF)


def _relative(demand: SessionDemand, common: CommonErrors) -> _Session:
    c0, c1, c2 = demand.own
    u = common.layer_m
    layer = u * demand.area / demand.volume
    own = (c0, c1 * u, c2 * u * u)
    own_variance = c0 + c2 * u * u
    return _Session(
        layer,
        common.density / demand.density,
        own,
        math.sqrt(own_variance),
        math.sqrt(layer * layer + own_variance),
    )


class Job:
    """The sessions of one job under common errors."""

    def __init__(self, demands: Sequence[SessionDemand], common: CommonErrors) -> None:
        self.demands = tuple(demands)
        self._sessions = tuple(_relative(demand, common) for demand in demands)
        self._alone: dict[tuple[int, int], float] = {}  # asked for again and again
        self._any: dict[tuple[int, ...], float] = {}

    def session_short(self, number: int, spares: int = 0) -> float:
        """The chance that one session needs more than its mixes and `spares` more."""
        known = self._alone.get((number, spares))
        if known is None:
            demand = self.demands[number]
            need = demand.mixes_exact
            ratio = (demand.mixes + spares) / need if need > 0 else math.inf
            known = self._alone[number, spares] = self._sessions[number].short(ratio)
        return known

    def any_short(self, spares: Sequence[int] | None = None) -> float:
        """The chance that at least one session runs short."""
        given = tuple(spares or (0,) * len(self.demands))
        if given not in self._any:
            self._any[given] = self._any_short(given)
        return self._any[given]

    def _any_short(self, given: tuple[int, ...]) -> float:
        alone = [self.session_short(k, n) for k, n in enumerate(given)]
        if len(alone) == 1:
            return alone[0]
        ratios = [
            (demand.mixes + n) / demand.mixes_exact
            for demand, n in zip(self.demands, given, strict=True)
        ]
        joint = _any_short(self._sessions, ratios, alone)
        return min(max(joint, *alone), math.fsum(alone), 1.0)

    def spares_for(self, risk: float = ACCEPTED) -> tuple[int, ...]:
        """Spare mixes a session, each given to the likeliest to run short, until the chance that
        any does is at most `risk` (0 < risk < 1). Their sum is the fewest that do by that rule.
        """
        # While one session alone is above the risk, the chance of any is too, so giving to the
        # likeliest passes through the state in which each has just enough for itself.
        spares = self._down_to(risk)
        if len(spares) == 1 or self.any_short(spares) <= risk:
            return spares
        if sum(demand.mixes for demand in self.demands) > _MANY:
            spares = self._nearly(risk)
        return self._step_from(list(spares), risk)

    def _nearly(self, risk: float) -> tuple[int, ...]:
        """A state on the way, not yet enough: 'each just below a level', the level halved in."""
        high, low = risk, risk / len(self.demands)
        for _ in range(8):
            level = math.sqrt(high * low)
            if self.any_short(self._down_to(level)) > risk:
                high = level
            else:
                low = level
        return self._down_to(high)

    def _step_from(self, spares: list[int], risk: float) -> tuple[int, ...]:
        alone = [self.session_short(k, n) for k, n in enumerate(spares)]
        while self.any_short(spares) > risk:
            worst = alone.index(max(alone))
            spares[worst] += 1
            alone[worst] = self.session_short(worst, spares[worst])
        return tuple(spares)

    def _down_to(self, level: float) -> tuple[int, ...]:
        """For each session the fewest spares with which it alone is at or below the level."""
        return tuple(self._fewest(k, level) for k in range(len(self.demands)))

    def _fewest(self, session: int, level: float) -> int:
        if self.session_short(session) <= level:
            return 0
        low, high = 0, 1
        while self.session_short(session, high) > level:
            low, high = high, 2 * high
        while high - low > 1:
            middle = (low + high) // 2
            if self.session_short(session, middle) > level:
                low = middle
            else:
                high = middle
        return high


def _any_short(
    sessions: Sequence[_Session], ratios: Sequence[float], alone: Sequence[float]
) -> float:
    along = sum(s.layer for s in sessions), sum(s.density for s in sessions)
    norm = math.hypot(*along)
    if norm < _NONE:
        return 1 - math.prod(1 - p for p in alone)
    direction = along[0] / norm, along[1] / norm
    return math.fsum(
        weight * _along(sessions, ratios, direction, across) for across, weight in _ACROSS
    )


def _along(
    sessions: Sequence[_Session],
    ratios: Sequence[float],
    direction: tuple[float, float],
    across: float,
) -> float:
    """The chance at one point across, integrated along the common direction."""
    # long because: the innermost loop of the risk, kept in one piece for its speed
    d0, d1 = direction
    crossings = [
        _crossing(s, ratio, direction, across) for s, ratio in zip(sessions, ratios, strict=True)
    ]
    start = max(-_REACH - 2, min(place - 5 * width for place, width, _ in crossings))
    end = min(_REACH + 2, *(place + 5 * width for place, width, _ in crossings))
    if start >= end:
        return upper_tail(end)
    finest = min(width for _, width, _ in crossings)
    panels = min(40, math.ceil((end - start) / min(2.0, 5 * finest)))
    half = (end - start) / panels / 2
    # Density enters as 1 + p + q w and the layer's error as r + t w, w the place along.
    told = [
        (1 + s.density * d0 * across, s.density * d1, s.layer, *s.own, ratio, least * least)
        for s, ratio, (_, _, least) in zip(sessions, ratios, crossings, strict=True)
    ]
    total = 0.0
    sqrt, erfc, exp = math.sqrt, math.erfc, math.exp
    for panel in range(panels):
        middle = start + (2 * panel + 1) * half
        for node, weight in _ALONG:
            w = middle + half * node
            z = d0 * w - d1 * across
            # The chance that none runs short given the common errors; most of the time goes here.
            fine = 1.0
            for base, slope, layer, c0, c1, c2, ratio, least2 in told:
                factor = base + slope * w
                if factor > 0:
                    own2 = c0 + z * (c1 + z * c2)
                    own = sqrt(own2 if own2 > least2 else least2)  # noqa: FURB136  max costs a call
                    fine *= 0.5 * erfc((1 + layer * z - ratio / factor) / own * _ROOT_HALF)
                    if fine < _NOUGHT:
                        break
            total += weight * (1 - fine) * exp(-0.5 * w * w)
    return total * half / _ROOT_TAU + upper_tail(end)


def _crossing(
    s: _Session, ratio: float, direction: tuple[float, float], across: float
) -> tuple[float, float, float]:
    """Where along the direction the session begins to run short, over what width, and the least
    own error reckoned with: without any the chance would be a step that no sum integrates.
    """
    d0, d1 = direction
    b0, b1 = 1 + s.density * d0 * across, s.density * d1
    a0, a1 = 1 - s.layer * d1 * across, s.layer * d0
    square, slope = a1 * b1, a0 * b1 + a1 * b0
    if square > _NONE:
        steep = math.sqrt(max(0.0, slope * slope - 4 * square * (a0 * b0 - ratio)))
        place = (steep - slope) / (2 * square)
    else:
        steep = max(slope, _NONE)
        place = (ratio - a0 * b0) / steep
    steep = max(steep, _NONE)
    width = max(_LEAST_WIDTH, s.own_sd * max(0.0, b0 + b1 * place) / steep)
    return place, width, _LEAST_WIDTH * steep
