"""Dough temperature at the end of mixing: the trade's sum rule, and a heat balance over everything in the bowl."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from smallhours.errors import BadInput, Impossible
from smallhours.science.ranges import checked, checked_not_negative, checked_positive

WATER_J_PER_G_K = 4.186
"""Specific heat of water between 0 and 40 °C [J/(g K)]: 4.18 to 4.21 in the steam tables (IAPWS); 4.186 is the 15 °C
calorie."""
ICE_J_PER_G_K = 2.06
"""Specific heat of ice just below 0 °C [J/(g K)]; Choi & Okos (1986)."""
ICE_LATENT_J_PER_G = 333.55
"""Heat of melting of ice at 0 °C [J/g]; IAPWS."""
_COLDEST_C, _HOTTEST_C = -40.0, 120.0


@dataclass(frozen=True)
class Melting:
    """Fat that melts on the way. ``solid_at``: (temperature in °C, solid share of the fat), rising temperatures.

    ``fat_fraction``: fat in the portion's mass. ``latent_heat_j_per_g``: heat of melting of the fat.
    """

    fat_fraction: float
    latent_heat_j_per_g: float
    solid_at: tuple[tuple[float, float], ...]

    def __post_init__(self) -> None:
        checked(self.fat_fraction, "the fat fraction", 0.0, 1.0, "of the mass")
        checked_not_negative(self.latent_heat_j_per_g, "the heat of melting", "J/g")
        temps = [t for t, _ in self.solid_at]
        shares = [s for _, s in self.solid_at]
        if len(temps) < 2 or temps != sorted(set(temps)) or shares != sorted(shares, reverse=True):
            raise BadInput("solid_at must have two or more rising temperatures with solid shares that do not rise")

    def solid_fraction(self, temp_c: float) -> float:
        """The solid share of the fat at a temperature [fraction], linear between the given points.

        Source: the points are the caller's.
        """
        points = self.solid_at
        if temp_c <= points[0][0]:
            return points[0][1]
        for (t0, s0), (t1, s1) in pairwise(points):
            if temp_c <= t1:
                return s0 + (s1 - s0) * (temp_c - t0) / (t1 - t0)
        return points[-1][1]


@dataclass(frozen=True)
class Portion:
    """Something that goes into the bowl (or the bowl itself): how much, how much heat it takes, how warm it is.

    Raises OutOfRange for a negative mass, a specific heat that is not positive or a temperature outside -40 to 120 °C.
    """

    mass_g: float
    specific_heat_j_per_g_k: float
    temp_c: float
    melting: Melting | None = None

    def __post_init__(self) -> None:
        checked_not_negative(self.mass_g, "the mass of a portion", "g")
        checked_positive(self.specific_heat_j_per_g_k, "the specific heat of a portion", "J/(g K)")
        checked(self.temp_c, "the temperature of a portion", _COLDEST_C, _HOTTEST_C, "°C")

    def heat_to_j(self, temp_c: float) -> float:
        """Heat that brings the portion to a temperature [J]; negative if it gives heat away."""
        heat = self.mass_g * self.specific_heat_j_per_g_k * (temp_c - self.temp_c)
        if self.melting is not None:
            melted = self.melting.solid_fraction(self.temp_c) - self.melting.solid_fraction(temp_c)
            heat += self.mass_g * self.melting.fat_fraction * self.melting.latent_heat_j_per_g * melted
        return heat


@dataclass(frozen=True)
class Ice:
    """Ice that goes into the bowl and melts there."""

    mass_g: float = 0.0
    temp_c: float = 0.0
    latent_heat_j_per_g: float = ICE_LATENT_J_PER_G

    def __post_init__(self) -> None:
        checked_not_negative(self.mass_g, "the mass of ice", "g")
        checked(self.temp_c, "the temperature of ice", -40.0, 0.0, "°C")

    def heat_per_g_to_j(self, temp_c: float) -> float:
        """Heat that melts one gram and brings it to a temperature [J/g]."""
        return -ICE_J_PER_G_K * self.temp_c + self.latent_heat_j_per_g + WATER_J_PER_G_K * temp_c


NO_ICE = Ice()


def water_temp_by_rule_c(target_c: float, known_temps_c: Sequence[float], friction_k: float = 0.0) -> float:
    """How warm must the water be by the rule on the wall? [°C]

    ``known_temps_c``: the temperatures that are given (flour, room, preferment ...) [°C]; ``friction_k``: the mixer's
    friction figure, a temperature difference that is about n times the dough's real rise. n = number of known
    temperatures + 1.

    Raises OutOfRange for a target outside -5 to 60 °C or a temperature outside -40 to 120 °C.

    Source: common practice: n x target - sum of known temperatures - friction.

    >>> water_temp_by_rule_c(25.0, [21.0, 20.0, 22.0], friction_k=12.0)
    25.0
    """
    checked(target_c, "the target dough temperature", -5.0, 60.0, "°C")
    return water_temp_by_base_c(target_c * (len(known_temps_c) + 1) - _friction(friction_k), known_temps_c)


def water_temp_by_base_c(base_c: float, known_temps_c: Sequence[float]) -> float:
    """How warm must the liquid be when a formula gives a base temperature (a sum of n temperatures)? [°C]

    A base in °F becomes °C by taking 32 off for each of the n temperatures, then dividing by 1.8.

    Raises OutOfRange for a known temperature outside -40 to 120 °C.

    Source: common practice: base - sum of known temperatures.
    """
    checked(base_c, "the base temperature", -200.0, 600.0, "°C")
    return base_c - sum(_known(t) for t in known_temps_c)


def friction_by_rule_k(measured_c: float, temps_c: Sequence[float]) -> float:
    """What friction figure does a logged mix give? [K]

    ``temps_c``: all temperatures that went in, the water among them [°C].

    Raises OutOfRange for a temperature outside -40 to 120 °C.

    Source: common practice: n x measured dough temperature - sum of the n temperatures.

    >>> friction_by_rule_k(26.5, [19.0, 18.0, 22.0])
    20.5
    """
    return _known(measured_c) * len(temps_c) - sum(_known(t) for t in temps_c)


def rise_from_friction_k(friction_k: float, temperature_count: int) -> float:
    """What rise of the dough does a friction figure of the n-temperature rule stand for? [K]

    Raises OutOfRange for a figure outside -50 to 150 K or fewer than two temperatures.

    Source: the sum rule, which weighs n temperatures equally, divided by n.
    """
    checked(temperature_count, "the number of temperatures", 2, 10, "temperatures")
    return _friction(friction_k) / temperature_count


def dough_temp_c(portions: Sequence[Portion], mixing_rise_k: float = 0.0, ice: Ice = NO_ICE) -> float:
    """How warm will the dough leave the mixer? [°C]

    ``portions``: all that goes in, and the bowl if it counts; ``mixing_rise_k``: how much mixing warms all of it [K].

    Raises OutOfRange for a rise outside -5 to 40 K, BadInput if nothing goes in, Impossible if the ice would not melt.

    Source: first law of thermodynamics; no heat lost to the room that is not already in the learned rise.

    >>> flour, water = Portion(1000.0, 1.8, 20.0), Portion(620.0, 4.186, 18.0)
    >>> round(dough_temp_c([flour, water], mixing_rise_k=6.0), 2)
    24.82
    """
    capacity = _capacity_j_per_k(portions, ice)
    heat = checked(mixing_rise_k, "the mixing rise", -5.0, 40.0, "K") * capacity
    if not any(p.melting for p in portions):
        found = (heat + sum(p.mass_g * p.specific_heat_j_per_g_k * p.temp_c for p in portions)) / capacity
        found -= ice.mass_g * ice.heat_per_g_to_j(0.0) / capacity
    else:
        found = _melted_c(portions, ice, heat)
    if ice.mass_g > 0.0 and found < 0.0:
        raise Impossible(f"{ice.mass_g:.0f} g of ice would not all melt: use less ice, or warmer ingredients")
    return found


def mixing_rise_k(measured_c: float, portions: Sequence[Portion], ice: Ice = NO_ICE) -> float:
    """By how much did mixing warm a dough whose temperature was measured? [K]

    Raises OutOfRange, BadInput.

    Source: the heat balance of ``dough_temp_c``, solved for the rise.
    """
    _known(measured_c)
    heat = sum(p.heat_to_j(measured_c) for p in portions) + ice.mass_g * ice.heat_per_g_to_j(measured_c)
    return heat / _capacity_j_per_k(portions, ice)


def liquid_temp_c(
    target_c: float,
    liquids: Sequence[Portion],
    others: Sequence[Portion],
    mixing_rise_k: float = 0.0,
    ice: Ice = NO_ICE,
) -> float:
    """How warm must the liquids be, all at one temperature, for the dough to leave the mixer on target? [°C]

    ``liquids``: what is brought to that temperature (their own ``temp_c`` is not used), any mix of water, milk, eggs
    and cream; with flour in it, the answer is how cold the flour must be. ``others``: all else, at its temperature.
    The answer may be below freezing or above what yeast bears: the caller decides what can be poured.

    Raises OutOfRange for a target outside -5 to 60 °C, BadInput without liquid or for liquids that melt.

    Source: first law of thermodynamics, solved for the liquids.

    >>> round(liquid_temp_c(25.0, [Portion(620.0, 4.18, 20.0)], [Portion(1000.0, 1.8, 20.0)], mixing_rise_k=6.0), 1)
    18.3
    """
    checked(target_c, "the target dough temperature", -5.0, 60.0, "°C")
    if any(p.melting for p in liquids):
        raise BadInput("liquids that melt on the way have no single temperature: list them with the others")
    liquid_capacity = sum(p.mass_g * p.specific_heat_j_per_g_k for p in liquids)
    if liquid_capacity <= 0.0:
        raise BadInput("there is no liquid whose temperature could be chosen")
    rise = checked(mixing_rise_k, "the mixing rise", -5.0, 40.0, "K")
    heat = rise * (liquid_capacity + _capacity_j_per_k([*others], ice, empty_allowed=True))
    wanted = sum(p.heat_to_j(target_c) for p in others) + ice.mass_g * ice.heat_per_g_to_j(target_c) - heat
    return target_c + wanted / liquid_capacity


def ice_for_water_g(water_g: float, tap_c: float, wanted_c: float, ice: Ice = NO_ICE) -> float:
    """How much of the water must be ice, for all of it together to be as cold as wanted? [g]

    ``wanted_c`` may be below 0 °C: then it is what the balance asks for, ice that has yet to melt in the dough.
    ``ice``: its temperature and heat of melting; its mass is not used.

    Raises OutOfRange for water outside 0 to 60 °C, Impossible if even ice alone is too warm.

    Source: heat balance; in the trade W x (tap - wanted) / (tap + 80) in °C.

    >>> round(ice_for_water_g(40_000.0, 20.0, 10.0))
    4013
    """
    checked_not_negative(water_g, "the mass of water", "g")
    checked(tap_c, "the temperature of the tap water", 0.0, 60.0, "°C")
    checked(wanted_c, "the wanted temperature of the water", -120.0, 60.0, "°C")
    needed = water_g * WATER_J_PER_G_K * (tap_c - wanted_c) / ice.heat_per_g_to_j(tap_c)
    return _within_water_g(needed, water_g)


def ice_for_dough_g(
    target_c: float, water: Portion, others: Sequence[Portion], mixing_rise_k: float = 0.0, ice: Ice = NO_ICE
) -> float:
    """How much of the water must be ice, for the dough to leave the mixer on target? [g]

    ``water``: all water including what becomes ice, at the coldest it can be poured; ``ice``: temperature and heat of
    melting of the ice, its mass is not used. 0 if no ice is needed.

    Raises OutOfRange, Impossible if all the water as ice would not be enough.

    Source: first law of thermodynamics, solved for the ice.
    """
    checked(target_c, "the target dough temperature", -5.0, 60.0, "°C")
    everything = [water, *others]
    heat = checked(mixing_rise_k, "the mixing rise", -5.0, 40.0, "K") * _capacity_j_per_k(everything, NO_ICE)
    surplus = heat - sum(p.heat_to_j(target_c) for p in everything)
    per_g = ice.heat_per_g_to_j(target_c) - WATER_J_PER_G_K * (target_c - water.temp_c)
    return _within_water_g(surplus / per_g, water.mass_g)


def rise_from_work_k(work_wh_per_kg: float, specific_heat_j_per_g_k: float) -> float:
    """How much does mixing work warm the dough if none of the heat leaves? [K]

    Raises OutOfRange for work outside 0 to 30 Wh/kg or a specific heat that is not positive.

    Source: first law of thermodynamics; 1 Wh/kg = 3.6 J/g.

    >>> round(rise_from_work_k(11.0, 2.8), 1)
    14.1
    """
    work = checked(work_wh_per_kg, "the mixing work", 0.0, 30.0, "Wh/kg")
    return work * 3.6 / checked_positive(specific_heat_j_per_g_k, "the specific heat", "J/(g K)")


def _known(temp_c: float) -> float:
    return checked(temp_c, "a temperature", _COLDEST_C, _HOTTEST_C, "°C")


def _friction(friction_k: float) -> float:
    return checked(friction_k, "the friction figure", -50.0, 150.0, "K")


def _within_water_g(needed_g: float, water_g: float) -> float:
    if needed_g > water_g:
        raise Impossible(
            f"even all {water_g:.0f} g of water as ice would be too warm ({needed_g:.0f} g of ice would be needed): "
            "chill the flour, mix for less time, or let the dough be warmer and rest it for less"
        )
    return max(0.0, needed_g)


def _capacity_j_per_k(portions: Sequence[Portion], ice: Ice, empty_allowed: bool = False) -> float:
    capacity = sum(p.mass_g * p.specific_heat_j_per_g_k for p in portions) + ice.mass_g * WATER_J_PER_G_K
    if capacity <= 0.0 and not empty_allowed:
        raise BadInput("nothing goes into the bowl: the portions weigh nothing")
    return capacity


def _melted_c(portions: Sequence[Portion], ice: Ice, heat_j: float) -> float:
    """The temperature at which everything holds the heat that went in; the heat held only grows with temperature."""
    low, high = -100.0, 200.0
    for _ in range(60):
        middle = (low + high) / 2
        held = sum(p.heat_to_j(middle) for p in portions) + ice.mass_g * ice.heat_per_g_to_j(middle)
        low, high = (middle, high) if held < heat_j else (low, middle)
    return (low + high) / 2
