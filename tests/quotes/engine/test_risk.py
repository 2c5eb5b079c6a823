import math
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quotes.engine import risk
from quotes.engine.parse import parse_request
from quotes.engine.risk import CommonErrors, Job, SessionDemand
from quotes.engine.takeoff import take_off

from . import samples

DRAWS = 200_000


def simulated(job: Job, common: CommonErrors, spares: tuple[int, ...] | None = None) -> float:
    """The chance that a session runs short, by throwing every error as the design defines it."""
    rng = np.random.default_rng(3)
    layer = rng.normal(0, common.layer_m, DRAWS) if common.layer_m else np.zeros(DRAWS)
    density = rng.normal(0, common.density, DRAWS) if common.density else np.zeros(DRAWS)
    short = np.zeros(DRAWS, dtype=bool)
    for demand, spare in zip(job.demands, spares or (0,) * len(job.demands), strict=True):
        volume = np.zeros(DRAWS)
        for area, depth, own in demand.parts:
            volume += (area + rng.normal(0, 1, DRAWS) * own) * (depth + layer)
        expected = demand.density * demand.volume
        needed = demand.mixes_exact * (demand.density + density) * volume / expected
        short |= needed > demand.mixes + spare + 1e-9
    return float(short.mean())


def demand(
    mixes: float,
    *,
    depth: float = 0.02,
    own: float = 0.01,
    areas: int = 2,
    extra: float = 0.0,
    density: float = 1778.0,
) -> SessionDemand:
    """A session of some areas that needs so many mixes and is given `extra` more."""
    each = mixes * 3.15 / areas
    parts = tuple((each, depth + 0.002 * k, each * own) for k in range(areas))
    return SessionDemand(parts, density, mixes, mixes + extra)


USUAL = CommonErrors(math.hypot(0.001, 0.0005), 30.0)
CASES: list[tuple[list[SessionDemand], CommonErrors]] = [
    ([demand(6.9, extra=0.1)], USUAL),
    ([demand(12.2, extra=0.8, areas=6)], USUAL),
    ([demand(12.2, extra=0.8, own=0.0)], USUAL),
    ([demand(9.5, extra=0.5)], CommonErrors(0.0, 0.0)),
    ([demand(9.5, extra=0.5)], CommonErrors(0.0, 120.0)),
    ([demand(9.5, extra=0.5, own=0.0)], CommonErrors(0.0, 120.0)),
    ([demand(9.5, extra=0.5)], CommonErrors(0.005, 200.0)),
    ([demand(7.7, extra=0.3), demand(9.6, extra=0.4)], USUAL),
    ([demand(7.7, extra=0.3), demand(9.6, extra=0.4)], CommonErrors(0.0, 0.0)),
    ([demand(7.7, extra=0.3, own=0), demand(9.6, extra=0.4, own=0)], USUAL),
    ([demand(7.7, extra=0.3, depth=0.012), demand(9.6, extra=0.4, depth=0.03)], USUAL),
    ([demand(7.7, extra=0.3, own=0.1), demand(9.6, extra=0.4, own=0.001)], USUAL),
    ([demand(7.7, extra=0.3, density=1500), demand(9.6, extra=0.4)], CommonErrors(0.003, 150.0)),
    ([demand(5.2 + k, extra=0.8) for k in range(6)], USUAL),
    ([demand(5.2 + k, extra=0.8, own=0.2) for k in range(6)], CommonErrors(0.0002, 5.0)),
    ([demand(4.0, extra=0.0), demand(5.9, extra=0.1), demand(3.5, extra=0.5)], USUAL),
    ([demand(60.0, extra=4), demand(1.5, extra=0.5, own=0.05)], CommonErrors(0.002, 60.0)),
]


@pytest.mark.parametrize(("demands", "common"), CASES)
def test_the_chance_agrees_with_simulation(
    demands: list[SessionDemand], common: CommonErrors
) -> None:
    job = Job(demands, common)
    assert job.any_short() == pytest.approx(simulated(job, common), abs=0.01)


@pytest.mark.parametrize(("demands", "common"), CASES)
def test_spares_bring_the_chance_down_as_simulation_says(
    demands: list[SessionDemand], common: CommonErrors
) -> None:
    job = Job(demands, common)
    spares = job.spares_for(0.05)
    assert job.any_short(spares) <= 0.05
    assert simulated(job, common, spares) <= 0.06


