"""Altitude: pressure, boiling point, size of bubbles."""

from __future__ import annotations

import math

import pytest

from smallhours.errors import OutOfRange
from smallhours.science.altitude import air_pressure_pa, boiling_at_altitude_c, boiling_c, gas_volume_ratio


@pytest.mark.parametrize(("altitude", "pressure"), [(0, 101_325), (500, 95_461), (1000, 89_875), (4000, 61_640)])
def test_pressure(altitude, pressure):
    """Published: ASHRAE 2017 chapter 1, table 1, as in PsychroLib's tests; whole pascals, the last rounded to ten."""
    assert air_pressure_pa(altitude) == pytest.approx(pressure, abs=5 if altitude == 4000 else 1)


def test_saturation_of_the_standard():
    """Published: IAPWS-IF97 (2007), table 36: 0.1 MPa boils at 372.755919 K; the standard's own check value."""
    assert boiling_c(100_000.0) + 273.15 == pytest.approx(372.755919, abs=1e-6)


@pytest.mark.parametrize(
    ("altitude", "boils"),
    [(0, 99.97), (250, 99.14), (500, 98.31), (1000, 96.65), (1600, 94.65), (2000, 93.32), (3000, 89.97), (4000, 86.62)],
)
def test_boiling(altitude, boils):
    """Published: standard pressure with IAPWS saturation from CoolProp; 2 printed decimals."""
    assert boiling_at_altitude_c(altitude) == pytest.approx(boils, abs=0.01)
    assert boiling_at_altitude_c(altitude) == pytest.approx(100 - 0.00334 * altitude, abs=0.04)


@pytest.mark.parametrize(("altitude", "ratio"), [(0, 1.0), (1000, 1.13), (1524, 1.20), (2000, 1.28), (2500, 1.36)])
def test_gas(altitude, ratio):
    """Hand: 101.3 over 89.9, 84.3, 79.5, 74.7 kPa."""
    assert gas_volume_ratio(altitude) == pytest.approx(ratio, abs=0.006)


@pytest.mark.parametrize("altitude", [math.nan, -1000.0, 9000.0])
def test_heights_out_of_range(altitude):
    """Bad input: nobody bakes there."""
    with pytest.raises(OutOfRange, match="height"):
        air_pressure_pa(altitude)
