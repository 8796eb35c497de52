"""How much heat a dough takes, how well it conducts and how dense it is, from what it is made of.

Property of a component = a + b T + c T² with T in °C (Choi & Okos 1986), mixed by mass or by volume. Three slips are
common in copies of these coefficients and are avoided here: the specific heat of water printed with 4.1289 as its
leading constant (1.3 % below the steam tables; 4.1762 is within 0.2 %), the slope of fat's specific heat ten times too
small, the leading conductivity of water as 0.457109 instead of 0.57109, the slope of ice's conductivity ten times too
large. Densities do not mix by mass: volumes add. How much of the water is ice is the subject of ``freezing``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from smallhours.errors import BadInput
from smallhours.science.composition import Composition
from smallhours.science.ranges import checked

Quadratic = tuple[float, float, float]

AIR_CONDUCTIVITY_W_PER_M_K = 0.026
_COLDEST_C, _HOTTEST_C = -40.0, 150.0
_COLDEST_WET_C = -5.0
_WET_FRACTION = 0.2


@dataclass(frozen=True)
class Component:
    """Coefficients a, b, c of one component: specific heat [J/(g K)], conductivity [W/(m K)], density [kg/m³]."""

    specific_heat: Quadratic
    conductivity: Quadratic
    density: Quadratic


CHOI_OKOS: Mapping[str, Component] = {
    "water": Component(
        (4.1762, -9.0864e-5, 5.4731e-6), (0.57109, 1.7625e-3, -6.7036e-6), (997.18, 3.1439e-3, -3.7574e-3)
    ),
    "protein": Component((2.0082, 1.2089e-3, -1.3129e-6), (0.17881, 1.1958e-3, -2.7178e-6), (1329.9, -0.51840, 0.0)),
    "fat": Component((1.9842, 1.4733e-3, -4.8008e-6), (0.18071, -2.7604e-4, -1.7749e-7), (925.59, -0.41757, 0.0)),
    "carbohydrate": Component(
        (1.5488, 1.9625e-3, -5.9399e-6), (0.20141, 1.3874e-3, -4.3312e-6), (1599.1, -0.31046, 0.0)
    ),
    "fibre": Component((1.8459, 1.8306e-3, -4.6509e-6), (0.18331, 1.2497e-3, -3.1683e-6), (1311.5, -0.36589, 0.0)),
    "ash": Component((1.0926, 1.8896e-3, -3.6817e-6), (0.32962, 1.4011e-3, -2.9069e-6), (2423.8, -0.28063, 0.0)),
    "ice": Component((2.0623, 6.0769e-3, 0.0), (2.2196, -6.2489e-3, 1.0154e-4), (916.89, -0.13071, 0.0)),
}
"""Choi & Okos 1986, as in three independent transcriptions (CoolProp among them); water's specific heat as quoted
from the original."""


def specific_heat_j_per_g_k(
    composition: Composition,
    temp_c: float,
    components: Mapping[str, Component] = CHOI_OKOS,
    ice_fraction: float = 0.0,
) -> float:
    """How much heat warms a gram of it by one kelvin? [J/(g K)]

    ``temp_c``: -40 to 150 °C; without ice at most 5 °C below freezing where a fifth or more is water. ``ice_fraction``:
    ice in its mass, a part of the water, at 0 °C or below; the heat of its melting is not in here. Alcohol counts as
    water, mass that no analysis accounts for as ash, fibre that is not known as carbohydrate.

    Raises OutOfRange for the temperature or more ice than water, BadInput if the composition does not say its water,
    protein, fat, carbohydrate or ash.

    Source: Choi & Okos (1986), mixed by mass fraction; expected error ±3 % (judgement).

    >>> water = Composition(1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    >>> round(specific_heat_j_per_g_k(water, 20.0), 4)
    4.1766
    """
    shares = _mass_shares(composition, temp_c, ice_fraction)
    return sum(share * _value(components[name].specific_heat, temp_c) for name, share in shares.items())


def density_kg_per_m3(
    composition: Composition,
    temp_c: float,
    gas_fraction: float = 0.0,
    components: Mapping[str, Component] = CHOI_OKOS,
    ice_fraction: float = 0.0,
) -> float:
    """How dense is it, with a share of gas bubbles in its volume? [kg/m³]

    ``gas_fraction``: 0 to 0.95 of the volume. Conditions as for ``specific_heat_j_per_g_k``.

    Raises OutOfRange, BadInput.

    Source: Choi & Okos (1986), volumes added; expected error ±2 % without gas (judgement).
    """
    gas = checked(gas_fraction, "the gas fraction", 0.0, 0.95, "of the volume")
    shares = _mass_shares(composition, temp_c, ice_fraction)
    return (1.0 - gas) / sum(share / _value(components[n].density, temp_c) for n, share in shares.items())


def conductivity_w_per_m_k(
    composition: Composition,
    temp_c: float,
    gas_fraction: float = 0.0,
    fat_continuous: bool = False,
    components: Mapping[str, Component] = CHOI_OKOS,
    ice_fraction: float = 0.0,
) -> float:
    """How well does it conduct heat? [W/(m K)]

    Parallel mixing by volume for doughs and liquids (an upper bound), series mixing for butter and other mixtures in
    which fat is the continuous phase (``fat_continuous``). Gas bubbles by Maxwell-Eucken with dry air, up to about
    60 °C; above, evaporation and condensation in the pores carry several times more heat.

    Raises OutOfRange, BadInput.

    Source: Choi & Okos (1986); Maxwell-Eucken for the gas; expected error ±15 % (judgement).
    """
    gas = checked(gas_fraction, "the gas fraction", 0.0, 0.95, "of the volume")
    shares = _mass_shares(composition, temp_c, ice_fraction)
    volumes = {n: share / _value(components[n].density, temp_c) for n, share in shares.items()}
    whole = sum(volumes.values())
    by_volume = [(v / whole, _value(components[n].conductivity, temp_c)) for n, v in volumes.items()]
    solid = 1.0 / sum(v / k for v, k in by_volume) if fat_continuous else sum(v * k for v, k in by_volume)
    air = AIR_CONDUCTIVITY_W_PER_M_K
    return solid * (2 * solid + air - 2 * gas * (solid - air)) / (2 * solid + air + gas * (solid - air))


def diffusivity_m2_per_s(
    composition: Composition,
    temp_c: float,
    gas_fraction: float = 0.0,
    fat_continuous: bool = False,
    components: Mapping[str, Component] = CHOI_OKOS,
    ice_fraction: float = 0.0,
) -> float:
    """How fast does warmth spread in it: conductivity over density and specific heat? [m²/s]

    Raises OutOfRange, BadInput. Below 60 °C it hardly depends on the gas: bubbles lower conductivity and density alike.

    Source: definition; properties as in the functions above.
    """
    conductivity = conductivity_w_per_m_k(composition, temp_c, gas_fraction, fat_continuous, components, ice_fraction)
    density = density_kg_per_m3(composition, temp_c, gas_fraction, components, ice_fraction)
    heat = specific_heat_j_per_g_k(composition, temp_c, components, ice_fraction)
    return conductivity / (density * 1000.0 * heat)


def _value(coefficients: Quadratic, temp_c: float) -> float:
    a, b, c = coefficients
    return a + b * temp_c + c * temp_c * temp_c


def _mass_shares(composition: Composition, temp_c: float, ice_fraction: float) -> Mapping[str, float]:
    """Mass shares of the components, adding up to one."""
    c = composition
    known = (c.water_fraction, c.protein_fraction, c.fat_fraction, c.carbohydrate_fraction, c.ash_fraction)
    if None in known:
        names = ("water", "protein", "fat", "carbohydrate", "ash")
        missing = [name for name, value in zip(names, known, strict=True) if value is None]
        raise BadInput(f"the composition does not say its {', '.join(missing)}: thermal properties need them")
    water, protein, fat, carbohydrate, ash = (value or 0.0 for value in known)
    water += c.alcohol_fraction or 0.0
    ice = checked(ice_fraction, "the ice", 0.0, water, "of the mass: no more than there is water")
    coldest = _COLDEST_WET_C if water >= _WET_FRACTION and ice == 0.0 else _COLDEST_C
    checked(temp_c, "the temperature", coldest, 0.0 if ice > 0.0 else _HOTTEST_C, "°C")
    fibre = min(c.fibre_fraction or 0.0, carbohydrate)
    ash += max(0.0, 1.0 - (water + protein + fat + carbohydrate + ash))
    shares = {
        "water": water - ice,
        "ice": ice,
        "protein": protein,
        "fat": fat,
        "carbohydrate": carbohydrate - fibre,
        "fibre": fibre,
        "ash": ash,
    }
    total = sum(shares.values())
    return {name: share / total for name, share in shares.items() if share > 0.0}
