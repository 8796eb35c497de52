"""Specific heat, conductivity, density and diffusivity by composition."""

from __future__ import annotations

import math

import pytest

from smallhours.errors import BadInput, OutOfRange
from smallhours.science.composition import Composition
from smallhours.science.thermal_properties import (
    conductivity_w_per_m_k,
    density_kg_per_m3,
    diffusivity_m2_per_s,
    specific_heat_j_per_g_k,
)


def of(water, protein, fat, carbohydrate, fibre, ash):
    """A composition with fibre told apart from carbohydrate, as in the check tables."""
    return Composition(
        water_fraction=water,
        protein_fraction=protein,
        fat_fraction=fat,
        carbohydrate_fraction=carbohydrate + fibre,
        fibre_fraction=fibre,
        ash_fraction=ash,
    )


PURE = [of(*(1.0 if i == j else 0.0 for j in range(6))) for i in range(6)]
LEAN = of(0.4602, 0.0710, 0.0073, 0.4293, 0.0163, 0.0159)
BUTTER = of(0.16, 0.009, 0.82, 0.006, 0.0, 0.005)
WATER, FAT = PURE[0], PURE[2]


def test_pure_components():
    """Published: CoolProp's foods and Choi & Okos water at 20 and 60 °C; 4 printed digits."""
    heat = {20: (4.1766, 2.0319, 2.0117, 1.5857, 1.8807, 1.1289), 60: (4.1905, 2.0760, 2.0553, 1.6452, 1.9390, 1.1927)}
    conducts = {
        20: (0.6037, 0.2016, 0.1751, 0.2274, 0.2070, 0.3565),
        60: (0.6527, 0.2408, 0.1635, 0.2691, 0.2469, 0.4032),
    }
    dense = {20: (995.7, 1319.5, 917.2, 1592.9, 1304.2, 2418.2), 60: (983.8, 1298.8, 900.5, 1580.5, 1289.5, 2407.0)}
    for t in (20, 60):
        assert [specific_heat_j_per_g_k(c, t) for c in PURE] == pytest.approx(heat[t], abs=6e-5)
        assert [conductivity_w_per_m_k(c, t) for c in PURE] == pytest.approx(conducts[t], abs=6e-5)
        assert [density_kg_per_m3(c, t) for c in PURE] == pytest.approx(dense[t], abs=0.06)


@pytest.mark.parametrize(
    ("temp_c", "heat", "conducts", "dense"),
    [
        (4, 4.2075, 0.5655, 999.97),
        (20, 4.18405, 0.5980, 998.21),
        (60, 4.18495, 0.6510, 983.20),
        (80, 4.19675, 0.6670, 971.79),
    ],
)
def test_water_against_the_steam_tables(temp_c, heat, conducts, dense):
    """Published: IAPWS water; Choi & Okos is a fit, within 0.8 % (heat), 2.7 % (conductivity), 0.3 % (density)."""
    assert specific_heat_j_per_g_k(WATER, temp_c) == pytest.approx(heat, rel=8e-3)
    assert conductivity_w_per_m_k(WATER, temp_c) == pytest.approx(conducts, rel=2.7e-2)
    assert density_kg_per_m3(WATER, temp_c) == pytest.approx(dense, rel=3e-3)


def test_water_has_the_original_constant():
    """Published: IAPWS 4.18405 J/(g K) at 20 °C; 4.1289 as leading constant would be 1.3 % low."""
    assert specific_heat_j_per_g_k(WATER, 20.0) == pytest.approx(4.18405, rel=3e-3)


def test_fat_has_the_right_slope():
    """Published: CoolProp FoodFat at 20 °C, 2.01175 J/(g K); a slope ten times too small would give 1.985."""
    assert specific_heat_j_per_g_k(FAT, 20.0) == pytest.approx(2.01175, abs=2e-5)


