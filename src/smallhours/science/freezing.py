"""Where the water of a dough begins to freeze, how much of it is ice, and what heat that takes.

The colder, the more of the water has turned to ice and the stronger the rest becomes: a dough has no single melting
point but one at which the last ice goes. A retarder at -1 to 0 °C freezes nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.errors import BadInput
from smallhours.science.composition import Composition
from smallhours.science.dough_temperature import ICE_LATENT_J_PER_G
from smallhours.science.ranges import checked, checked_all
from smallhours.science.thermal_properties import (
    conductivity_w_per_m_k,
    density_kg_per_m3,
    specific_heat_j_per_g_k,
)

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

BOUND_PER_PROTEIN_RATIO = 0.4
"""Grams of water that never freeze for each gram of protein [g/g]; Schwartzberg (1976), in ASHRAE Refrigeration."""
_WATER_J_PER_MOL = ICE_LATENT_J_PER_G * 18.0153
_GAS_J_PER_MOL_K = 8.314462618
_ZERO_K = 273.15
_COLDEST_C = -40.0
# temperatures between which the heat is summed, along the part with ice
_SLICES = 200


def freezing_point_c(water_activity_ratio: ArrayLike) -> Floats:
    """At which temperature does water of this water activity begin to freeze? [°C]

    Any shape. ``water_activity_ratio``: 0.75 to 1 (``dough_water.dough_water_activity_ratios``).

    Raises OutOfRange.

    Source: equilibrium of ice and solution: ln a = (heat of melting / R) (1/273.15 - 1/T); with a constant heat of
    melting it is 0.3 K too warm at -10 °C.

    >>> freezing_point_c([0.977, 0.936]).round(1).tolist()
    [-2.4, -6.7]
    """
    import numpy as np

    activity = checked_all(water_activity_ratio, "the water activity", 0.75, 1.0, "")
    point: Floats = 1.0 / (1.0 / _ZERO_K - _GAS_J_PER_MOL_K / _WATER_J_PER_MOL * np.log(activity)) - _ZERO_K
    return point


def water_activity_over_ice_ratio(temp_c: ArrayLike) -> Floats:
    """What water activity has anything that holds ice at this temperature? [ratio to pure water]

    Any shape, -25 to 0 °C. What grows or ferments in a frozen dough meets this, not its recipe.

    Raises OutOfRange.

    Source: ``freezing_point_c``, solved for the water activity.
    """
    import numpy as np

    kelvin = checked_all(temp_c, "the temperature", -25.0, 0.0, "°C") + _ZERO_K
    activity: Floats = np.exp(_WATER_J_PER_MOL / _GAS_J_PER_MOL_K * (1.0 / _ZERO_K - 1.0 / kelvin))
    return activity


def bound_water_fraction(composition: Composition, bound_per_protein_ratio: float = BOUND_PER_PROTEIN_RATIO) -> float:
    """How much of the mass is water that never freezes? [fraction of the mass]

    Made for meat and fish; in wheat doughs starch and gluten keep far more (0.2 to 0.35 g of each g of flour, from
    memory), so that the ice found with it is an upper bound.

    Raises BadInput if the composition does not say its protein and water.

    Source: Schwartzberg (1976), in ASHRAE Refrigeration (2006), chapter 9, equation 3.
    """
    if composition.protein_fraction is None or composition.water_fraction is None:
        raise BadInput("the composition does not say its protein and water: how much water cannot freeze needs them")
    ratio = checked(bound_per_protein_ratio, "the water bound", 0.0, 5.0, "g for each g of protein")
    return min(composition.water_fraction, ratio * composition.protein_fraction)


@dataclass(frozen=True)
class FreezingStuff:
    """A dough or ingredient that can freeze: what it is made of, where its freezing begins, how much never freezes.

    ``freezing_point_c``: -20 to 0 °C; ``bound_fraction``: water that never freezes, in its mass.

    Raises OutOfRange, BadInput if the composition does not say its water.
    """

    composition: Composition
    freezing_point_c: float
    bound_fraction: float = 0.0

    def __post_init__(self) -> None:
        checked(self.freezing_point_c, "the freezing point", -20.0, 0.0, "°C")
        if self.composition.water_fraction is None:
            raise BadInput("the composition does not say its water: how much of it freezes needs that")
        checked(self.bound_fraction, "the bound water", 0.0, self.composition.water_fraction, "of the mass")

    def ice_fraction(self, temp_c: float) -> float:
        """How much of the mass is ice? [fraction; -40 to 150 °C]

        Raises OutOfRange.

        Source: ideal solution: (water - bound) x (1 - freezing point / temperature), both in °C; ASHRAE Refrigeration
        (2006), chapter 9, equation 2.
        """
        checked(temp_c, "the temperature", _COLDEST_C, 150.0, "°C")
        if temp_c >= self.freezing_point_c:
            return 0.0
        return self._can_freeze_fraction() * (1.0 - self.freezing_point_c / temp_c)

    def heat_j_per_g(self, from_c: float, to_c: float) -> float:
        """How much heat brings a gram from one temperature to the other, ice melting on the way? [J/g]

        Negative where it gives heat away; -40 to 150 °C.

        Raises OutOfRange.

        Source: specific heat of what is there at each temperature (``thermal_properties``), and 333.55 J for each gram
        of ice that melts.
        """
        import numpy as np

        if from_c > to_c:
            return -self.heat_j_per_g(to_c, from_c)
        melted = self.ice_fraction(from_c) - self.ice_fraction(to_c)
        corner = min(max(self.freezing_point_c, from_c), to_c)
        sensible = 0.0
        for low_c, high_c in ((from_c, corner), (corner, to_c)):
            if high_c > low_c:
                temps = np.linspace(low_c, high_c, _SLICES + 1)
                sensible += float(np.trapezoid([self._specific_heat_j_per_g_k(float(t)) for t in temps], temps))
        return sensible + ICE_LATENT_J_PER_G * melted

    def apparent_specific_heat_j_per_g_k(self, temp_c: float) -> float:
        """How much heat does the next kelvin take, melting ice counted in? [J/(g K)]

        It is highest just below the freezing point and jumps down there. Raises OutOfRange outside -40 to 150 °C.

        Source: derivative of ``heat_j_per_g``.
        """
        sensible = self._specific_heat_j_per_g_k(temp_c)
        if temp_c >= self.freezing_point_c:
            return sensible
        melting = -self._can_freeze_fraction() * self.freezing_point_c / (temp_c * temp_c)
        return sensible + ICE_LATENT_J_PER_G * melting

    def conductivity_w_per_m_k(self, temp_c: float, gas_fraction: float = 0.0) -> float:
        """How well does it conduct heat with the ice it holds? [W/(m K); -40 to 150 °C]

        Raises OutOfRange. Parallel mixing, an upper bound: ice conducts ten times as well as what lies around it.

        Source: ``thermal_properties.conductivity_w_per_m_k``.
        """
        ice = self.ice_fraction(temp_c)
        return conductivity_w_per_m_k(self.composition, self._inside(temp_c), gas_fraction, ice_fraction=ice)

    def density_kg_per_m3(self, temp_c: float, gas_fraction: float = 0.0) -> float:
        """How dense is it with the ice it holds? [kg/m³; -40 to 150 °C]

        Raises OutOfRange. Freezing alone makes a dough of 46 % water about 4 % larger.

        Source: ``thermal_properties.density_kg_per_m3``.
        """
        ice = self.ice_fraction(temp_c)
        return density_kg_per_m3(self.composition, self._inside(temp_c), gas_fraction, ice_fraction=ice)

    def _can_freeze_fraction(self) -> float:
        return (self.composition.water_fraction or 0.0) - self.bound_fraction

    def _specific_heat_j_per_g_k(self, temp_c: float) -> float:
        return specific_heat_j_per_g_k(self.composition, self._inside(temp_c), ice_fraction=self.ice_fraction(temp_c))

    def _inside(self, temp_c: float) -> float:
        """The temperature itself; cold water that has not begun to freeze counts as warm as the relations go."""
        return temp_c if self.ice_fraction(temp_c) > 0.0 else max(temp_c, -5.0)
