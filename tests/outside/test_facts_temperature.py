"""Published figures on pot life, cure and maturity against the engine's time laws."""

import pytest

from quotes.engine.maturity import (
    equivalent_age,
    nurse_saul,
    temperature_to_factor,
    time_to_factor,
)
from quotes.engine.profile import profile_of
from quotes.engine.temperature import (
    GAS_CONSTANT,
    arrhenius_rate,
    doubling_energy,
    doubling_time,
)
from tests.outside.sources import fact

HOUR = 3600.0
TEN_DEGREES = (
    "https://www.bonstone.com/affect-of-temperature-on-the-cure-properties-of-two-part-adhesives/"
)
GLOSSARY = "http://www.nilsmalmgren.com/technical/glossary/"


@fact(rows=2, source=TEN_DEGREES, mark="seen")
def test_ten_degrees_halve_gel_and_cure():
    """Gel 10 min and cure 60 min at 25 °C become 5 and 30 min at 35 °C."""
    # Source: TEN_DEGREES, rule and worked example.
    assert doubling_time(10 * 60, 25, 35) == pytest.approx(5 * 60)
    assert doubling_time(60 * 60, 25, 35) == pytest.approx(30 * 60)


@fact(
    rows=1,
    source=(
        "https://incurelab.com/wp/"
        "how-epoxy-pot-life-changes-with-temperature-planning-your-assembly-window"
    ),
    mark="seen",
)
@pytest.mark.parametrize(("factor", "minutes"), [(1.5, 13.3333), (2.5, 8.0)])
def test_the_factor_is_typically_from_1_5_to_2_5(factor, minutes):
    """The factor for 10 °C is typically 1.5 to 2.5, so that it is a parameter."""
    assert doubling_time(20 * 60, 20, 30, factor) == pytest.approx(minutes * 60, rel=1e-4)


@fact(rows=1, source=GLOSSARY, mark="seen")
def test_hardening_is_halved_from_20_to_30_degrees():
    """Going from 20 to 30 °C halves the hardening time."""
    assert doubling_time(8 * HOUR, 20, 30) == pytest.approx(4 * HOUR)


@fact(
    rows=1,
    source="https://experts123.com/q/how-does-temperature-variation-effect-epoxy.html",
    mark="seen",
)
def test_eighteen_degrees_fahrenheit_below_77_double_the_pot_life():
    """At 59 °F the pot life is twice that at 77 °F."""
    at_77, at_59 = (77 - 32) / 1.8, (59 - 32) / 1.8
    assert doubling_time(20 * 60, at_77, at_59) == pytest.approx(40 * 60)


@fact(rows=8, source="arithmetic of the 10-degree rule from 20 min at 25 °C", mark="derived")
@pytest.mark.parametrize(
    ("degc", "minutes"),
    [
        (5, 80.000),
        (10, 56.569),
        (15, 40.000),
        (20, 28.284),
        (25, 20.000),
        (30, 14.142),
        (35, 10.000),
        (40, 7.071),
    ],
)
def test_a_table_of_the_ten_degree_rule(degc, minutes):
    """Twenty minutes at 25 °C, factor 2."""
    assert doubling_time(1200, 25, degc) / 60 == pytest.approx(minutes, abs=5e-4)


@fact(rows=5, source="R ln 2 / (1/T1 - 1/T2) with R = 8.314462618 (memory)", mark="derived")
@pytest.mark.parametrize(
    ("low", "kj"), [(5, 46.19), (10, 47.84), (15, 49.51), (20, 51.22), (25, 52.95)]
)
def test_energies_that_double_the_rate_over_ten_degrees(low, kj):
    """Activation energies with which 10 °C double the rate."""
    assert doubling_energy(low, low + 10) / 1000 == pytest.approx(kj, abs=5e-3)


def steps(*rows, hours=12):
    """A profile of steady spells of so many hours."""
    points = []
    for n, degc in enumerate(rows):
        points += [(n * hours * HOUR, degc), ((n + 1) * hours * HOUR, degc)]
    return profile_of(points)


@fact(
    rows=1,
    source="https://construction.rpxtech.com/concrete-maturity-formula.html",
    mark="seen",
)
def test_time_below_the_datum_counts_nothing():
    """M = sum of (Ta - T0) dt; intervals with Ta < T0 contribute 0."""
    profile = steps(10, -5, 10)
    assert nurse_saul(profile, 0, profile.length) / HOUR == pytest.approx(240)


@fact(
    rows=1,
    source=(
        "https://maker-label-studio.vercel.app/guides/"
        "how-to-calculate-concrete-maturity-astm-c1074/"
    ),
    mark="seen",
)
def test_a_day_of_two_temperatures_makes_540_degree_hours():
    """12 h at 20 °C then 12 h at 25 °C, datum 0: 540 °C h."""
    profile = steps(20, 25)
    assert nurse_saul(profile, 0, profile.length) / HOUR == pytest.approx(540)


@fact(
    rows=2,
    source="http://www.engius.com/blog/post/A-Little-Maturity-Math-a-Lot-of-Insight!.aspx",
    mark="seen",
)
def test_the_maturity_sum_solved_backwards():
    """3,500 °C h take 152 h at 23 °C; in 72 h they need 49 °C."""
    assert round(time_to_factor(3500 * HOUR, 23) / HOUR) == 152
    assert round(temperature_to_factor(3500 * HOUR, 72 * HOUR)) == 49


@fact(rows=1, source="https://www.sensytec.com/concrete-maturity-method.html", mark="seen")
def test_a_datum_of_nought():
    """Newer practice takes 0 °C as the datum: 12 h at 20 °C are 240 °C h."""
    assert nurse_saul(steps(20), 0, 12 * HOUR) / HOUR == pytest.approx(240)


@fact(rows=1, source="https://contemp.live/maturity.html", mark="seen")
def test_a_datum_of_minus_ten():
    """Older practice takes -10 °C as the datum: 12 h at 20 °C are 360 °C h."""
    assert nurse_saul(steps(20), 0, 12 * HOUR, -10) / HOUR == pytest.approx(360)


@fact(rows=7, source="exp[-Q(1/T - 1/Ts)], Q = 5000 K, Ts = 20 °C, offset 273", mark="derived")
@pytest.mark.parametrize(
    ("degc", "rate"),
    [
        (0, 0.2865),
        (5, 0.3982),
        (10, 0.5472),
        (15, 0.7436),
        (25, 1.3315),
        (30, 1.7563),
        (35, 2.2958),
    ],
)
def test_rates_of_equivalent_age_for_q_5000(degc, rate):
    """Rate factors of equivalent age, Q = 5000 K."""
    found = arrhenius_rate(degc, 20, 5000 * GAS_CONSTANT, 273)
    assert found == pytest.approx(rate, abs=5e-5)


@fact(rows=7, source="the same with Ea = 33.5 kJ/mol, the usual default", mark="derived")
@pytest.mark.parametrize(
    ("degc", "rate"),
    [
        (0, 0.3652),
        (5, 0.4762),
        (10, 0.6151),
        (15, 0.7876),
        (25, 1.2595),
        (30, 1.5743),
        (35, 1.9537),
    ],
)
def test_rates_of_equivalent_age_for_33_5_kilojoules(degc, rate):
    """Rate factors of equivalent age, Ea = 33.5 kJ/mol."""
    profile = steps(degc, hours=1)
    found = equivalent_age(profile, 0, HOUR, reference_degc=20, energy=33_500, zero=273) / HOUR
    assert found == pytest.approx(rate, abs=5e-5)
