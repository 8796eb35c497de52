"""Freezing points, ice and the heat that melts it."""

from __future__ import annotations

import math

import numpy as np
import pytest

from smallhours.errors import BadInput, OutOfRange
from smallhours.science.composition import Composition
from smallhours.science.freezing import (
    FreezingStuff,
    bound_water_fraction,
    freezing_point_c,
    water_activity_over_ice_ratio,
)
from smallhours.science.moist_air import saturation_pressure_pa
from smallhours.science.thermal_properties import (
    conductivity_w_per_m_k,
    density_kg_per_m3,
    diffusivity_m2_per_s,
    specific_heat_j_per_g_k,
)

LEAN = Composition(0.4602, 0.0710, 0.0073, 0.4456, None, 0.0163, 0.0159)
PURE = Composition(1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
DOUGH = FreezingStuff(LEAN, -2.3, bound_water_fraction(LEAN))
WATER = FreezingStuff(PURE, 0.0)


@pytest.mark.parametrize(
    ("activity", "point"), [(0.977, -2.3), (0.969, -3.2), (0.959, -4.2), (0.948, -5.4), (0.936, -6.7)]
)
def test_freezing_points_of_doughs(activity, point):
    """Published: lean dough and 5, 10, 15, 20 % sugar, worked apart from this code; 0.1 K."""
    assert float(freezing_point_c(activity)) == pytest.approx(point, abs=0.1)


@pytest.mark.parametrize(("temp_c", "tolerance"), [(-2.0, 5e-4), (-5.0, 5e-4), (-10.0, 2e-3), (-20.0, 1.2e-2)])
def test_water_activity_over_ice(temp_c, tolerance):
    """Published: vapour pressure over ice (Hyland & Wexler) by that over supercooled water (Magnus); the constant heat
    of melting makes it 1 % low at -20 °C."""
    over_water = 611.2 * math.exp(17.62 * temp_c / (243.12 + temp_c))
    expected = float(saturation_pressure_pa(temp_c)) / over_water
    assert float(water_activity_over_ice_ratio(temp_c)) == pytest.approx(expected, rel=tolerance)


def test_freezing_point_and_water_activity():
    """Round trip: the activity over ice freezes at that temperature."""
    temps = np.linspace(-20.0, 0.0, 9)
    assert freezing_point_c(water_activity_over_ice_ratio(temps)) == pytest.approx(temps, abs=1e-9)


@pytest.mark.parametrize(
    ("temp_c", "heat", "density"),
    [(0, 2.0967, 916.72), (-10, 2.0231, 918.17), (-20, 1.9498, 919.57), (-30, 1.8769, 920.92), (-40, 1.8045, 922.22)],
)
def test_ice_against_a_reference_equation(temp_c, heat, density):
    """Published: ice Ih of IAPWS-06 (Gibbs SeaWater library 3.6); Choi & Okos is a fit, within 2 % and 0.02 %."""
    assert specific_heat_j_per_g_k(PURE, temp_c, ice_fraction=1.0) == pytest.approx(heat, rel=2e-2)
    assert density_kg_per_m3(PURE, temp_c, ice_fraction=1.0) == pytest.approx(density, rel=2e-4)


@pytest.mark.parametrize("temp_c", [-1.0, -10.0, -30.0])
def test_ice_conducts(temp_c):
    """Published: ice conducts 9.828 exp(-0.0057 T) W/(m K) (Yen 1981, from memory); 10 %. Ten times the slope, as
    in one copy of the coefficients, would be 25 % off at -10 °C."""
    expected = 9.828 * math.exp(-0.0057 * (temp_c + 273.15))
    assert conductivity_w_per_m_k(PURE, temp_c, ice_fraction=1.0) == pytest.approx(expected, rel=0.1)


def test_ice_in_a_dough():
    """Hand: (0.4602 - 0.4 x 0.0710) x (1 - 2.3 / 10) = 0.3325 at -10 °C; none at or above -2.3 °C."""
    assert DOUGH.ice_fraction(-10.0) == pytest.approx(0.3325, abs=5e-5)
    assert DOUGH.ice_fraction(-2.3) == DOUGH.ice_fraction(20.0) == 0.0


@pytest.mark.parametrize("temp_c", [-10.0, -18.0, -30.0])
def test_ice_against_another_formula(temp_c):
    """Published: Tchigeov (1979), in ASHRAE Refrigeration (2006), chapter 9, equation 5:
    1.105 w / (1 + 0.7138 / ln(freezing point - t + 1)); the two differ by at most an eighth of the water."""
    other = 1.105 * 0.4602 / (1.0 + 0.7138 / math.log(-2.3 - temp_c + 1.0))
    assert DOUGH.ice_fraction(temp_c) == pytest.approx(other, abs=0.4602 / 8)


@pytest.mark.parametrize("temp_c", [-30.0, -18.0, -10.0, -5.0, -2.3])
def test_heat_against_another_formula(temp_c):
    """Published: Schwartzberg (1976), in ASHRAE Refrigeration (2006), chapter 9, equation 18: heat from -40 °C,
    (t + 40)(1.55 + 1.26 s - 333.6 (w - b) f / (-40 t)); within 11 J/g, 5 % of what thawing takes."""
    solids, free = 1.0 - 0.4602, 0.4602 - 0.4 * 0.0710
    other = (temp_c + 40.0) * (1.55 + 1.26 * solids - 333.6 * free * -2.3 / (-40.0 * temp_c))
    assert DOUGH.heat_j_per_g(-40.0, temp_c) == pytest.approx(other, abs=11.0)


def test_thawed_dough_against_another_formula():
    """Published: Chang & Tao (1981): heat at the freezing point from -40 °C is 9.792 + 405.1 w = 196 J/g (fruit and
    meat); 8 %."""
    assert DOUGH.heat_j_per_g(-40.0, -2.3) == pytest.approx(9.79246 + 405.096 * 0.4602, rel=0.08)


def test_water_by_hand():
    """Hand: ice from -10 to 0 °C 2.03 x 10, melting 333.55, water to 20 °C 4.177 x 20 (about): 437.4 J/g."""
    assert WATER.heat_j_per_g(-10.0, 20.0) == pytest.approx(20.3 + 333.55 + 83.5, abs=0.5)
    assert WATER.heat_j_per_g(20.0, -10.0) == pytest.approx(-WATER.heat_j_per_g(-10.0, 20.0))


def test_apparent_specific_heat_is_the_slope():
    """Property: heat over a small step is the apparent specific heat; heat adds up along a path."""
    for temp_c in (-25.0, -8.0, -3.0, 10.0):
        slope = DOUGH.heat_j_per_g(temp_c - 0.01, temp_c + 0.01) / 0.02
        assert DOUGH.apparent_specific_heat_j_per_g_k(temp_c) == pytest.approx(slope, rel=1e-4)
    parts = [DOUGH.heat_j_per_g(a, b) for a, b in ((-30.0, -10.0), (-10.0, -2.3), (-2.3, 20.0))]
    assert sum(parts) == pytest.approx(DOUGH.heat_j_per_g(-30.0, 20.0), rel=1e-4)


def test_frozen_dough_conducts_and_swells():
    """Property: colder means more ice and a better conductor; gas lowers conductivity and density."""
    temps = (-3.0, -5.0, -10.0, -20.0, -40.0)
    assert [DOUGH.ice_fraction(t) for t in temps] == sorted(DOUGH.ice_fraction(t) for t in temps)
    assert [DOUGH.conductivity_w_per_m_k(t) for t in temps] == sorted(DOUGH.conductivity_w_per_m_k(t) for t in temps)
    assert DOUGH.density_kg_per_m3(-18.0) < DOUGH.density_kg_per_m3(-2.0)
    assert DOUGH.density_kg_per_m3(-18.0, 0.5) == pytest.approx(DOUGH.density_kg_per_m3(-18.0) / 2)
    assert DOUGH.conductivity_w_per_m_k(-18.0, 0.5) < DOUGH.conductivity_w_per_m_k(-18.0) / 2
    ice = DOUGH.ice_fraction(-18.0)
    assert diffusivity_m2_per_s(LEAN, -18.0, ice_fraction=ice) > 3 * diffusivity_m2_per_s(LEAN, 4.0)


def test_frozen_nonsense():
    """Bad input: more ice than water, ice in the warmth, NaN, more bound than there is, an unknown composition."""
    with pytest.raises(OutOfRange, match="no more than there is water"):
        specific_heat_j_per_g_k(LEAN, -10.0, ice_fraction=0.5)
    with pytest.raises(OutOfRange):
        specific_heat_j_per_g_k(LEAN, 5.0, ice_fraction=0.2)
    with pytest.raises(OutOfRange):
        DOUGH.heat_j_per_g(math.nan, 20.0)
    with pytest.raises(OutOfRange):
        FreezingStuff(LEAN, -2.3, 0.5)
    with pytest.raises(OutOfRange):
        freezing_point_c([0.97, 0.5])
    with pytest.raises(BadInput, match="water"):
        FreezingStuff(Composition(fat_fraction=0.8), -1.0)
    with pytest.raises(BadInput, match="protein"):
        bound_water_fraction(Composition(water_fraction=0.5))
