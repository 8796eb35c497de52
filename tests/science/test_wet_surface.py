"""Sweating, skinning and the heat that goes with the water."""

from __future__ import annotations

import math

import numpy as np
import pytest

from smallhours.errors import BadInput, OutOfRange
from smallhours.science.moist_air import dew_point_c, evaporation_heat_j_per_g, vapour_pressure_pa
from smallhours.science.wet_surface import (
    effective_air_c,
    surface_state,
    sweating,
    wet_heat_ratio,
    wet_surface_flow,
)


def test_dough_in_the_proofer():
    """Published: worked from PsychroLib: 35 °C, 80 %, dough 24 °C, h 6: 66 and 153 W/m², 225 g/(m² h)."""
    flow = wet_surface_flow(24.0, 35.0, 0.80, 6.0)
    assert float(flow.sensible_w_per_m2) == pytest.approx(66.0)
    assert float(flow.latent_w_per_m2) == pytest.approx(153.0, abs=0.6)
    assert float(flow.water_g_per_m2_h) == pytest.approx(225.0, abs=0.6)


@pytest.mark.parametrize(
    ("surface", "air", "humidity", "ratio"),
    [(24, 35, 0.80, 3.3), (28, 35, 0.80, 2.75), (27, 40, 0.85, 4.5), (24, 4, 0.80, 3.0)],
)
def test_times_the_heat(surface, air, humidity, ratio):
    """Published: multipliers worked from PsychroLib (proofers, and bare dough in a fridge of 4 °C); two digits."""
    assert float(wet_heat_ratio(surface, air, humidity)) == pytest.approx(ratio, abs=0.05)


def test_zero_at_the_dew_point():
    """Published: at 31 °C (the dew point) 35 °C/80 % brings no water, at 33 °C it takes 55 W/m² away; h 6, 2 %."""
    dew = float(dew_point_c(35.0, 0.80))
    assert float(wet_surface_flow(dew, 35.0, 0.80, 6.0).latent_w_per_m2) == pytest.approx(0.0, abs=1e-3)
    assert float(wet_surface_flow(33.0, 35.0, 0.80, 6.0).latent_w_per_m2) == pytest.approx(-55.0, rel=0.02)


def test_bare_dough_in_the_fridge():
    """Published: 24 °C dough in 4 °C and 80 % at first loses 349 g/(m² h) with h 6; 1 g."""
    assert float(wet_surface_flow(24.0, 4.0, 0.80, 6.0).water_g_per_m2_h) == pytest.approx(-349.0, abs=1.0)


@pytest.mark.parametrize(
    ("surface", "air", "humidity"), [(24, 35, 0.8), (28, 35, 0.8), (27, 40, 0.85), (24, 28, 0.7), (4, 28, 0.7)]
)
def test_effective_air(surface, air, humidity):
    """Published: the air seems 1.66 K warmer for each 100 Pa of vapour pressure above the surface's; within 3 %."""
    vapour = float(vapour_pressure_pa(air, humidity)) - float(vapour_pressure_pa(surface, 1.0))
    found = float(effective_air_c(surface, air, humidity)) - air
    assert found == pytest.approx(0.0166 * vapour, rel=0.03)


def test_who_sweats():
    """Published: 27 °C dough in 40 °C/85 % sweats until 37 °C; 24 °C dough at 28 °C/70 % (dew point 22.0) dries."""
    assert surface_state(27.0, 40.0, 0.85) == "sweats"
    assert surface_state(36.5, 40.0, 0.85) == "sweats"
    assert surface_state(37.5, 40.0, 0.85) == "dries"
    assert surface_state(24.0, 28.0, 0.70) == "dries"
    assert surface_state(22.1, 28.0, 0.70) == "even"


def test_cold_tray():
    """Hand: 3600 J/(m² K) from 4 °C to the dew point 22.0 °C takes 64.9 kJ/m²; with half of it from dew (ratio about 2)
    at h 6 between 24 and 6 K: seven minutes or so and 13 g/m². Property: heat taken up is heat and dew brought."""
    tray = sweating(4.0, 28.0, 0.70, 6.0, 3600.0)
    assert 300.0 < tray.duration_s < 600.0
    assert tray.water_g_per_m2 == pytest.approx(13.0, abs=2.0)
    dew = float(dew_point_c(28.0, 0.70))
    temps = np.linspace(4.0, dew, 2001)
    flow = wet_surface_flow(temps, 28.0, 0.70, 6.0)
    share = np.asarray(flow.latent_w_per_m2) / flow.heat_w_per_m2
    latent_j = float(np.trapezoid(3600.0 * share, temps))
    assert tray.water_g_per_m2 * float(evaporation_heat_j_per_g(13.0)) == pytest.approx(latent_j, rel=0.01)
    assert 0.4 < latent_j / (3600.0 * (dew - 4.0)) < 0.7


def test_warm_tray_stays_dry():
    """Limit: nothing above the dew point sweats; a plate twice as heavy sweats twice as long."""
    assert sweating(25.0, 28.0, 0.70, 6.0, 3600.0).duration_s == 0.0
    single, double = (sweating(4.0, 28.0, 0.70, 6.0, c) for c in (3600.0, 7200.0))
    assert double.duration_s == pytest.approx(2 * single.duration_s)
    assert double.water_g_per_m2 == pytest.approx(2 * single.water_g_per_m2)


def test_nonsense_at_a_surface():
    """Bad input: no difference to compare with, NaN, a frozen surface, no heat capacity."""
    with pytest.raises(BadInput, match="compare"):
        wet_heat_ratio(30.0, 30.0, 0.5)
    with pytest.raises(OutOfRange):
        surface_state(math.nan, 28.0, 0.7)
    with pytest.raises(OutOfRange):
        wet_surface_flow(-4.0, 28.0, 0.7, 6.0)
    with pytest.raises(OutOfRange):
        sweating(4.0, 28.0, 0.7, 6.0, 0.0)
