"""Published figures on vibration, noise, isocyanates, lifting and vans against the engine."""

import pytest

from quotes.engine.exposure import (
    ISOCYANATES,
    average_8h,
    daily_noise,
    noise_band,
    over_limit,
)
from quotes.engine.handling import LONGEST_CARRY, check_lift, filter_mass
from quotes.engine.loads import licence_covers, overload_percent
from quotes.engine.vibration import (
    ACTION_VALUE,
    LIMIT_VALUE,
    Use,
    daily_exposure,
    points_per_hour,
    time_to,
    vector_sum,
    weekly_exposure,
)
from tests.outside.sources import fact

HOUR = 3600.0
SCHEDULE = "http://www.legislation.gov.uk/uksi/2005/1093/schedules/made"
POINTS = (
    "https://esselacoustics.com/news/"
    "an-alternative-approach-for-predicting-the-hand-arm-vibration-hav-daily-exposure/"
)
FILTER = "https://www.hse.gov.uk/msd/manual-handling-risk-filters.htm"
CUTS = "https://watmos.simplyhas.com/lrn/flipbook/inc/html/65.html"


@fact(rows=3, source=SCHEDULE, mark="seen")
def test_the_schedules_formulas():
    """A(8) = a √(T/8), combined √(Σ a² T/8), and the vector sum of the axes."""
    assert daily_exposure([Use("tool", 6, 2 * HOUR)]).a8 == pytest.approx(3.0)
    day = [Use("one", 4, 2 * HOUR), Use("other", 6, 4 * HOUR)]
    assert daily_exposure(day).a8 == pytest.approx(((16 * 2 + 36 * 4) / 8) ** 0.5)
    assert vector_sum([1, 2, 2]) == pytest.approx(3.0)


@fact(rows=1, source=SCHEDULE, mark="seen")
def test_the_weekly_average():
    """√(Σ A(8)² / 5): five days of 2.5 are 2.5, one of five is 2.236 on its own."""
    assert weekly_exposure([2.5] * 5) == pytest.approx(2.5)
    assert weekly_exposure([5.0]) == pytest.approx(5 / 5**0.5)


@fact(rows=2, source="http://www.worksmart.org.uk/health/how_is_vibration_measured", mark="seen")
def test_the_action_and_the_limit_value():
    """2.5 and 5.0 m/s² A(8)."""
    assert (ACTION_VALUE, LIMIT_VALUE) == (2.5, 5.0)


@fact(rows=3, source=POINTS, mark="seen")
def test_points():
    """2 a² an hour; 100 points are the action value and 400 the limit."""
    assert points_per_hour(5) == 50
    assert daily_exposure([Use("tool", 2.5, 8 * HOUR)]).points == pytest.approx(100)
    assert daily_exposure([Use("tool", 5, 8 * HOUR)]).points == pytest.approx(400)


@fact(rows=1, source="4 m/s² for 2 h and 8 m/s² for half an hour", mark="derived")
def test_a_day_of_two_tools():
    """128 points, A(8) 2.828: above the action value, below the limit."""
    found = daily_exposure([Use("one", 4, 2 * HOUR), Use("other", 8, HOUR / 2)])
    assert found.points == pytest.approx(128)
    assert found.a8 == pytest.approx(2.828, abs=5e-4)
    assert (found.over_action, found.over_limit) == (True, False)


@fact(rows=7, source="480 min x (2.5/a)² and four times that", mark="derived")
@pytest.mark.parametrize(
    ("a", "action", "limit"),
    [
        (3, 333.3, 1333.3),
        (4, 187.5, 750),
        (5, 120, 480),
        (6, 83.3, 333.3),
        (8, 46.9, 187.5),
        (10, 30, 120),
        (12, 20.8, 83.3),
    ],
)
def test_minutes_to_the_two_values(a, action, limit):
    """Trigger times to the action and the limit value."""
    assert time_to(a) / 60 == pytest.approx(action, abs=0.05)
    assert time_to(a, LIMIT_VALUE) / 60 == pytest.approx(limit, abs=0.05)


@fact(rows=3, source="http://www.workingfit.co.uk/guides/health-surveillance/noise", mark="seen")
@pytest.mark.parametrize(
    ("level", "below", "at"),
    [(80, "below", "lower action"), (85, "lower action", "upper action")],
)
def test_noise_action_values(level, below, at):
    """Lower 80, upper 85, limit 87 dB(A)."""
    assert (noise_band(level - 0.1), noise_band(level)) == (below, at)
    assert (noise_band(87), noise_band(87.1)) == ("upper action", "over the limit")


