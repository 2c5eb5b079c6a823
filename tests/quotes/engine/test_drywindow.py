from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.engine import drywindow as subject
from quotes.engine.errors import ModelError
from quotes.engine.maturity import ready_at
from quotes.engine.moisture import dew_point
from quotes.engine.profile import profile_from_hours
from quotes.engine.temperature import printed_law

LONDON = ZoneInfo("Europe/London")
SIX = datetime(2026, 5, 4, 6, tzinfo=LONDON)
HOUR = 3600.0
RULES = subject.LayingRules(base_dry=2 * HOUR)
LAW = printed_law(4 * HOUR)


def forecast(count=19, wet=(), **changed):
    """Hours from six, 20 °C, 50 %, wet ones named by their clock; changed: hour -> fields."""
    rows = []
    for n in range(count):
        at = SIX + timedelta(hours=n)
        fields = {"air_degc": 20.0, "humidity": 50.0, "rain": 0.001 if at.hour in wet else 0.0}
        fields |= changed.get(f"h{at.hour}", {})
        rows.append(subject.ForecastHour(at, **fields))
    return rows


def windows(rows, *, placing=1800.0, dry_before=0.0, rules=RULES, law=LAW):
    return subject.dry_windows(rows, law, placing=placing, dry_before=dry_before, rules=rules)


def clock(moment):
    return f"{moment:%H:%M}"


def test_the_window_ends_with_the_last_mix_and_its_rain_safe_age():
    (window,) = windows(forecast(wet=(6, 18)))
    assert clock(window.first_mix) == "09:00"  # rain to seven, base dry for two hours
    assert clock(window.last_mix) == "13:30"  # 18:00 less 4 h rain-safe less 30 min to place
    assert clock(window.safe_from) == "18:00"
    assert (clock(window.closes), window.closes_by) == ("18:00", "rain")


def test_dry_hours_before_the_forecast_count_for_the_base():
    (window,) = windows(forecast(wet=(18,)), dry_before=1.5 * HOUR)
    assert clock(window.first_mix) == "06:30"
    (unknown,) = windows(forecast(wet=(18,)))
    assert clock(unknown.first_mix) == "08:00"


def test_a_cold_afternoon_brings_the_last_mix_forward():
    cold = {f"h{n}": {"air_degc": 10.0} for n in range(12, 25)}
    (window,) = windows(forecast(wet=(6, 20), **cold))
    # From 12 to 20 at 10 °C the law runs at half its pace: 8 h for the whole of it.
    assert clock(window.last_mix) == "11:30"


def test_rain_between_two_dry_spells_gives_two_windows_or_none():
    assert [clock(w.first_mix) for w in windows(forecast(wet=(11,)))] == ["14:00"]
    assert windows(forecast(count=6, wet=(6, 10))) == ()


def test_evening_dew_closes_the_window_before_the_rain():
    damp = {f"h{n}": {"humidity": 84.0} for n in range(17, 25)}
    (window,) = windows(forecast(wet=(6,), **damp))
    assert window.closes_by == "dew"
    # 84 % at 20 °C leaves less than 3 °C; the crossing lies between 16:00 and 17:00.
    assert "16:00" < clock(window.closes) < "17:00"
    share = (window.closes - datetime(2026, 5, 4, 16, tzinfo=LONDON)).total_seconds() / HOUR
    assert 20 - dew_point(20, 50 + 34 * share) == pytest.approx(3, abs=0.01)


def test_a_cold_surface_counts_rather_than_the_air():
    cold = {f"h{n}": {"surface_degc": 11.0} for n in range(6, 25)}
    # Dew point of 20 °C and 50 % is 9.26 °C: 11 °C is less than 3 °C above it.
    assert windows(forecast(**cold)) == ()


def test_humid_air_stops_laying_but_not_the_cure():
    humid = {f"h{n}": {"humidity": 86.0} for n in (14, 15, 16)}
    rows = forecast(wet=(6, 20), **humid)
    rules = subject.LayingRules(base_dry=2 * HOUR, margin_degc=0)
    (window,) = windows(rows, rules=rules)
    assert clock(window.last_mix) < "13:30"
    assert clock(window.closes) == "20:00"


def test_a_frosty_night_closes_the_window_by_temperature():
    frost = {f"h{n}": {"air_degc": -2.0, "humidity": 20.0} for n in (22, 23)}
    (window,) = windows(forecast(wet=(6,), **frost))
    assert window.closes_by == "temperature"
    assert "21:00" < clock(window.closes) < "22:00"


def test_the_end_of_the_forecast_is_said_to_be_one():
    assert windows(forecast())[0].closes_by == "end of forecast"


def fit_to_lay(second, degc, humidity):
    air, damp = (np.interp(second / HOUR, range(24), row) for row in (degc, humidity))
    return damp < 85 and air - dew_point(float(air), float(damp)) >= 3


@given(
    rain=st.lists(st.booleans(), min_size=24, max_size=24),
    degc=st.lists(st.floats(6, 30), min_size=24, max_size=24),
    humidity=st.lists(st.floats(30, 95), min_size=24, max_size=24),
    placing=st.floats(0, 3600),
)
def test_a_last_mix_is_safe_and_a_later_one_would_not_be(rain, degc, humidity, placing):
    rows = [
        subject.ForecastHour(SIX + timedelta(hours=n), degc[n], humidity[n], 0.002 * rain[n])
        for n in range(24)
    ]
    course = profile_from_hours([r.at for r in rows], degc)
    law = printed_law(1.5 * HOUR)
    rules = subject.LayingRules(base_dry=HOUR)
    for window in windows(rows, placing=placing, law=law, rules=rules):
        placed = (window.last_mix - SIX).total_seconds() + placing
        closes = (window.closes - SIX).total_seconds()
        ready = ready_at(law, course, placed).seconds
        assert ready is not None
        assert ready <= closes + 2
        wet = [n * HOUR for n in range(23) if rain[n]]
        start = (window.first_mix - SIX).total_seconds()
        assert not [w for w in wet if start - HOUR + 2 < w < closes - 2]
        assert window.first_mix <= window.last_mix
        later = placed + 10
        too_late = later >= course.length or ready_at(law, course, later).seconds is None
        too_late = too_late or ready_at(law, course, later).seconds > closes
        assert too_late or not fit_to_lay(later, degc, humidity)


@pytest.mark.parametrize(
    ("rows", "code"),
    [
        (forecast(count=1), "too_few"),
        ([*forecast(count=2), forecast(count=2)[1]], "given_twice"),
        (list(reversed(forecast(count=3))), "bad_order"),
        ([subject.ForecastHour(SIX, 10, 50, -1), *forecast(count=3)[1:]], "negative"),
        ([subject.ForecastHour(SIX, 10, 0, 0), *forecast(count=3)[1:]], "out_of_range"),
    ],
)
def test_a_forecast_that_cannot_be_is_refused(rows, code):
    with pytest.raises(ModelError) as refused:
        windows(rows)
    assert refused.value.code == code
