import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.engine import dimensions, units
from quotes.engine.errors import EngineError, UnitError
from quotes.engine.units import Q_


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("3.2 m", 3.2),
        ("3200mm", 3.2),
        ("320 cm", 3.2),
        ("12 ft 6 in", 3.81),
        ("1 m 20 cm", 1.2),
        ("  1.5\u00a0m ", 1.5),
        ("1e3 mm", 1.0),
        ("2 yd 1 ft", 2.1336),
        (".5 km", 500.0),
        ("1.4849242404917498 m", 1.4849242404917498),
    ],
)
def test_length_reads_what_a_tape_says(text: str, metres: float) -> None:
    assert units.length(text, "x") == pytest.approx(metres, rel=1e-15)


@pytest.mark.parametrize(
    ("reader", "text", "found"),
    [
        (units.area, "3.15 m^2", 3.15),
        (units.area, "3.15 m²", 3.15),
        (units.area, "3.15m2", 3.15),
        (units.mass, "250 g", 0.25),
        (units.density, "1778 kg/m³", 1778.0),
        (units.density, "1.778 t/m^3", 1778.0),
        (units.duration, "1 h 30 min", 5400.0),
        (units.minutes, "2 h", 120.0),
        (units.angle, "90 deg", math.pi / 2),
        (units.angle, "360°", 2 * math.pi),
        (units.percent, "70 %", 70.0),
        (units.temperature, "53.6 degF", 12.0),
        (units.temperature, "-3 °C", -3.0),
    ],
)
def test_readers_give_the_unit_they_name(reader: Any, text: str, found: float) -> None:
    assert reader(text, "x") == pytest.approx(found, rel=1e-14)


@pytest.mark.parametrize(
    ("value", "code"),
    [
        (3, "no_unit"),
        (3.2, "no_unit"),
        ("3", "no_unit"),
        (True, "bad_quantity"),
        (None, "bad_quantity"),
        (["3 m"], "bad_quantity"),
        ("", "bad_quantity"),
        ("m", "bad_quantity"),
        ("nan m", "bad_quantity"),
        ("inf m", "bad_quantity"),
        ("1e308 m", "out_of_range"),
        ("1e999 m", "out_of_range"),
        ("1e-300 m", "out_of_range"),
        ("3 kg", "bad_unit"),
        ("3*2 m", "bad_unit"),
        ("3 m**2", "bad_unit"),
        ("3 m; import os", "bad_unit"),
        ("3 ft 13 in", "bad_quantity"),
        ("3.5 ft 2 in", "bad_unit"),
        ("6 in 3 ft", "bad_unit"),
        ("٣ m", "bad_quantity"),
        ("\ud800 m", "bad_quantity"),
        ("0 m", "not_positive"),
        ("-3 m", "not_positive"),
        ("9" * 61, "too_long"),
        ("1,200 mm", "bad_unit"),
    ],
)
def test_length_refuses_with_its_place(value: object, code: str) -> None:
    with pytest.raises(UnitError) as refused:
        units.length(value, "areas[0].depth")
    assert (refused.value.code, refused.value.where) == (code, "areas[0].depth")
    assert refused.value.message


def test_a_bare_number_is_refused_with_the_units_that_would_do() -> None:
    with pytest.raises(UnitError) as refused:
        units.length(3, "length")
    assert refused.value.message == (
        "3 is a bare number; a length needs one of m, mm, cm, km, ft, in, yd, "
        "as '3.2 m', '3200 mm' or '12 ft 6 in'"
    )


def test_nought_is_read_where_it_is_allowed() -> None:
    assert units.length("0 mm", "base_texture", zero=True) == 0.0
    with pytest.raises(UnitError):
        units.length("-0.1 mm", "base_texture", zero=True)


@pytest.mark.parametrize(
    "dim",
    [
        dimensions.LENGTH,
        dimensions.AREA,
        dimensions.MASS,
        dimensions.DENSITY,
        dimensions.DURATION,
        dimensions.ANGLE,
    ],
)
def test_ratios_agree_with_the_registry(dim: dimensions.Dimension) -> None:
    for name, (times, over) in dim.units.items():
        spelt = "deg" if name == "°" else name
        registry = Q_(1.0, spelt.replace("^", "**")).to(dim.si).magnitude
        assert times / over == pytest.approx(registry, rel=1e-12), name


def test_a_quantity_is_read_like_its_text() -> None:
    assert units.length(Q_(3, "ft"), "x") == pytest.approx(0.9144)
    assert units.temperature(Q_(12, "degC"), "x") == pytest.approx(12.0)
    with pytest.raises(UnitError):
        units.length(Q_(3, "kg"), "x")
    with pytest.raises(UnitError):
        units.temperature(Q_(3, "kg"), "x")


@given(st.text(max_size=80) | st.floats() | st.integers() | st.none() | st.binary(max_size=5))
def test_whatever_comes_is_read_or_refused(value: object) -> None:
    for reader in (units.length, units.mass, units.duration, units.temperature, units.percent):
        try:
            found = reader(value, "x")
        except EngineError as error:
            said, found = str(error), 0.0
        else:
            said = "read"
        assert said.encode()
        assert math.isfinite(found)


@given(st.integers(1, 99_999_999))
def test_millimetres_and_metres_say_the_same(mm: int) -> None:
    whole, part = divmod(mm, 1000)
    assert units.length(f"{mm} mm", "x") == units.length(f"{whole}.{part:03d} m", "x")
