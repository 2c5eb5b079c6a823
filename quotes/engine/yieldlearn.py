"""A yield that learns: what a blend really takes on a kind of base, from the batch log.

The unit is kg per m² per nominal mm, so that depth and density, which cannot be told apart
without depth dips, are learnt together. Each bay end gives one record. For each pair of blend and
base kind the mean and the scatter are learnt by the normal–inverse-gamma conjugate update
(Gelman et al., Bayesian Data Analysis, section 3.3; memory); the prior comes from the blend card
and is shown apart from the firm's own record. A crew that lays thick or thin is a factor common to
its bays, shrunk towards 1. A spilt mix or a slip of the pen must not teach anything: a record
further than four robust standard deviations (1.4826 × the median absolute deviation, and never
less than 2 %) from its group's median is set aside and said.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import median

from quotes.engine.errors import ModelError
from quotes.engine.guards import positive

ASIDE = 4.0
LEAST_SCATTER = 0.02
CREW_SCATTER = 0.03  # crews differ by about 3 % (one standard deviation): common practice
MOST_FOR_MEDIAN_PRIOR = 4
_ROUNDS = 3
_TO_SD = 1.4826
_NOISE = 0.05**2  # variance of a bay as a share, for shrinking the crews

Group = tuple[str, str]


@dataclass(frozen=True, slots=True)
class BayRecord:
    """What one bay took: kg laid on area_m2 at a nominal depth_mm."""

    blend: str
    base: str
    crew: str
    kg: float
    area_m2: float
    depth_mm: float


@dataclass(frozen=True, slots=True)
class Prior:
    """What the blend card says: mean in kg/(m² mm); as good as `weight` records; scatter as a
    share of the mean, as good as `scatter_weight` records.
    """

    mean: float
    weight: float = 3.0
    scatter: float = 0.05
    scatter_weight: float = 4.0


@dataclass(frozen=True, slots=True)
class LearntYield:
    """A pair of blend and base kind. own_mean is None without own records.

    mean, sd_of_mean: posterior, kg/(m² mm); scatter: posterior standard deviation of a bay;
    records counted and the places (in the list given) of those set aside.
    """

    prior: Prior
    own_mean: float | None
    records: int
    aside: tuple[int, ...]
    mean: float
    sd_of_mean: float
    scatter: float

    def density(self, depth_mm: float, texture_mm: float = 0.0) -> float:
        """The compacted density in kg/m³ that gives this take at a depth and texture, for a
        take-off that reckons texture apart.
        """
        depth = positive(depth_mm, "depth", "mm")
        return 1000 * self.mean * depth / (depth + texture_mm)


@dataclass(frozen=True, slots=True)
class Learnt:
    """Yields by (blend, base kind), and crew factors: above 1 lays thick."""

    yields: Mapping[Group, LearntYield]
    crews: Mapping[str, float]


def card_prior(compacted_density: float) -> Prior:
    """The prior of a blend card: density in kg/m³ as kg per m² per mm."""
    return Prior(positive(compacted_density, "compacted density", "kg/m³") / 1000)


def learn(records: Sequence[BayRecord], priors: Mapping[Group, Prior]) -> Learnt:
    """Learn from all records. Every group needs its prior; groups without records keep theirs.

    The order of the records does not matter. Raises ModelError for a record that is no number
    or has no prior.
    """
    taken = [_taken(record, k) for k, record in enumerate(records)]
    groups: dict[Group, list[int]] = {group: [] for group in priors}
    crews: dict[str, list[int]] = {}
    for k, record in enumerate(records):
        group = record.blend, record.base
        if group not in groups:
            raise ModelError(
                "no_prior",
                f"records[{k}]",
                f"there is no prior for {record.blend} on {record.base}; give one from its card",
            )
        groups[group].append(k)
        crews.setdefault(record.crew, []).append(k)
    kept, aside = _sorted_out(taken, groups, priors)
    factors = _crew_factors(records, taken, groups, crews, kept, priors)
    yields = {
        group: _update(
            priors[group],
            [taken[k] / factors[records[k].crew] for k in members if kept[k]],
            aside.get(group, ()),
        )
        for group, members in groups.items()
    }
    return Learnt(yields, factors)


def _taken(record: BayRecord, k: int) -> float:
    found = (
        record.kg / (record.area_m2 * record.depth_mm) if record.area_m2 * record.depth_mm else 0
    )
    if not (math.isfinite(found) and record.kg > 0 and record.area_m2 > 0 and record.depth_mm > 0):
        raise ModelError(
            "not_positive",
            f"records[{k}]",
            "a record needs kg, area and nominal depth, each more than nought",
        )
    return found


def _sorted_out(
    taken: Sequence[float], groups: Mapping[Group, Sequence[int]], priors: Mapping[Group, Prior]
) -> tuple[list[bool], dict[Group, tuple[int, ...]]]:
    """Which records count, and which are set aside by group."""
    kept = [True] * len(taken)
    aside: dict[Group, tuple[int, ...]] = {}
    for group, members in groups.items():
        if not members:
            continue
        values = [taken[k] for k in members]
        centre = _centre(values, priors[group])
        scatter = _TO_SD * median(abs(value - centre) for value in values)
        if len(values) <= MOST_FOR_MEDIAN_PRIOR:
            scatter = priors[group].scatter * centre  # so few say nothing of their own scatter
        allowed = ASIDE * max(scatter, LEAST_SCATTER * centre)
        out = tuple(k for k in members if abs(taken[k] - centre) > allowed)
        for k in out:
            kept[k] = False
        if out:
            aside[group] = out
    return kept, aside


def _centre(values: Sequence[float], prior: Prior) -> float:
    """The group's median; with a few records the prior has a say, so that one spill has none."""
    if len(values) <= MOST_FOR_MEDIAN_PRIOR:
        return median([*values, *[prior.mean] * max(1, round(prior.weight))])
    return median(values)


