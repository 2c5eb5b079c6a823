"""Published figures on dew point and humidity, and whole libraries, against the engine."""

import pathlib

import numpy as np
import psychrolib
import pvlib
import pytest
from pvlib.atmosphere import rh_from_tdew, tdew_from_rh
from pvlib.iotools import read_tmy3

from quotes.engine.moisture import (
    AERK,
    WMO,
    dew_point,
    humidity_from_dew_point,
    saturation_pressure,
    surface_gate,
    water_content,
)
from tests.outside.sources import fact

PAGE = "https://dp.2.leif.top/explanation"
CHART = "https://handypdf.com/pdf/dew-point-calculation-sample-chart"
WHOLE_TABLE = "https://ru.scribd.com/doc/39380596/Dew-Point-Table"
GLOSSARY = "http://www.nilsmalmgren.com/technical/glossary/"


@fact(rows=2, source=PAGE, mark="seen")
def test_magnus_with_the_constants_of_alduchov_and_eskridge():
    """25 °C and 60 % with a = 17.625, b = 243.04 °C: dew point 16.70 °C."""
    assert (AERK.a, AERK.b) == (17.625, 243.04)
    assert round(dew_point(25, 60, AERK), 2) == 16.70


@fact(rows=1, source="https://ing-moehn.de/die-magnus-formel/", mark="seen")
def test_magnus_with_the_constants_of_the_wmo():
    """611.2 Pa, 17.62 and 243.12 °C."""
    assert (WMO.pressure, WMO.a, WMO.b) == (611.2, 17.62, 243.12)
    assert saturation_pressure(0) == pytest.approx(611.2)


@fact(
    rows=1,
    source="https://www.doerken.de/global/en/services/coatings/glossary/dew-point",
    mark="seen",
)
def test_a_glossary_example():
    """30 °C and 55 %: about 20 °C."""
    assert round(dew_point(30, 55)) == 20


@fact(rows=10, source="pvlib 0.16.1 tdew_from_rh, WMO constants", mark="run")
@pytest.mark.parametrize(
    ("degc", "humidity", "dew"),
    [
        (5, 85, 2.686),
        (10, 50, 0.041),
        (10, 80, 6.706),
        (10, 90, 8.434),
        (12, 85, 9.554),
        (15, 70, 9.569),
        (18, 65, 11.319),
        (20, 50, 9.255),
        (25, 60, 16.693),
        (30, 55, 19.972),
    ],
)
def test_dew_points_of_pvlib(degc, humidity, dew):
    """Ten dew points with the WMO constants, to the thousandth."""
    assert dew_point(degc, humidity, WMO) == pytest.approx(dew, abs=6e-4)


@fact(rows=9, source="PsychroLib 2.5.0 GetTDewPointFromRelHum", mark="run")
@pytest.mark.parametrize(
    ("degc", "humidity", "dew"),
    [
        (5, 85, 2.691),
        (10, 80, 6.713),
        (10, 90, 8.437),
        (12, 85, 9.559),
        (15, 70, 9.579),
        (18, 65, 11.330),
        (20, 50, 9.272),
        (25, 60, 16.701),
        (30, 55, 19.976),
    ],
)
def test_dew_points_of_psychrolib(degc, humidity, dew):
    """Nine dew points by another formula, to 0.05 °C."""
    assert dew_point(degc, humidity, AERK) == pytest.approx(dew, abs=0.05)


@fact(rows=8, source="MetPy 1.7.1 dewpoint_from_relative_humidity", mark="run")
@pytest.mark.parametrize(
    ("degc", "humidity", "dew"),
    [
        (5, 85, 2.682),
        (10, 50, 0.0479),
        (10, 80, 6.704),
        (10, 90, 8.430),
        (15, 70, 9.569),
        (20, 50, 9.256),
        (25, 60, 16.680),
        (30, 55, 19.946),
    ],
)
def test_dew_points_of_a_weather_library(degc, humidity, dew):
    """Eight dew points by a third formula, to 0.05 °C."""
    assert dew_point(degc, humidity) == pytest.approx(dew, abs=0.05)


@fact(rows=5, source="https://samteplo.ru/spravochnik/temperatura-tochki-rosy.html", mark="seen")
@pytest.mark.parametrize(
    ("degc", "humidity", "dew"),
    [(5, 85, 2.68), (10, 50, 0.08), (10, 80, 6.71), (10, 90, 8.44), (12, 85, 9.56)],
)
def test_a_printed_table(degc, humidity, dew):
    """Five cells of a printed table, to 0.05 °C."""
    assert dew_point(degc, humidity) == pytest.approx(dew, abs=0.05)


@fact(rows=2, source=WHOLE_TABLE, mark="seen")
@pytest.mark.parametrize(("degc", "humidity", "dew"), [(20, 50, 9), (25, 60, 16)])
def test_a_printed_table_of_whole_degrees(degc, humidity, dew):
    """Two cells of a table that leaves the decimals off."""
    assert int(dew_point(degc, humidity)) == dew


@fact(rows=5, source=CHART, mark="seen")
@pytest.mark.parametrize(
    ("degf", "humidity", "dew"),
    [(70, 65, 57), (80, 50, 59), (50, 80, 44), (60, 70, 50), (40, 90, 37)],
)
def test_a_chart_in_fahrenheit(degf, humidity, dew):
    """Five cells of a chart in whole degrees Fahrenheit, to one degree."""
    found = dew_point((degf - 32) / 1.8, humidity) * 1.8 + 32
    assert found == pytest.approx(dew, abs=1.0)


