import pytest

from quotes.engine import site as subject
from quotes.engine.errors import EngineError
from quotes.engine.units import Q_


def test_dew_point_and_least_surface_as_quantities():
    # Memory-free: the example of 25 °C and 60 % of test_facts_dew_point, WMO constants.
    assert subject.dew_point("25 degC", "60 %").to("degC").magnitude == pytest.approx(
        16.693, abs=1e-3
    )
    in_fahrenheit = subject.least_surface("77 degF", Q_(60, "percent"))
    assert in_fahrenheit.to("degC").magnitude == pytest.approx(19.693, abs=1e-3)


def test_times_keep_their_unit_and_their_limits():
    found = subject.time_at("26 min", "30 degC")
    assert found is not None
    assert found.to("min").magnitude == pytest.approx(13)
    assert subject.time_at("26 min", "41 degC") is None


def test_water_in_millimetres_and_hours():
    speed = subject.conductivity("30 %", "0.1 mm")
    assert speed.to("m/s").magnitude == pytest.approx(2.297e-5, rel=2e-3)
    depth = subject.storage_depth([("2 h", "30 mm")], Q_(3.0, "mm/h"), "30 %")
    assert depth.to("mm").magnitude == pytest.approx(80)


def test_payload_in_tonnes():
    found = subject.usable_payload("3.5 t", {"van": "1980 kg", "crew": Q_(160, "kg")})
    assert found.to("kg").magnitude == pytest.approx(1360)


@pytest.mark.parametrize(
    "call",
    [
        lambda: subject.dew_point(25, "60 %"),
        lambda: subject.dew_point("25 degC", "0 %"),
        lambda: subject.time_at("26", "30 degC"),
        lambda: subject.time_at("26 kg", "30 degC"),
        lambda: subject.storage_depth([("2 h", "30 mm")], 3.0, "30 %"),
        lambda: subject.storage_depth([("2 h", "30 mm")], Q_(3.0, "mm"), "30 %"),
        lambda: subject.usable_payload("3500", {"van": "1980 kg"}),
    ],
)
def test_a_value_without_its_unit_is_refused(call):
    with pytest.raises(EngineError) as refused:
        call()
    assert refused.value.message


def test_vibration_of_a_day_as_a_quantity():
    shake = Q_(12.0, "metre / second ** 2")
    # 12 m/s² for half an hour: 12 x root(0.5 / 8) = 3 m/s², by hand
    found = subject.daily_vibration([("breaker", shake, "30 min")])
    assert found.to("metre / second ** 2").magnitude == pytest.approx(3)
    with pytest.raises(EngineError, match="will not do"):
        subject.daily_vibration([("breaker", "12 m/s", "30 min")])


def test_mix_temperature_as_a_quantity():
    per = "metre ** 2 / second ** 2 / kelvin"
    stone, kit = Q_(800.0, per), Q_(1600.0, per)
    found = subject.mix_temperature(
        [("stone", "100 kg", stone, "10 degC"), ("kit", "10 kg", kit, "70 degF")]
    )
    # 80,000 J/K at 10 °C and 16,000 J/K at 21.11 °C: 11.85 °C, by hand
    assert found.to("degC").magnitude == pytest.approx(11.852, abs=1e-3)
    with pytest.raises(EngineError, match="J/"):
        subject.mix_temperature([("stone", "100 kg", Q_(800.0, "kg"), "10 degC")])


def test_film_thickness_as_a_quantity():
    found = subject.film_thickness(
        "7 kg", "1100 kg/m^3", Q_(0.5, "metre ** 2 / kilogram"), "100 kg"
    )
    # 6.364 litres over 50 m²: 127.3 µm, by hand
    assert found.to("mm").magnitude == pytest.approx(0.12727, abs=1e-5)
