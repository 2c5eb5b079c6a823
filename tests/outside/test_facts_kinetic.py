"""The mean kinetic temperature against its published form and against the law it comes from."""

import numpy as np
import pytest
from scipy import constants, integrate, optimize
from scipy.special import logsumexp

from stock.conditions.rules.kinetic import GAS_CONSTANT, USUAL_ENERGY, mean_kinetic_c
from tests.outside.sources import fact

HAYNES = (
    "J. D. Haynes, Worldwide virtual temperatures for product stability testing, "
    "J. Pharm. Sci. 60 (1971) 927-929"
)
PHARMACOPEIA = "United States Pharmacopeia, general chapter 1079"


@fact(rows=1, source=PHARMACOPEIA, mark="memory")
def test_the_usual_energy_over_the_gas_constant_is_ten_thousand_kelvin():
    """83.144 kJ/mol over 0.0083144 kJ/(mol K) make the 10,000 K of the common form."""
    # Source: PHARMACOPEIA, memory: it takes 83.144 kJ/mol and R = 0.0083144 kJ/(mol K).
    assert USUAL_ENERGY == 83.144
    assert pytest.approx(10_000, rel=1e-4) == USUAL_ENERGY / GAS_CONSTANT


@fact(rows=1, source="hand arithmetic on the published form, with 10,000 K", mark="derived")
def test_equal_times_at_10_and_30_degrees_are_as_24_58():
    """Equal times at 10 and 30 °C have a mean kinetic temperature of 24.58 °C, above their mean."""
    # 10000/283.15 = 35.3170 and 10000/303.15 = 32.9870; e^-35.3170 / e^-32.9870 = 0.09730;
    # ln((1 + 0.09730) / 2) = -0.60028; 10000 / (32.9870 + 0.60028) = 297.73 K.
    assert mean_kinetic_c([10, 30]) == pytest.approx(24.58, abs=0.01)


@fact(rows=1, source=HAYNES, mark="memory")
def test_the_published_form_word_by_word():
    """T = (ΔH/R) / −ln((e^(−ΔH/RT1) + … + e^(−ΔH/RTn)) / n), written out in numpy."""
    # Source: HAYNES, memory.
    for seed in range(40):
        rng = np.random.default_rng(seed)
        values = rng.uniform(-20, 50, size=rng.integers(1, 200))
        energy = float(rng.uniform(40, 120))
        kelvin = values + 273.15
        ratio = energy / 8.314462618e-3
        theirs = ratio / -np.log(np.exp(-ratio / kelvin).sum() / len(kelvin)) - 273.15
        assert mean_kinetic_c(list(values), energy=energy) == pytest.approx(theirs, abs=1e-6)


@fact(
    rows=3,
    source="Arrhenius's law: scipy.integrate.quad and scipy.optimize.brentq run, and CODATA's gas "
    "constant as scipy.constants has it",
    mark="run",
)
@pytest.mark.parametrize("energy", [45.0, USUAL_ENERGY, 120.0])
def test_it_is_the_steady_temperature_that_ages_as_much_as_a_year_that_swings(energy):
    """What a year of days and seasons ages, and the steady temperature that ages as much."""
    # No formula of a mean here: the rate is integrated over the year, and the temperature at which
    # a steady rate gives the same is looked for. The factor before the exponential drops out.
    assert pytest.approx(constants.R, rel=1e-9) == GAS_CONSTANT * 1000

    def degrees(turn):
        return 11 + 8 * np.sin(2 * np.pi * turn) + 5 * np.sin(2 * np.pi * 52 * turn)

    def rate(celsius):
        # Beside the rate at 20 °C, so that the figures stay near 1.
        kelvin = celsius + constants.zero_Celsius
        return np.exp(energy * 1000 / constants.R * (1 / 293.15 - 1 / kelvin))

    evenly = list(degrees((np.arange(20_000) + 0.5) / 20_000))
    aged, _ = integrate.quad(lambda turn: rate(degrees(turn)), 0, 1, limit=2_000)
    steady = optimize.brentq(lambda celsius: rate(celsius) - aged, -5, 30, xtol=1e-9)
    assert mean_kinetic_c(evenly, energy=energy) == pytest.approx(steady, abs=1e-6)


def test_weighted_means_agree_with_scipy_over_a_year_of_hours():
    """The weighted mean of 8,760 hours against scipy's logsumexp."""
    hours = np.arange(8760)
    values = 12 + 9 * np.sin(hours / 8760 * 2 * np.pi) + 4 * np.sin(hours / 24 * 2 * np.pi)
    weights = np.random.default_rng(1).uniform(0.1, 3, size=len(hours))
    ratio = 83.144 / 8.314462618e-3
    theirs = ratio / -(
        logsumexp(-ratio / (values + 273.15), b=weights) - np.log(weights.sum())
    )  # fmt: skip
    ours = mean_kinetic_c(list(values), list(weights))
    assert ours == pytest.approx(theirs - 273.15, abs=1e-6)
    assert ours > np.average(values, weights=weights)