def greedy(job: Job, accepted: float) -> list[int]:
    """The design's rule word by word: one at a time, to the likeliest to run short."""
    given_out = [0] * len(job.demands)
    while job.any_short(given_out) > accepted:
        alone = [job.session_short(k, n) for k, n in enumerate(given_out)]
        given_out[alone.index(max(alone))] += 1
    return given_out


@pytest.mark.parametrize("accepted", [0.05, 0.01, 0.2])
@pytest.mark.parametrize(("demands", "common"), CASES)
def test_spares_are_those_of_the_rule_taken_step_by_step(
    demands: list[SessionDemand], common: CommonErrors, accepted: float
) -> None:
    job = Job(demands, common)
    assert list(job.spares_for(accepted)) == greedy(job, accepted)


def test_spares_of_a_large_job_are_those_of_the_rule_too() -> None:
    job = Job([demand(130.4, extra=0.6), demand(150.2, extra=0.8), demand(90.1, extra=0.9)], USUAL)
    assert list(job.spares_for(0.05)) == greedy(job, 0.05)


def test_without_any_error_nothing_runs_short() -> None:
    job = Job([demand(7.0, own=0.0), demand(6.5, own=0.0, extra=0.5)], CommonErrors(0.0, 0.0))
    assert job.any_short() == 0.0
    assert job.spares_for() == (0, 0)


def test_waste_is_expected_loss_and_no_contingency() -> None:
    plain = samples.document(areas=[samples.square(31.5)], waste_percent=0)
    wasted = samples.document(areas=[samples.square(31.5 / 1.25)], waste_percent=25)
    chances = [take_off(parse_request(d)).job.any_short() for d in (plain, wasted)]
    assert chances[0] == pytest.approx(chances[1], abs=1e-9)
    assert chances[0] == pytest.approx(0.5, abs=0.01)


def test_one_areas_tape_is_its_own_and_the_depth_is_everyones() -> None:
    one, many = [demand(8.0, areas=1, extra=0.5)], [demand(8.0, areas=9, extra=0.5)]
    none = CommonErrors(0.0, 0.0)
    assert Job(many, none).any_short() < Job(one, none).any_short()
    many[0] = SessionDemand(((25.2 / 2, 0.02, 0.0),) * 2, 1778.0, 8.0, 8.5)
    single = SessionDemand(((25.2, 0.02, 0.0),), 1778.0, 8.0, 8.5)
    assert Job(many, USUAL).any_short() == pytest.approx(Job([single], USUAL).any_short())


@settings(max_examples=60)
@given(
    samples.documents(),
    st.sampled_from(["depth", "density", "texture", "area_percent"]),
    st.floats(0, 3),
    st.floats(0, 3),
)
def test_a_larger_uncertainty_is_never_fewer_spares(
    document: dict[str, Any], key: str, one: float, other: float
) -> None:
    def spares(size: float) -> int:
        values = {
            "depth": f"{size:.6f} mm",
            "texture": f"{size:.6f} mm",
            "density": f"{50 * size:.6f} kg/m^3",
            "area_percent": size,
        }
        request = parse_request({**document, "uncertainty": {key: values[key]}})
        return sum(take_off(request).job.spares_for())

    low, high = sorted((one, other))
    assert spares(high) >= spares(low)


@given(samples.documents())
def test_chances_are_chances_and_more_spares_never_hurt(document: dict[str, Any]) -> None:
    job = take_off(parse_request(document)).job
    chance = job.any_short()
    assert 0 <= chance <= 1
    for k in range(len(job.demands)):
        more = [int(k == j) for j in range(len(job.demands))]
        assert job.any_short(more) <= chance + 1e-3  # two sums over different panels


def test_the_nodes_integrate_moments_exactly() -> None:
    # Three Gauss–Hermite points are exact to degree 5, six Gauss–Legendre points to degree 11.
    assert sum(w for _, w in risk._ACROSS) == pytest.approx(1)
    assert sum(w * x**2 for x, w in risk._ACROSS) == pytest.approx(1)
    assert sum(w * x**4 for x, w in risk._ACROSS) == pytest.approx(3)
    for power in range(0, 11, 2):
        total = sum(w * x**power for x, w in risk._ALONG)
        assert total == pytest.approx(2 / (power + 1), rel=1e-12)


def test_upper_tail_agrees_with_scipy() -> None:
    from scipy.stats import norm

    for z in (-6, -1, 0, 0.5, 1.645, 6):
        assert risk.upper_tail(z) == pytest.approx(float(norm.sf(z)), rel=1e-12)
