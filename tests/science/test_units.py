"""Units against NIST."""

from __future__ import annotations

import math

import pytest

from smallhours.errors import OutOfRange
from smallhours.science import units


def test_definitions():
    """Published: NIST SP 811 (2008) B.8 and Handbook 44 Appendix C: exact pound, inch and gallon."""
    assert units.G_PER_LB == 453.59237
    assert pytest.approx(28.349523125, rel=1e-12) == units.G_PER_OZ
    assert units.MM_PER_IN == 25.4
    assert pytest.approx(25.4**3 / 1000, rel=1e-12) == units.ML_PER_IN3
    assert pytest.approx(231 * units.ML_PER_IN3, rel=1e-12) == units.ML_PER_US_GAL
    assert pytest.approx(946.352946, rel=1e-9) == units.ML_PER_US_QT
    assert pytest.approx(236.5882365, rel=1e-9) == units.ML_PER_US_CUP
    assert pytest.approx(29.5735295625, rel=1e-9) == units.ML_PER_US_FL_OZ
    assert pytest.approx(14.78676478125, rel=1e-9) == units.ML_PER_US_TBSP
    assert pytest.approx(4.92892159375, rel=1e-9) == units.ML_PER_US_TSP
    assert pytest.approx(1055.056, rel=1e-6) == units.J_PER_BTU


@pytest.mark.parametrize(("fahrenheit", "celsius"), [(32, 0), (212, 100), (-40, -40), (350, 176.6667)])
def test_temperatures(fahrenheit, celsius):
    """Published: fixed points of both scales, and an oven's 350 °F."""
    assert units.temp_c_from_fahrenheit(fahrenheit) == pytest.approx(celsius, abs=1e-4)
    assert units.fahrenheit_number(units.temp_c_from_fahrenheit(fahrenheit)) == pytest.approx(fahrenheit)


def test_a_difference_is_no_temperature():
    """Hand: a friction figure of 35 °F is 19.4 K; taking 32 off first would make it 1.7."""
    assert units.difference_k_from_fahrenheit(35.0) == pytest.approx(19.444, abs=1e-3)


def test_pounds_and_ounces():
    """Hand: 3 x 453.59237 + 6 x 28.349523125 = 1530.874 g."""
    assert units.mass_g_from_lb_oz(3, 6) == pytest.approx(1530.87424875)


def test_nonsense_is_refused():
    """Bad input: NaN and negative masses."""
    with pytest.raises(OutOfRange):
        units.temp_c_from_fahrenheit(math.nan)
    with pytest.raises(OutOfRange):
        units.mass_g_from_lb_oz(-1)
