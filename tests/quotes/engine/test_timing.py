import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.engine import timing
from quotes.engine.cards import Kit
from quotes.engine.errors import EngineError
from quotes.engine.parse import parse_kit

from . import samples

KIT = parse_kit(samples.kit(), "kit")
TABLE = [["5 degC", "60 min", "24 h"], ["15 degC", "35 min", "13 h"], ["25 degC", "18 min", "7 h"]]
TABLED = parse_kit(samples.kit(table=TABLE), "kit")
warmth = st.floats(0, 40)


def test_at_twenty_degrees_the_printed_figures_stand() -> None:
    found = timing.times(KIT, 20.0)
    assert found.working_minutes == pytest.approx(26)
    assert found.cure_hours == pytest.approx(10)
    assert found.rain_safe_hours == found.cure_hours
    assert found.foot_hours == pytest.approx(24)
    assert found.vehicle_hours == pytest.approx(72)


def test_the_hotter_rules_the_working_time_and_the_cooler_the_cure() -> None:
    found = timing.times(KIT, 10.0, 30.0)
    assert found.working_minutes == pytest.approx(13)
    assert found.cure_hours == pytest.approx(20)
    assert found.foot_hours == pytest.approx(48)


def test_warm_weather_never_shortens_foot_or_vehicle_time() -> None:
    found = timing.times(KIT, 30.0)
    assert found.cure_hours == pytest.approx(5)
    assert found.foot_hours == pytest.approx(24)
    assert found.vehicle_hours == pytest.approx(72)


@pytest.mark.parametrize(
    ("air", "surface", "answered"),
    [
        (0.0, None, True),
        (40.0, None, True),
        (-0.1, None, False),
        (40.1, None, False),
        (20.0, 41.0, False),
        (20.0, -1.0, False),
        (0.0, 40.0, True),
    ],
)
def test_the_limits_are_inclusive_and_outside_no_time_is_answered(
    air: float, surface: float | None, answered: bool
) -> None:
    found = timing.times(KIT, air, surface)
    assert [value is not None for value in found.as_dict().values()] == [answered] * 5


def test_the_makers_table_wins_and_runs_straight_in_the_logarithm() -> None:
    assert timing.times(TABLED, 15.0).working_minutes == pytest.approx(35)
    assert timing.times(TABLED, 10.0).working_minutes == pytest.approx((60 * 35) ** 0.5)
    assert timing.times(TABLED, 30.0).working_minutes == pytest.approx(18 / 2**0.5)
    assert timing.times(TABLED, 0.0).cure_hours == pytest.approx(24 * 2**0.5)
    assert timing.times(TABLED, 30.1).cure_hours is None
    assert timing.times(TABLED, -0.1).cure_hours is None


def test_rain_foot_and_vehicle_follow_the_cure_of_the_table() -> None:
    kit = parse_kit(samples.kit(table=TABLE, rain_safe_20c="4 h", foot_time_20c="12 h"), "kit")
    at_20 = (13 * 7) ** 0.5
    found = timing.times(kit, 15.0)
    assert found.rain_safe_hours == pytest.approx(4 * 13 / at_20)
    assert found.foot_hours == pytest.approx(12 * 13 / at_20)


def test_defaults_are_never_less_than_the_cure() -> None:
    slow = parse_kit(samples.kit(cure_time_20c="100 h"), "kit")
    assert timing.times(slow, 20.0).foot_hours == pytest.approx(100)
    assert timing.times(slow, 20.0).vehicle_hours == pytest.approx(100)


@given(warmth, warmth, st.sampled_from([KIT, TABLED]))
def test_warmer_is_never_longer(one: float, other: float, kit: Kit) -> None:
    found = [timing.times(kit, t) for t in sorted((one, other))]
    for cool, warm in zip(found[0].as_dict().values(), found[1].as_dict().values(), strict=True):
        if cool is not None and warm is not None:
            assert warm <= cool * (1 + 1e-12)


@pytest.mark.parametrize(
    ("changes", "code", "where"),
    [
        ({"limits": ["30 degC", "10 degC"]}, "bad_order", "kit.limits"),
        ({"limits": ["10 degC"]}, "bad_count", "kit.limits"),
        ({"table": []}, "bad_count", "kit.table"),
        ({"table": [TABLE[0], TABLE[0]]}, "given_twice", "kit.table"),
        (
            {"table": [["5 degC", "10 min", "5 h"], ["9 degC", "11 min", "4 h"]]},
            "rising_time",
            "kit.table",
        ),
        ({"table": [["5 degC", "10 min"]]}, "bad_count", "kit.table[0]"),
        ({"table": [[5, "10 min", "5 h"]]}, "no_unit", "kit.table[0][0]"),
        ({"cure_time_20c": "0 h"}, "not_positive", "kit.cure_time_20c"),
        ({"uv_stable": "yes"}, "bad_type", "kit.uv_stable"),
    ],
)
def test_a_kit_that_contradicts_itself_is_refused(
    changes: dict[str, object], code: str, where: str
) -> None:
    with pytest.raises(EngineError) as refused:
        parse_kit(samples.kit(**changes), "kit")
    assert (refused.value.code, refused.value.where) == (code, where)
