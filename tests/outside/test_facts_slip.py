"""Published figures on slip and slopes against the engine's falls."""

import pytest

from quotes.engine.falls import (
    degrees,
    longest_ramp,
    notations,
    parse_fall,
    slip_potential,
    slip_potential_by_roughness,
    slope_for_people,
)
from tests.outside.sources import fact

TEST_HOUSE = "https://slip-testing-durham.co.uk/the-tests/"


@fact(rows=3, source=TEST_HOUSE, mark="seen")
@pytest.mark.parametrize(
    ("values", "potential"), [((0, 24), "high"), ((25, 35), "moderate"), ((36, 80), "low")]
)
def test_the_pendulum_scale(values, potential):
    """0 to 24 high, 25 to 35 moderate, 36 and more low slip potential."""
    assert {slip_potential(value) for value in values} == {potential}


@fact(
    rows=1,
    source="https://www.grip-potential.com/getting-the-most-out-of-slip-testing.html",
    mark="seen",
)
def test_36_is_low_risk():
    """From 36 the risk is low."""
    assert slip_potential(36) == "low"
    assert slip_potential(35) != "low"


@fact(rows=3, source=TEST_HOUSE, mark="seen")
@pytest.mark.parametrize(
    ("microns", "potential"), [(9.9, "high"), (10, "moderate"), (20, "moderate"), (20.1, "low")]
)
def test_roughness_where_no_pendulum_was_at_hand(microns, potential):
    """Rz below 10 µm high, 10 to 20 moderate, above 20 low."""
    assert slip_potential_by_roughness(microns * 1e-6) == potential


@fact(
    rows=2,
    source="https://www.designingbuildings.co.uk/wiki/Gently_sloping",
    mark="seen",
)
def test_gently_sloping():
    """1:60 to 1:20, which is 0.95 to 2.86 degrees."""
    gentle, steep = parse_fall("1:60"), parse_fall("1:20")
    assert (round(degrees(gentle), 2), round(degrees(steep), 2)) == (0.95, 2.86)
    assert slope_for_people(gentle) == slope_for_people(steep) == "gently sloping"
    assert slope_for_people(parse_fall("1:61")) == "level"
    assert slope_for_people(parse_fall("1:19")) == "ramp"


@fact(
    rows=3,
    source="http://www.home2fit.org.uk/accessibility-design/public-realm/gradients.aspx",
    mark="seen",
)
@pytest.mark.parametrize(("slope", "metres"), [("1:20", 10), ("1:15", 5), ("1:12", 2)])
def test_flights_of_ramps(slope, metres):
    """1:20 for 10 m, 1:15 for 5 m, 1:12 at most for 2 m between landings."""
    assert longest_ramp(parse_fall(slope)) == metres
    assert longest_ramp(parse_fall("1:11.9")) is None


@fact(
    rows=2,
    source=(
        "https://clearingourpath.ca/index.php/design-needs/exterior-design-elements/"
        "exterior-paths-of-travel/slope/"
    ),
    mark="seen",
)
def test_slopes_of_a_walkway():
    """No steeper than 1:20 along, ideally no more than 1:50 across."""
    assert slope_for_people(parse_fall("1:20")) == "gently sloping"
    assert parse_fall("1 in 50") == pytest.approx(0.02)


@fact(rows=3, source="1/n, and its arc tangent", mark="derived")
@pytest.mark.parametrize(
    ("ratio", "percent", "angle"),
    [("1:40", "2.5 %", 1.432), ("1:60", "1.67 %", 0.955), ("1:80", "1.25 %", 0.716)],
)
def test_falls_in_every_notation(ratio, percent, angle):
    """1:40, 1:60 and 1:80 as per cent and degrees, and back."""
    fall = parse_fall(ratio)
    assert notations(fall).ratio == ratio
    assert notations(fall).percent == percent
    assert degrees(fall) == pytest.approx(angle, abs=5e-4)
    assert parse_fall(f"{angle} degrees") == pytest.approx(fall, abs=1e-5)