def _crew_factors(
    records: Sequence[BayRecord],
    taken: Sequence[float],
    groups: Mapping[Group, Sequence[int]],
    crews: Mapping[str, Sequence[int]],
    kept: Sequence[bool],
    priors: Mapping[Group, Prior],
) -> dict[str, float]:
    """Crew factors by turns with group means: each the crew's mean ratio, shrunk towards 1."""
    names = sorted(crews)
    factors = dict.fromkeys(names, 1.0)
    if len(names) < 2:
        return factors  # one crew cannot be told from the blend
    counted = {g: [k for k in members if kept[k]] for g, members in groups.items()}
    mine = {name: [k for k in crews[name] if kept[k]] for name in names}
    group_of = [(record.blend, record.base) for record in records]
    crew_of = [record.crew for record in records]
    shrink = {
        name: len(mine[name]) / (len(mine[name]) + _NOISE / CREW_SCATTER**2) for name in names
    }
    for _ in range(_ROUNDS):
        means = {
            g: (
                priors[g].weight * priors[g].mean
                + math.fsum(taken[k] / factors[crew_of[k]] for k in members)
            )
            / (priors[g].weight + len(members))
            for g, members in counted.items()
        }
        for name in names:
            ratios = [taken[k] / means[group_of[k]] for k in mine[name]]
            mean = math.fsum(ratios) / len(ratios) if ratios else 1.0
            factors[name] = 1 + shrink[name] * (mean - 1)
    return factors


def _update(prior: Prior, values: Sequence[float], aside: tuple[int, ...]) -> LearntYield:
    """The normal–inverse-gamma update: mean, weight, shape and scale."""
    count = len(values)
    shape0 = prior.scatter_weight / 2
    scale0 = shape0 * (prior.scatter * prior.mean) ** 2
    own = math.fsum(values) / count if count else None
    weight = prior.weight + count
    mean = (prior.weight * prior.mean + math.fsum(values)) / weight
    squares = math.fsum((value - own) ** 2 for value in values) if own is not None else 0.0
    between = prior.weight * count * ((own or prior.mean) - prior.mean) ** 2 / weight
    shape = shape0 + count / 2
    scale = scale0 + (squares + between) / 2
    variance = scale / (shape - 1) if shape > 1 else scale / shape
    return LearntYield(
        prior,
        own,
        count,
        aside,
        mean,
        math.sqrt(variance / weight),
        math.sqrt(variance),
    )
