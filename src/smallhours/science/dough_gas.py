"""From gas that is made to a dough that has risen: what dissolves first, what the bubbles hold, what is lost; and heat.

Amounts are millimoles of carbon dioxide for each gram of dough, which are moles for each kilogram. The gas is at the
pressure of the air: skins, dough stiffness and surface tension add a few percent to it that are not counted.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from smallhours.errors import OutOfRange
from smallhours.science.altitude import SEA_LEVEL_PA
from smallhours.science.fermentation import GAS_CONSTANT_J_PER_MOL_K
from smallhours.science.moist_air import saturation_pressure_pa
from smallhours.science.ranges import checked, checked_all, checked_positive

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

_COLDEST_C, _HOTTEST_C = -5.0, 70.0
_MOST_MMOL_PER_G = 2.0
_LEAST_PA, _MOST_PA = 50_000.0, 110_000.0


@dataclass(frozen=True)
class DissolvedGas:
    """How well a gas dissolves in water: at 25 °C [mol/(m3 Pa)], and how fast that falls with warmth [K].

    ``slope_k``: of the logarithm over 1/temperature. For carbon dioxide 3.3e-4 and 2400.
    """

    solubility_mol_per_m3_pa: float
    slope_k: float

    def __post_init__(self) -> None:
        checked(self.solubility_mol_per_m3_pa, "the solubility of a gas at 25 °C", 1e-6, 1e-2, "mol/(m³ Pa)")
        checked(self.slope_k, "the slope of a gas's solubility", 0.0, 6000.0, "K")


@dataclass(frozen=True)
class DoughGas:
    """What a dough needs to be known for its gas: water and volume, air mixed in, what it can hold, air pressure.

    ``water_fraction``: of its mass. ``solid_ml_per_g``: volume without any gas (0.80 to 0.90). ``air_fraction``: of its
    volume after mixing (0.05 to 0.15). ``most_ml_per_g``: the gas at which it can hold no more; ``knee_number``: how
    abruptly that comes (1 gently, 8 at once). All may be arrays that broadcast.
    """

    water_fraction: ArrayLike
    solid_ml_per_g: ArrayLike
    air_fraction: ArrayLike
    most_ml_per_g: ArrayLike
    knee_number: ArrayLike
    pressure_pa: float = SEA_LEVEL_PA

    def __post_init__(self) -> None:
        checked_all(self.water_fraction, "the water of a dough", 0.1, 0.9, "of its mass")
        checked_all(self.solid_ml_per_g, "the volume of a dough without gas", 0.6, 1.1, "ml/g")
        checked_all(self.air_fraction, "the air mixed into a dough", 0.0, 0.4, "of its volume")
        checked_all(self.most_ml_per_g, "the most gas that a dough holds", 0.1, 20.0, "ml/g")
        checked_all(self.knee_number, "how abruptly a dough begins to lose gas", 1.0, 20.0, "")
        checked(self.pressure_pa, "the air pressure", _LEAST_PA, _MOST_PA, "Pa")


def solubility_ratios(temps_c: ArrayLike, gas: DissolvedGas) -> Floats:
    """How much gas does water hold, volume of gas at that temperature for a volume of water? [ratio; any shape]

    Pure water: salt and sugar lower it by up to a tenth, which is not counted.

    Raises OutOfRange for a temperature outside -5 to 70 °C.

    Source: Henry's law with van 't Hoff's temperature dependence (the form of R. Sander's compilation of constants).

    >>> solubility_ratios([5.0, 25.0, 35.0], DissolvedGas(3.3e-4, 2400.0)).round(2).tolist()
    [1.36, 0.82, 0.65]
    """
    kelvin = _kelvin(temps_c)
    ratios: Floats = _solubility(kelvin, gas) * GAS_CONSTANT_J_PER_MOL_K * kelvin
    return ratios


def bubble_volumes_ml_per_g(
    made_mmol_per_g: ArrayLike, temps_c: ArrayLike, dough: DoughGas, gas: DissolvedGas, start_c: ArrayLike
) -> Floats:
    """How large are a dough's bubbles when its yeast has made so much gas, none being lost? [ml per g of dough]

    ``made_mmol_per_g``, ``temps_c`` and ``start_c`` broadcast with the dough's values. Bubbles hold the air that was
    mixed in at ``start_c``, vapour (as over pure water; dough's own is 2 to 7 % less), and the carbon dioxide that the
    water does not: bubbles and water are in balance, so at first nearly all gas dissolves and rising begins late,
    without any lag being put in.

    Raises OutOfRange for amounts outside 0 to 2 mmol/g or temperatures outside -5 to 70 °C.

    Source: Henry's and Dalton's laws and the ideal gas law, solved for the gas in the bubbles (a quadratic equation).
    """
    import numpy as np

    made = checked_all(made_mmol_per_g, "the gas made by yeast", 0.0, _MOST_MMOL_PER_G, "mmol per g of dough")
    kelvin = _kelvin(temps_c)
    dry_pa = dough.pressure_pa - np.interp(kelvin, *_vapour_table())
    air = _air_mmol_per_g(dough, start_c)
    # mol/(m3 Pa) x Pa = mol/m3 = 1e-3 mmol/ml, and a ml of water for each gram
    most_dissolved = _solubility(kelvin, gas)
    most_dissolved *= dry_pa
    half = (made - air) / 2.0 - most_dissolved * (np.asarray(dough.water_fraction, dtype=np.float64) * 0.5e-3)
    root = half * half
    root = np.sqrt(root + made * air)
    # the positive root; rounding must not make it less than nothing
    volumes: Floats = np.maximum(half + root, 0.0)
    volumes = volumes + air
    kelvin = kelvin * (GAS_CONSTANT_J_PER_MOL_K * 1e3)
    kelvin /= dry_pa
    return volumes * kelvin


def held_ml_per_g(bubbles_ml_per_g: ArrayLike, dough: DoughGas) -> Floats:
    """How much of its gas does a dough hold, as it comes to the end of what it can stretch? [ml per g of dough]

    Raises OutOfRange for volumes outside 0 to 1000 ml/g.

    Source: a form assumed: v / (1 + (v / most)^knee)^(1 / knee), all of it at first, never more than the most.
    """
    import numpy as np

    volumes = checked_all(bubbles_ml_per_g, "the volume of the bubbles", 0.0, 1000.0, "ml per g of dough")
    knee = np.asarray(dough.knee_number, dtype=np.float64)
    share = volumes / np.asarray(dough.most_ml_per_g, dtype=np.float64)
    held: Floats = volumes / np.power(1.0 + np.power(share, knee), 1.0 / knee)
    return held


def rise_ratios(held_volumes_ml_per_g: ArrayLike, dough: DoughGas) -> Floats:
    """How many times its volume after mixing is the dough's volume with so much gas in it? [ratio; broadcasts]

    Raises OutOfRange for volumes outside 0 to 1000 ml/g.

    Source: definition: (solid + gas) / (solid + air).

    >>> plain = DoughGas(0.45, 0.87, 0.0, 5.0, 8.0)
    >>> rise_ratios([0.87, 2.175], plain).round(9).tolist()
    [2.0, 3.5]
    """
    import numpy as np

    volumes = checked_all(held_volumes_ml_per_g, "the gas held", 0.0, 1000.0, "ml per g of dough")
    solid = np.asarray(dough.solid_ml_per_g, dtype=np.float64)
    ratios: Floats = (solid + volumes) / _start_ml_per_g(dough)
    return ratios


def gas_for_rise_mmol_per_g(
    rise_ratio: ArrayLike, temps_c: ArrayLike, dough: DoughGas, gas: DissolvedGas, start_c: ArrayLike
) -> Floats:
    """How much gas must yeast make for the dough to be so many times its volume? [mmol per g of dough; broadcasts]

    What dissolves and what gets lost is in it; infinite where the dough cannot hold so much.

    Raises OutOfRange for a rise outside 1 to 30, temperatures outside -5 to 70 °C, or a rise that the warming of its
    first air alone passes.

    Source: ``rise_ratios``, ``held_ml_per_g`` and ``bubble_volumes_ml_per_g``, each solved for what goes into it.
    """
    import numpy as np

    rise = checked_all(rise_ratio, "the rise of a dough", 1.0, 30.0, "times its volume after mixing")
    kelvin = _kelvin(temps_c)
    dry_pa = dough.pressure_pa - np.interp(kelvin, *_vapour_table())
    air = _air_mmol_per_g(dough, start_c)
    held = rise * _start_ml_per_g(dough) - np.asarray(dough.solid_ml_per_g, dtype=np.float64)
    knee = np.asarray(dough.knee_number, dtype=np.float64)
    kept = 1.0 - np.power(held / np.asarray(dough.most_ml_per_g, dtype=np.float64), knee)
    with np.errstate(divide="ignore"):
        bubbles = held / np.power(np.maximum(kept, 0.0), 1.0 / knee)
    inside = bubbles * dry_pa / (GAS_CONSTANT_J_PER_MOL_K * kelvin) * 1e-3
    free = inside - air
    if (free < -1e-9).any():
        raise OutOfRange("the dough's first air alone, grown warm, takes more room than the rise that is asked for")
    shape = np.broadcast_shapes(np.shape(air), np.shape(inside))
    share = 1.0 - np.divide(air, inside, out=np.ones(shape), where=inside > 0.0)
    made: Floats = free + _solubility(kelvin, gas) * dry_pa * np.asarray(dough.water_fraction) * 1e-3 * share
    return np.maximum(made, 0.0)


def mean_over_shells(values_ml_per_g: Floats, shell_fraction: ArrayLike) -> Floats:
    """The mean over a piece of its shells' values, which are the last axis of ``values_ml_per_g`` [ml/g].

    ``shell_fraction``: each shell's share of the dough's mass (of its volume before it rose); they add up to 1.

    Raises OutOfRange for shares that are negative, do not add up to 1, or are not as many as the shells.

    Source: weighted mean; gas of a shell stays in it.
    """
    import numpy as np

    shares = checked_all(shell_fraction, "the share of a shell", 0.0, 1.0, "of the piece")
    if shares.ndim != 1 or values_ml_per_g.shape[-1:] != shares.shape or abs(float(shares.sum()) - 1.0) > 1e-6:
        raise OutOfRange(
            f"the shares of shells must add up to 1, one for each of {values_ml_per_g.shape[-1:] or 0} shells "
            f"(found {shares.size} that add up to {float(shares.sum()):g})"
        )
    mean: Floats = np.asarray(values_ml_per_g @ shares, dtype=np.float64)
    return mean


def fermentation_heat_w_per_kg(gas_ml_per_kg_h: ArrayLike, temp_c: float, heat_kj_per_mol: float) -> Floats:
    """How much heat does a dough make that makes so much gas, measured at that temperature and sea level? [W/kg]

    ``heat_kj_per_mol``: for each mol of carbon dioxide, 50 (100 for each mol of glucose or fructose). Any shape.

    Raises OutOfRange for rates outside 0 to 20,000 ml/(kg h), temperatures outside -5 to 70 °C, heat outside 10 to 500.

    Source: heat of reaction for sugar in water to alcohol in water and gas, and the ideal gas law.

    >>> heat = fermentation_heat_w_per_kg(1000.0, 25.0, 50.0)
    >>> round(float(heat) * 3600 / 2800, 2)  # kelvins an hour for a dough of 2.8 J/(g K) that loses none of it
    0.73
    """
    rates = checked_all(gas_ml_per_kg_h, "the rate of gas", 0.0, 20_000.0, "ml/(kg h)")
    heat = checked(heat_kj_per_mol, "the heat of fermentation", 10.0, 500.0, "kJ/mol")
    ml_per_mol = GAS_CONSTANT_J_PER_MOL_K * float(_kelvin(temp_c)) / SEA_LEVEL_PA * 1e6
    watts: Floats = rates / ml_per_mol * heat * 1000.0 / 3600.0
    return watts


def self_heating_k_per_s(heat_w_per_kg: ArrayLike, specific_heat_j_per_g_k: float) -> Floats:
    """How fast would a dough warm itself that loses no heat? [K/s; any shape]

    Raises OutOfRange for heats outside 0 to 500 W/kg or a specific heat that is not positive.

    Source: heat / specific heat.
    """
    watts = checked_all(heat_w_per_kg, "the heat of fermentation", 0.0, 500.0, "W/kg")
    heat = checked_positive(specific_heat_j_per_g_k, "the specific heat", "J/(g K)")
    warming: Floats = watts / (heat * 1000.0)
    return warming


def _kelvin(temps_c: ArrayLike) -> Floats:
    return checked_all(temps_c, "a dough temperature", _COLDEST_C, _HOTTEST_C, "°C") + 273.15


def _solubility(kelvin: Floats, gas: DissolvedGas) -> Floats:
    import numpy as np

    found: Floats = np.exp(gas.slope_k / kelvin + (math.log(gas.solubility_mol_per_m3_pa) - gas.slope_k / 298.15))
    return found


@cache
def _vapour_table() -> tuple[Floats, Floats]:
    """Kelvins and vapour pressure (Pa), every half degree: straight lines between are within 0.02 %, and faster."""
    import numpy as np

    grid_c = np.arange(_COLDEST_C, _HOTTEST_C + 0.25, 0.5)
    return grid_c + 273.15, saturation_pressure_pa(grid_c)


def _start_ml_per_g(dough: DoughGas) -> Floats:
    import numpy as np

    return np.asarray(dough.solid_ml_per_g, dtype=np.float64) / (1.0 - np.asarray(dough.air_fraction))


def _air_mmol_per_g(dough: DoughGas, start_c: ArrayLike) -> Floats:
    import numpy as np

    kelvin = _kelvin(start_c)
    dry_pa = dough.pressure_pa - np.interp(kelvin, *_vapour_table())
    volume_ml = _start_ml_per_g(dough) * np.asarray(dough.air_fraction, dtype=np.float64)
    air: Floats = dry_pa * volume_ml / (GAS_CONSTANT_J_PER_MOL_K * kelvin) * 1e-3
    return air
