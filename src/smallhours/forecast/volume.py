"""How large a dough is with so much gas in it, at the temperature that it has, for every member at once.

Gas first dissolves in the dough's water, the more the colder it is; what is left fills the bubbles and grows and
shrinks with their temperature (``science.dough_gas``). How much gas the rise of a stage takes is worked out where the
formula means it to stand, so that its own rise comes out there, and a cold dough with the same gas is smaller.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from smallhours.bakery.formula.amounts import Amounts
from smallhours.bakery.pantry import Pantry
from smallhours.forecast.sizes import DENSITY_G_PER_MM3
from smallhours.reference.fermentation import carbon_dioxide, holding
from smallhours.science.altitude import air_pressure_pa
from smallhours.science.dough_gas import DoughGas, bubble_volumes_ml_per_g, gas_for_rise_mmol_per_g, rise_ratios

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_LEAST_WATER, _MOST_WATER = 0.15, 0.85
_COLDEST_C, _HOTTEST_C, _MOST_MMOL_PER_G = -5.0, 70.0, 2.0
# what a dough holds is a matter of the stage's own rise: no second limit
_NO_LIMIT_ML_PER_G, _ABRUPT, _MOST_RISE = 20.0, 20.0, 12.0


def gas_room(amounts: Amounts, pantry: Pantry, part_id: str, altitude_m: float = 0.0) -> DoughGas:
    """What a part is, for its gas: its water, and the air that mixing leaves in a lean dough (table gas_holding).

    Its density after mixing is that of every dough here, 1.15 g/cm3.
    """
    masses = amounts.ingredients(part_id)
    total_g = sum(masses.values())
    water_g = sum(mass * (pantry.find(key).composition.water_fraction or 0.0) for key, mass in masses.items())
    share = min(max(water_g / total_g if total_g > 0 else 0.45, _LEAST_WATER), _MOST_WATER)
    air = holding("lean").air_fraction
    solid = (1.0 - air) / (DENSITY_G_PER_MM3 * 1000.0)
    return DoughGas(share, solid, air, _NO_LIMIT_ML_PER_G, _ABRUPT, air_pressure_pa(altitude_m))


class Volume:
    """The gas in a dough (mmol per g, (members,)) and how large it makes it."""

    def __init__(self, room: DoughGas, start_c: Floats) -> None:
        import numpy as np

        self._room, self._start_c = room, start_c
        self._gas = carbon_dioxide()
        self.gas_mmol_per_g: Floats = np.zeros(start_c.size)

    def rises(self, gas_mmol_per_g: Floats, temps_c: Floats) -> Floats:
        """The volume over the volume after mixing; both (times, members) or (members,)."""
        import numpy as np

        gas, temps = np.clip(gas_mmol_per_g, 0.0, _MOST_MMOL_PER_G), np.clip(temps_c, _COLDEST_C, _HOTTEST_C)
        return rise_ratios(bubble_volumes_ml_per_g(gas, temps, self._room, self._gas, self._start_c), self._room)

    def gas_for(self, rise: Floats | float, temps_c: Floats) -> Floats:
        """The gas that makes it so large at these temperatures (members,); none where its air alone does."""
        import numpy as np

        temps = np.clip(temps_c, _COLDEST_C, _HOTTEST_C)
        least = self.rises(np.zeros(1), temps)
        wanted = np.clip(np.maximum(rise, least * (1.0 + 1e-9)), 1.0, _MOST_RISE)
        made = gas_for_rise_mmol_per_g(wanted, temps, self._room, self._gas, self._start_c)
        found: Floats = np.where(np.asarray(rise) > least, made, 0.0)
        return found