@pytest.mark.parametrize(
    ("composition", "temp_c", "dense", "heat", "parallel", "series"),
    [
        (of(0.13, 0.115, 0.012, 0.710, 0.027, 0.006), 25, 1427.6, 1.991, 0.2993, 0.2568),
        (of(0.88, 0.033, 0.036, 0.044, 0.0, 0.007), 25, 1021.0, 3.894, 0.5717, 0.5097),
        (LEAN, 5, 1233.5, 2.796, 0.4187, 0.3236),
        (LEAN, 25, 1229.5, 2.815, 0.4465, 0.3542),
        (of(0.3482, 0.0795, 0.0860, 0.4561, 0.0144, 0.0157), 25, 1236.7, 2.563, 0.3887, 0.2991),
        (of(0.3096, 0.0837, 0.2088, 0.3711, 0.0118, 0.0149), 25, 1174.5, 2.516, 0.3542, 0.2670),
        (BUTTER, 5, 942.5, 2.334, 0.2403, 0.2006),
    ],
)
def test_mixtures(composition, temp_c, dense, heat, parallel, series):
    """Published: flour, milk, three doughs and butter worked apart from this code (Choi & Okos 1986); 1e-3."""
    assert density_kg_per_m3(composition, temp_c) == pytest.approx(dense, rel=1e-3)
    assert specific_heat_j_per_g_k(composition, temp_c) == pytest.approx(heat, rel=1e-3)
    assert conductivity_w_per_m_k(composition, temp_c) == pytest.approx(parallel, rel=1e-3)
    assert conductivity_w_per_m_k(composition, temp_c, fat_continuous=True) == pytest.approx(series, rel=1e-3)


def test_butter_against_a_textbook():
    """Published: butter in Geankoplis, example 5.3-2: 0.197 W/(m K) and 2.3 J/(g K); within 2 %."""
    assert conductivity_w_per_m_k(BUTTER, 5.0, fat_continuous=True) == pytest.approx(0.197, rel=0.02)
    assert specific_heat_j_per_g_k(BUTTER, 5.0) == pytest.approx(2.3, rel=0.02)


def test_dough_against_another_formula():
    """Published: Chen's formula 4.19 - 2.30 x - 0.628 x³ with solids x; the lean dough agrees within 2 %."""
    x = 1.0 - 0.4602
    assert specific_heat_j_per_g_k(LEAN, 25.0) == pytest.approx(4.19 - 2.30 * x - 0.628 * x**3, rel=0.02)


@pytest.mark.parametrize(("gas", "expected"), [(0.0, 1.29), (0.08, 1.25), (0.50, 1.14), (0.70, 1.17), (0.75, 1.20)])
def test_gas_hardly_changes_diffusivity(gas, expected):
    """Published: lean dough 1.29, 1.25, 1.14, 1.17, 1.20e-7 m²/s at 0 to 75 % gas (Choi & Okos, Maxwell-Eucken)."""
    assert diffusivity_m2_per_s(LEAN, 25.0, gas) * 1e7 == pytest.approx(expected, abs=0.006)


def test_gas_lowers_conductivity_fourfold():
    """Hand: 75 % gas takes conductivity from 0.45 to about 0.10 and density to a quarter."""
    assert conductivity_w_per_m_k(LEAN, 25.0, 0.75) == pytest.approx(0.10, abs=0.006)
    assert density_kg_per_m3(LEAN, 25.0, 0.75) == pytest.approx(1229.5 / 4, rel=1e-3)


def test_unknown_parts_are_refused():
    """Bad input: a composition that does not say its water has no specific heat; its fibre may stay unknown."""
    with pytest.raises(BadInput, match="water"):
        specific_heat_j_per_g_k(Composition(fat_fraction=0.8), 20.0)
    no_fibre = Composition(0.13, 0.12, 0.01, 0.734, None, None, 0.006)
    assert specific_heat_j_per_g_k(no_fibre, 20.0) == pytest.approx(1.98, abs=0.02)


@pytest.mark.parametrize("temp_c", [math.nan, -6.0, 151.0])
def test_temperatures_out_of_range(temp_c):
    """Bad input: NaN, frozen water and heat beyond the fit are refused."""
    with pytest.raises(OutOfRange):
        specific_heat_j_per_g_k(LEAN, temp_c)
    with pytest.raises(OutOfRange):
        density_kg_per_m3(LEAN, 20.0, gas_fraction=1.0)
