"""Published rainfall, soakaway and storage figures against the engine's water."""

import math

import pytest

from quotes.engine.permeability import RingTest, ring_infiltration, soil_infiltration
from quotes.engine.water import (
    SHORT_STORM,
    UNMEASURED_VOIDS,
    Rain,
    design_infiltration,
    growth_rain,
    half_empty_time,
    inflow,
    outflow,
    storage_depth,
)
from tests.outside.sources import fact

MINUTE, HOUR = 60.0, 3600.0
RAIN = "https://ru.scribd.com/document/430947366/Asssfgh"
PIT = "https://www.scribd.com/document/121362036/soakway"
WIKI = "https://wiki.sustainabletechnologies.ca/wiki/Special:MobileDiff/4589"

# M5-60 = 20 mm, r = 0.40, ten years, 690 m2: duration min, Z1, M5 mm, Z2, M10 mm, inflow m3.
SOAKAWAY = [
    (10, 0.52, 10.4, 1.22, 12.69, 8.75),
    (15, 0.63, 12.6, 1.23, 15.50, 10.69),
    (30, 0.80, 16.0, 1.24, 19.84, 13.69),
    (60, 1.00, 20.0, 1.24, 24.80, 17.11),
    (120, 1.21, 24.2, 1.24, 30.01, 20.71),
    (240, 1.45, 29.0, 1.22, 35.38, 24.41),
    (360, 1.60, 32.0, 1.21, 38.72, 26.72),
    (600, 1.79, 35.8, 1.20, 42.96, 29.64),
    (1440, 2.24, 44.8, 1.18, 52.86, 36.48),
    (2880, 2.62, 52.4, 1.17, 61.31, 42.30),
    (5760, 3.05, 61.0, 1.15, 70.15, 48.40),
]
TEN_YEARS = [Rain(row[0] * MINUTE, row[4] / 1000) for row in SOAKAWAY]


@fact(rows=11, source=RAIN, mark="seen")
@pytest.mark.parametrize(("minutes", "z1", "m5", "z2", "m10", "cubic"), SOAKAWAY)
def test_a_soakaway_table_of_rain_and_inflow(minutes, z1, m5, z2, m10, cubic):
    """Rain of eleven durations and what 690 m² bring to the soakaway."""
    five = growth_rain(0.020, z1, 1, minutes * MINUTE)
    ten = growth_rain(0.020, z1, z2, minutes * MINUTE)
    assert five.depth * 1000 == pytest.approx(m5)
    assert ten.depth * 1000 == pytest.approx(m10, abs=0.006)
    assert inflow(690, ten.depth) == pytest.approx(cubic, abs=0.011)


@fact(rows=1, source=RAIN, mark="seen")
def test_what_soaks_away_is_area_times_rate_times_time():
    """O = area wetted to half depth x infiltration x duration."""
    assert outflow(12.0, 4.0e-5, HOUR) == pytest.approx(12.0 * 4.0e-5 * 3600)


@fact(rows=1, source=PIT, mark="seen")
def test_a_trial_pit():
    """A pit of 1.000 x 0.750 x 1.000 m that falls in 56 min: 4.464e-5 m/s."""
    found = soil_infiltration(1.000, 0.750, 1.000, [56 * MINUTE] * 3)
    assert found.volume == pytest.approx(0.375)
    assert found.wetted == pytest.approx(2.50)
    assert found.rate == pytest.approx(4.464e-5, abs=5e-9)


@fact(rows=1, source=PIT, mark="seen")
def test_the_longest_of_three_falls_counts():
    """Falls of 56, 55 and 56 min: the longest is used, not the mean."""
    found = soil_infiltration(1.000, 0.750, 1.000, [56 * MINUTE, 55 * MINUTE, 56 * MINUTE])
    assert found.rate == pytest.approx(4.464e-5, abs=5e-9)


@fact(
    rows=1,
    source="https://www.scribd.com/document/433240728/Percolation-Test-Guidance-Soakaways",
    mark="seen",
)
def test_the_short_storm_of_small_roofs():
    """Up to 25 m²: 10 mm in 5 minutes, so that 20 m² bring 0.20 m³."""
    depth, duration = SHORT_STORM
    assert inflow(20, depth) == pytest.approx(0.20)
    assert duration == 5 * MINUTE