@fact(rows=2, source=GLOSSARY, mark="seen")
def test_water_in_the_air_by_a_glossary():
    """Saturated air holds 17.28 g/m³ at 20 °C, and 10.37 at 60 %."""
    assert water_content(20, 100) * 1000 == pytest.approx(17.28, abs=0.05)
    assert water_content(20, 60) * 1000 == pytest.approx(10.37, abs=0.03)


@fact(rows=4, source=WHOLE_TABLE, mark="seen")
@pytest.mark.parametrize(("degc", "grams"), [(5, 6.8), (10, 9.4), (15, 12.8), (20, 17.3)])
def test_water_in_the_air_by_a_table(degc, grams):
    """Saturation water content, one decimal."""
    assert water_content(degc, 100) * 1000 == pytest.approx(grams, abs=0.06)


@fact(rows=6, source="PsychroLib 2.5.0 GetSatVapPres", mark="run")
@pytest.mark.parametrize(
    ("degc", "pascals"),
    [
        (5, 872.49),
        (10, 1228.00),
        (15, 1705.45),
        (20, 2338.80),
        (25, 3169.22),
        (30, 4246.03),
    ],
)
def test_saturation_pressures(degc, pascals):
    """Saturation pressures by another formula, to 0.3 %."""
    assert saturation_pressure(degc, WMO) == pytest.approx(pascals, rel=3e-3)


@fact(rows=1, source="http://manual.ingal.com.au/13.php", mark="seen")
def test_three_degrees_above_the_dew_point_are_enough():
    """The substrate is to be at least 3 °C above the dew point; equality passes."""
    dew = dew_point(10, 70)
    assert surface_gate(10, 70, dew + 3.0, 1e6).passes
    assert not surface_gate(10, 70, dew + 2.9, 1e6).passes


@fact(
    rows=1,
    source=(
        "https://www.sahawatthanakit1988.com/en/insights/"
        "coating-application-conditions-dew-point-rh-iso-8502-4-thailand"
    ),
    mark="seen",
)
def test_humidity_below_85_per_cent():
    """Humidity is to be below 85 %."""
    assert surface_gate(20, 84.9, 25, 1e6).air_dry_enough
    assert not surface_gate(20, 85, 25, 1e6).air_dry_enough


@fact(rows=1, source=CHART, mark="seen")
def test_the_margin_in_fahrenheit():
    """70 °F and 65 %: dew point 57 °F, so that the surface must be at 62 °F or more."""
    gate = surface_gate((70 - 32) / 1.8, 65, 20, 1e6, margin_degc=5 / 1.8)
    # The chart leaves the tenths of 57.7 off.
    assert int(gate.dew_degc * 1.8 + 32) + 5 == 62
    assert gate.least_surface_degc == pytest.approx(gate.dew_degc + 5 / 1.8)


@fact(rows=2, source="Magnus with the constants of 1996, margin 3 °C", mark="derived")
@pytest.mark.parametrize(("degc", "humidity", "least"), [(10, 90, 11.435), (20, 50, 12.261)])
def test_the_least_surface_temperature(degc, humidity, least):
    """The surface temperature that just passes."""
    gate = surface_gate(degc, humidity, 30, 1e6, constants=AERK)
    assert gate.least_surface_degc == pytest.approx(least, abs=5e-4)


def test_dew_points_in_bulk_against_pvlib_and_psychrolib():
    """-5 to 35 °C, humidity from 40 %: within 0.05 °C of two libraries, both ways."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    degc, humidity = np.meshgrid(np.arange(-5, 35.5, 0.5), np.arange(40, 101, 2.5))
    for t, h in zip(degc.ravel(), humidity.ravel(), strict=True):
        theirs = float(tdew_from_rh(t, h))
        assert dew_point(float(t), float(h)) == pytest.approx(theirs, abs=1e-9)
        assert dew_point(float(t), float(h), AERK) == pytest.approx(theirs, abs=0.05)
        back = humidity_from_dew_point(float(t), min(theirs, float(t)))
        assert back == pytest.approx(float(rh_from_tdew(t, theirs)), rel=1e-9)
        if t >= 0.5:  # below, PsychroLib reckons over ice, Magnus over water
            other = psychrolib.GetTDewPointFromRelHum(float(t), float(h) / 100)
            if other >= 0:
                assert dew_point(float(t), float(h)) == pytest.approx(other, abs=0.05)


@fact(rows=4, source="TMY3 year of Greensboro shipped with pvlib 0.16.1", mark="run")
def test_a_year_of_hours_against_the_dew_points_measured():
    """7,911 hours above freezing: 99 % within 1.14 °C, mean error 0.1076 °C."""
    path = pathlib.Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
    year, _ = read_tmy3(path, map_variables=True)
    warm = year[year["temp_air"] > 0]
    found = np.array(
        [
            dew_point(float(t), float(h), AERK)
            for t, h in zip(warm["temp_air"], warm["relative_humidity"], strict=True)
        ]
    )
    errors = np.abs(found - warm["temp_dew"].to_numpy())
    # The maximum is not asserted: months are spliced from several years, humidity is whole %.
    assert len(errors) == 7911
    assert float(np.mean(errors)) == pytest.approx(0.1076, abs=1e-4)
    assert float(np.percentile(errors, 99)) == pytest.approx(1.14, abs=0.01)
    assert float(np.mean(errors <= 0.5)) == pytest.approx(0.969, abs=1e-3)
