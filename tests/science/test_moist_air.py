"""Humid air against the handbook's values and against an independent library."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest

from smallhours.errors import OutOfRange
from smallhours.science.altitude import air_pressure_pa
from smallhours.science.moist_air import (
    dew_point_c,
    enthalpy_j_per_g,
    evaporation_heat_j_per_g,
    humidity_ratio,
    relative_humidity_fraction,
    saturation_pressure_pa,
    vapour_pressure_pa,
    wet_bulb_c,
)

WORKED = Path(__file__).parents[1] / "data" / "humid_air.json"


@pytest.mark.parametrize(
    ("temp_c", "pressure"),
    [(-10, 259.90), (5, 872.6), (20, 2338.8), (25, 3169.7), (50, 12351.3), (100, 101418.0)],
)
def test_saturation_pressure(temp_c, pressure):
    """Published: ASHRAE Fundamentals (2017), chapter 1, table 3 and Hyland & Wexler; 3e-4, its own fit's difference."""
    assert float(saturation_pressure_pa(temp_c)) == pytest.approx(pressure, rel=3e-4)


def test_saturated_air():
    """Published: ASHRAE (2017), chapter 1, table 2 at 25 °C: W 0.020173 (5e-3), h 76.504 (1 %), ideal gas against real;
    another table: h 57.555 J/g at 20 °C."""
    assert float(humidity_ratio(25.0, 1.0)) == pytest.approx(0.020173, rel=5e-3)
    assert float(enthalpy_j_per_g(25.0, 1.0)) == pytest.approx(76.504, rel=1e-2)
    assert float(enthalpy_j_per_g(20.0, 1.0)) == pytest.approx(57.555, rel=1e-2)


def test_handbook_example():
    """Published: ASHRAE (2017), chapter 1, example 1: 40 °C, wet bulb 20 °C: W 0.0065, dew point 7 °C, humidity 14 %,
    h 56.7; read off a chart, so 1e-4, 0.5 K, 0.01 and 0.8."""
    humidity = next(h for h in np.arange(0.05, 0.5, 0.0005) if float(wet_bulb_c(40.0, h)) >= 20.0)
    assert humidity == pytest.approx(0.14, abs=0.01)
    assert float(humidity_ratio(40.0, humidity)) == pytest.approx(0.0065, abs=1e-4)
    assert float(dew_point_c(40.0, humidity)) == pytest.approx(7.0, abs=0.5)
    assert float(enthalpy_j_per_g(40.0, humidity)) == pytest.approx(56.7, abs=0.8)


def test_high_up():
    """Published: PsychroLib's reference: vapour of 3169.7 Pa at 95461 Pa gives W 0.02136040 (rounded pressures: 1e-4);
    61 % at 7 °C and 100 kPa has wet bulb 3.926674 °C."""
    humidity = 3169.7 / float(saturation_pressure_pa(30.0))
    assert float(humidity_ratio(30.0, humidity, 95_461.0)) == pytest.approx(0.02136040, rel=1e-4)
    assert float(wet_bulb_c(7.0, 0.61, 100_000.0)) == pytest.approx(3.926674, abs=2e-3)
    assert air_pressure_pa(500.0) == pytest.approx(95_461.0, abs=1.0)


@pytest.mark.parametrize(
    ("temp_c", "percent", "dew_c"),
    [(35, 80, 31.02), (35, 85, 32.09), (38, 85, 35.03), (32, 75, 27.01), (28, 70, 22.02), (40, 85, 36.99),
     (20, 50, 9.27), (4, 80, 0.87)],
)  # fmt: skip
def test_dew_points(temp_c, percent, dew_c):
    """Published: dew points worked with PsychroLib apart from this code; printed to 0.01 K."""
    assert float(dew_point_c(temp_c, percent / 100)) == pytest.approx(dew_c, abs=6e-3)


def test_against_another_library():
    """Published: PsychroLib 2.5 (the ASHRAE formulas by others) from -14.7 to 60 °C, 10 to 100 %, at two pressures: dew
    point and wet bulb within 0.01 K (0.1 K was asked for), pressure, humidity ratio and enthalpy to 1e-5."""
    rows = np.asarray(json.loads(WORKED.read_text(encoding="utf-8"))["rows"])
    pressure, temp, humidity, saturated, ratio, heat, dew, bulb = rows.T
    assert len(rows) == 132
    assert saturation_pressure_pa(temp) == pytest.approx(saturated, rel=1e-5)
    assert humidity_ratio(temp, humidity, pressure) == pytest.approx(ratio, rel=1e-5)
    assert enthalpy_j_per_g(temp, humidity, pressure) == pytest.approx(heat, rel=1e-5, abs=1e-4)
    assert dew_point_c(temp, humidity) == pytest.approx(dew, abs=0.01)
    assert wet_bulb_c(temp, humidity, pressure) == pytest.approx(bulb, abs=0.01)


def test_dew_point_and_humidity():
    """Round trip: the dew point of 35 °C and 80 % gives 80 % back; of saturated air it is its temperature."""
    assert float(relative_humidity_fraction(35.0, dew_point_c(35.0, 0.8))) == pytest.approx(0.8, abs=1e-6)
    assert dew_point_c([-5.0, 4.0, 35.0], 1.0) == pytest.approx([-5.0, 4.0, 35.0], abs=1e-5)


def test_damper_air_is_wetter():
    """Property: dew point <= wet bulb <= temperature, and all rise with humidity."""
    humidity = np.linspace(0.05, 1.0, 20)
    dew, bulb = dew_point_c(30.0, humidity), wet_bulb_c(30.0, humidity)
    assert (dew <= bulb + 1e-6).all()
    assert (bulb <= 30.0 + 1e-6).all()
    assert (np.diff(dew) > 0).all()
    assert (np.diff(bulb) > 0).all()


@pytest.mark.parametrize(("temp_c", "heat"), [(20, 2453.5), (60, 2357.7), (95, 2269.5), (100, 2256.4)])
def test_evaporation_heat(temp_c, heat):
    """Published: IAPWS heat of evaporation; the straight line is within 0.4 %."""
    assert float(evaporation_heat_j_per_g(temp_c)) == pytest.approx(heat, rel=4.5e-3)


@pytest.mark.parametrize(
    ("temp_c", "humidity"), [(math.nan, 0.5), (140.0, 0.5), (-61.0, 0.5), (20.0, 0.0), (20.0, 80.0), (20.0, math.nan)]
)
def test_air_out_of_range(temp_c, humidity):
    """Bad input: NaN, 140 °C, no humidity at all, and 80 where 0.80 is meant."""
    with pytest.raises(OutOfRange, match="found"):
        vapour_pressure_pa(temp_c, humidity)


def test_what_cannot_be():
    """Bad input: a dew point above the air, more vapour than pressure, air too dry for a dew point."""
    with pytest.raises(OutOfRange, match="read wrongly"):
        relative_humidity_fraction(20.0, 25.0)
    with pytest.raises(OutOfRange, match="too hot"):
        humidity_ratio(110.0, 1.0)
    with pytest.raises(OutOfRange, match="so dry"):
        dew_point_c(-50.0, 0.01)