@fact(
    rows=1,
    source=(
        "https://wiki.trca.io/index.php?diff=7948&oldid=7947&title="
        "Bioretention%3A_Sizing_and_modeling"
    ),
    mark="seen",
)
def test_plane_infiltration():
    """d = D (R i - q) / n with D in h, i and q in mm/h."""
    duration, intensity, q, ratio, voids = 2.0, 15.0, 6.0, 1.5, 0.4
    rain = Rain(duration * HOUR, duration * intensity / 1000)
    found = storage_depth([rain], q / 1000 / HOUR, voids, ratio)
    assert found.depth * 1000 == pytest.approx(82.5)  # 2 x (1.5 x 15 - 6) / 0.4


@fact(
    rows=1,
    source=(
        "https://wikidev.sustainabletechnologies.ca/index.php?title=Special%3AMobileDiff%2F12165"
    ),
    mark="seen",
)
def test_a_reservoir_with_ground_that_drains_onto_it():
    """d = [(RVC R) + RVC - f' D] / n, which is plane infiltration with a ratio of R + 1."""
    rain, ratio, soak, duration, voids = 25.0, 1.0, 2.5, 6.0, 0.4
    found = storage_depth(
        [Rain(duration * HOUR, rain / 1000)], soak / 1000 / HOUR, voids, ratio + 1
    )
    assert found.depth * 1000 == pytest.approx((rain * ratio + rain - soak * duration) / voids)


@fact(
    rows=1,
    source="https://wikidev.sustainabletechnologies.ca/wiki/Special:MobileDiff/4402",
    mark="seen",
)
def test_a_stone_base_with_voids_of_0_4_filling_for_two_hours():
    """d = (Qc R + P - q T) / Vr with Vr = 0.4 and T = 2 h."""
    found = storage_depth([Rain(2 * HOUR, 0.025)], 3.0 / 1000 / HOUR, 0.4, 1.5)
    # Qc = P = 25 mm, R = 0.5, q = 3 mm/h: (12.5 + 25 - 6) / 0.4
    assert found.depth * 1000 == pytest.approx(78.75)


@fact(rows=2, source=WIKI, mark="seen")
def test_voids_when_unmeasured_and_the_factor_of_safety():
    """Voids of 0.35 when unmeasured; q' = q / SF."""
    assert UNMEASURED_VOIDS == 0.35
    assert design_infiltration(1.2e-5, 2) == pytest.approx(0.6e-5)


@fact(rows=8, source="plane infiltration under the ten-year rain, n = 0.30, R = 1", mark="derived")
@pytest.mark.parametrize(
    ("q", "millimetres"),
    [
        (1e-6, {10: 40.3, 60: 70.7, 120: 76.0, 240: 69.9}),
        (5e-6, {15: 36.7, 30: 36.1}),
        (1e-5, {10: 22.3, 1440: 0.0}),
    ],
)
def test_storage_under_a_permeable_drive(q, millimetres):
    """Depths by duration; the deepest of the table counts, negatives are clamped to nought."""
    found = storage_depth(TEN_YEARS, q, 0.30)
    depths = {round(seconds / MINUTE): depth * 1000 for seconds, depth in found.by_duration}
    for minutes, depth in millimetres.items():
        assert depths[minutes] == pytest.approx(depth, abs=0.06)
    assert found.depth * 1000 == pytest.approx(max(millimetres.values()), abs=0.06)


@fact(rows=1, source="time to half empty n h / (2 q), memory", mark="memory")
def test_time_to_half_empty():
    """200 mm at voids of 0.30 over 1e-6 m/s: 8.33 h."""
    assert half_empty_time(0.2, 1e-6, 0.30) / HOUR == pytest.approx(8.333, abs=1e-3)


@fact(rows=1, source="single ring of ASTM C1701/C1781, constant 4,583,666,000", mark="memory")
def test_the_constant_of_the_ring_test():
    """I = K M / (D² t) in mm/h; K from memory agrees with 4 x 3.6e9 / pi to a millionth."""
    assert 4 * 3.6e9 / math.pi == pytest.approx(4_583_666_000, rel=1e-6)
    found = ring_infiltration(RingTest(18, 0.300, 60)) * 3.6e6
    assert found == pytest.approx(4_583_666_000 * 18 / (300**2 * 60), rel=1e-6)


@fact(rows=1, source="the ring test's formula with 18 kg, 300 mm and 60 s", mark="derived")
def test_a_ring_test():
    """18 kg on a 300 mm ring gone in 60 s: 15,279 mm/h."""
    assert round(ring_infiltration(RingTest(18, 0.300, 60)) * 3.6e6) == 15_279