@fact(
    rows=1,
    source="https://noiseproof.co.uk/blog/workplace-noise-exposure-limits-action-values",
    mark="seen",
)
def test_two_hours_at_90_decibels_stay_below_85():
    """90 dB for 2 h is below the upper action value."""
    assert daily_noise([(90, 2 * HOUR)]) < 85


@fact(rows=2, source="energy average over 8 h", mark="derived")
@pytest.mark.parametrize(
    ("parts", "level"),
    [
        ([(90, 2 * HOUR)], 83.98),
        ([(85, 4 * HOUR), (92, HOUR), (80, 3 * HOUR)], 85.95),
    ],
)
def test_daily_noise(parts, level):
    """Two days of noise."""
    assert daily_noise(parts) == pytest.approx(level, abs=5e-3)


@fact(rows=2, source="https://industrialairmonitoring.uk/isocyanate-monitoring", mark="seen")
def test_isocyanate_limits():
    """0.02 mg/m³ over 8 h, 0.07 over 15 min (quoting EH40)."""
    assert (ISOCYANATES.eight_hours, ISOCYANATES.fifteen_minutes) == (0.02, 0.07)


@fact(rows=1, source="sum of C t / 8", mark="derived")
def test_an_eight_hour_average():
    """0.05 for 2 h and 0.01 for 6 h are 0.02 mg/m³: at the limit, not over it."""
    average = average_8h([(0.05, 2 * HOUR), (0.01, 6 * HOUR)])
    assert average == pytest.approx(0.02)
    assert not over_limit(average, ISOCYANATES)


@fact(rows=1, source=FILTER, mark="seen")
def test_the_smallest_value_of_the_zones_crossed_counts():
    """A lift through several zones takes the smallest value."""
    through = [("lower leg", "close"), ("knuckle", "close"), ("elbow", "far")]
    values = [filter_mass([zone], "men") for zone in through]
    assert filter_mass(through, "men") == min(values)
    assert filter_mass(through, "men") < filter_mass(through[:2], "men")


@fact(rows=20, source="values of the lifting filter, memory", mark="memory")
@pytest.mark.parametrize(
    ("lifter", "rows"),
    [
        ("men", [(10, 5), (20, 10), (25, 15), (20, 10), (10, 5)]),
        ("women", [(7, 3), (13, 7), (16, 10), (13, 7), (7, 3)]),
    ],
)
def test_values_of_the_lifting_filter(lifter, rows):
    """Shoulder, elbow, knuckle, lower leg, floor; close and far. A bag of 25 kg is at the edge."""
    zones = ["shoulder", "elbow", "knuckle", "lower leg", "floor"]
    for zone, (close, far) in zip(zones, rows, strict=True):
        assert filter_mass([(zone, "close")], lifter) == close
        assert filter_mass([(zone, "far")], lifter) == far
    assert check_lift(25, [("knuckle", "close")], lifter).passes == (lifter == "men")


@fact(rows=6, source=CUTS, mark="seen")
def test_cuts_for_frequency_and_twisting():
    """To 30 an hour none; 30, 50 and 80 % off; 10 and 20 % off for twisting; carry 10 m."""

    def cut(**how):
        return filter_mass([("knuckle", "close")], "men", **how) / 25

    assert cut(lifts_per_hour=30) == 1
    assert cut(lifts_per_hour=90) == pytest.approx(0.7)
    assert cut(lifts_per_hour=6 * 60) == pytest.approx(0.5)
    assert cut(lifts_per_hour=13 * 60) == pytest.approx(0.2)
    assert cut(twist_degrees=46) == pytest.approx(0.9)
    assert cut(twist_degrees=91) == pytest.approx(0.8)
    assert 25 * cut(lifts_per_hour=90, twist_degrees=46) == pytest.approx(15.75)
    assert LONGEST_CARRY == 10


@fact(rows=1, source="https://www.ntta.co.uk/law/law/vehicle-categories", mark="seen")
def test_a_car_licence_covers_three_and_a_half_tonnes():
    """Category B: up to 3,500 kg maximum authorised mass."""
    assert licence_covers(3500)
    assert not licence_covers(3501)


@fact(
    rows=1,
    source=(
        "https://gov.uk/roadside-vehicle-checks-for-commercial-drivers/fines-penalty-points-"
        "sanctions"
    ),
    mark="seen",
)
def test_how_far_over_the_plate_is_a_matter_for_the_court():
    """Prosecution from 30 % over: 4,550 kg on a plate of 3,500."""
    assert overload_percent(4550, 3500) == pytest.approx(30)
