import math
import random
from statistics import NormalDist, fmean

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import invgamma

from quotes.engine.errors import EngineError
from quotes.engine.yieldlearn import BayRecord, Prior, card_prior, learn

GROUP = ("buff", "concrete")
PRIOR = Prior(1.78)


def bay(taken: float, *, crew: str = "A", blend: str = "buff", base: str = "concrete") -> BayRecord:
    """A bay of 10 m² at 20 mm that took so many kg per m² per mm."""
    return BayRecord(blend, base, crew, taken * 200, 10.0, 20.0)


def test_without_records_the_card_stands() -> None:
    found = learn([], {GROUP: PRIOR}).yields[GROUP]
    assert (found.mean, found.own_mean, found.records) == (1.78, None, 0)


def test_prior_and_own_record_are_shown_apart() -> None:
    found = learn([bay(1.85)] * 5 + [bay(1.87)] * 5, {GROUP: PRIOR}).yields[GROUP]
    assert found.prior == PRIOR
    assert found.own_mean == pytest.approx(1.86)
    assert found.mean == pytest.approx((3 * 1.78 + 10 * 1.86) / 13)


def test_the_update_is_the_normal_inverse_gamma_one_by_quadrature() -> None:
    """The posterior mean and scatter against a brute sum over mean and variance."""
    values = [1.80, 1.84, 1.79, 1.86, 1.83, 1.81]
    found = learn([bay(v) for v in values], {GROUP: PRIOR}).yields[GROUP]
    shape, scale = PRIOR.scatter_weight / 2, PRIOR.scatter_weight / 2 * (0.05 * 1.78) ** 2
    means = np.linspace(1.5, 2.1, 1201)[:, None]
    variances = np.geomspace(1e-4, 0.5, 1500)[None, :]
    log = invgamma.logpdf(variances, shape, scale=scale)
    log = log - 0.5 * np.log(variances) - PRIOR.weight * (means - 1.78) ** 2 / (2 * variances)
    for value in values:
        log = log - 0.5 * np.log(variances) - (value - means) ** 2 / (2 * variances)
    weight = np.exp(log - log.max()) * variances  # the grid is even in the logarithm
    weight /= weight.sum()
    assert found.mean == pytest.approx(float((weight * means).sum()), rel=1e-4)
    assert found.scatter == pytest.approx(math.sqrt(float((weight * variances).sum())), rel=2e-2)


@pytest.mark.parametrize("count", [1, 3, 6, 40])
def test_a_spilt_mix_teaches_nothing(count: int) -> None:
    good = [bay(1.80 + 0.01 * (k % 3)) for k in range(count)]
    clean = learn(good, {GROUP: PRIOR}).yields[GROUP]
    spilt = learn([*good, bay(3.6)], {GROUP: PRIOR}).yields[GROUP]
    assert spilt.aside == (count,)
    assert spilt.mean == pytest.approx(clean.mean)


def test_a_crew_that_lays_thick_is_a_factor_of_its_own() -> None:
    rng = random.Random(5)
    true = {"A": 1.04, "B": 0.98, "C": 0.98}
    records = []
    for k in range(600):
        crew = "ABC"[k % 3]
        blend = "buff" if rng.random() < 0.5 else "grey"
        level = 1.80 if blend == "buff" else 1.90
        records.append(bay(level * true[crew] * rng.gauss(1, 0.02), crew=crew, blend=blend))
    found = learn(records, {GROUP: PRIOR, ("grey", "concrete"): PRIOR})
    assert found.crews["A"] / found.crews["B"] == pytest.approx(1.04 / 0.98, rel=0.01)
    ratio = found.yields["grey", "concrete"].mean / found.yields[GROUP].mean
    assert ratio == pytest.approx(1.90 / 1.80, rel=0.01)


def test_a_crew_with_one_bay_is_hardly_believed() -> None:
    records = [bay(1.80, crew="A")] * 30 + [bay(1.90, crew="B")]
    assert abs(learn(records, {GROUP: PRIOR}).crews["B"] - 1) < 0.02


def test_base_kinds_are_learnt_apart() -> None:
    records = [bay(1.80)] * 8 + [bay(2.0, base="tarmac")] * 8
    tarmac = ("buff", "tarmac")
    found = learn(records, {GROUP: PRIOR, tarmac: PRIOR}).yields
    assert found[GROUP].own_mean == pytest.approx(1.80)
    assert found[tarmac].own_mean == pytest.approx(2.0)


def test_more_records_leave_less_doubt() -> None:
    draw = NormalDist(1.8, 0.05).samples(200, seed=2)
    few = learn([bay(v) for v in draw[:20]], {GROUP: PRIOR}).yields[GROUP]
    many = learn([bay(v) for v in draw], {GROUP: PRIOR}).yields[GROUP]
    assert many.sd_of_mean < few.sd_of_mean
    assert many.mean == pytest.approx(fmean(draw), rel=0.01)


@given(st.lists(st.floats(1.5, 2.1), min_size=1, max_size=30), st.randoms(use_true_random=False))
def test_the_order_of_records_does_not_matter(values: list[float], rng: random.Random) -> None:
    records = [bay(v, crew="AB"[k % 2]) for k, v in enumerate(values)]
    found = learn(records, {GROUP: PRIOR})
    rng.shuffle(records)
    again = learn(records, {GROUP: PRIOR})
    assert again.yields[GROUP].mean == pytest.approx(found.yields[GROUP].mean, rel=1e-12)
    assert again.crews == pytest.approx(found.crews, rel=1e-12)


def test_the_card_gives_the_prior_and_the_posterior_a_density() -> None:
    assert card_prior(1778.0).mean == pytest.approx(1.778)
    found = learn([], {GROUP: card_prior(1778.0)}).yields[GROUP]
    assert found.density(20.0) == pytest.approx(1778.0)
    assert found.density(20.0, 2.0) == pytest.approx(1778.0 * 20 / 22)


@pytest.mark.parametrize(
    "record", [bay(-1.0), bay(math.nan), BayRecord("buff", "concrete", "A", 1, 0, 20)]
)
def test_a_record_that_is_no_number_is_refused(record: BayRecord) -> None:
    with pytest.raises(EngineError):
        learn([record], {GROUP: PRIOR})


def test_a_record_without_a_prior_is_refused() -> None:
    with pytest.raises(EngineError) as refused:
        learn([bay(1.8, base="gravel")], {GROUP: PRIOR})
    assert refused.value.where == "records[0]"
