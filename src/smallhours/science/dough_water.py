"""What sugar and salt do to the water of a dough, and what that does to its yeast.

An index for comparing doughs by, not a measured water activity: all added water counts as solvent, the flour's own
soluble matter is assumed, and nothing here says how a food keeps.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.science.fermentation import GAS_CONSTANT_J_PER_MOL_K, HEXOSE_G_PER_MOL
from smallhours.science.ranges import checked, checked_all, checked_positive

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

WATER_G_PER_MOL = 18.0153
"""Molar mass of water [g/mol]; IUPAC standard atomic weights."""
SALT_G_PER_MOL = 58.443
"""Molar mass of common salt [g/mol]; IUPAC standard atomic weights."""
SUCROSE_G_PER_MOL = 342.297
"""Molar mass of sucrose [g/mol]; IUPAC standard atomic weights. Inverted, it gives two hexoses."""
WATER_ML_PER_MOL = 18.07
"""Molar volume of water at 25 °C [ml/mol]: 18.0153 g / 0.99705 g/ml."""
_MOST_MOLAL = 20.0
# Pitzer's parameters of common salt at 25 °C: A of water, beta0, beta1, C of the salt; b and alpha are his constants
_A, _BETA0, _BETA1, _C, _B, _ALPHA = 0.3915, 0.0765, 0.2664, 0.00127, 1.2, 2.0


@dataclass(frozen=True)
class Solute:
    """Something dissolved that does not fall apart: molar mass, and its Norrish constant [dimensionless; 0: ideal]."""

    molar_mass_g: float
    norrish_factor: float

    def __post_init__(self) -> None:
        checked(self.molar_mass_g, "the molar mass of a solute", 30.0, 2000.0, "g/mol")
        checked(self.norrish_factor, "the Norrish constant of a solute", 0.0, 30.0, "")


def sugar_water_activity_ratios(solute_mol_per_kg: ArrayLike, norrish_factor: float) -> Floats:
    """How much does one sugar, so many mol in a kilogram of water, lower the water activity? [ratio to pure water]

    Any shape. Raises OutOfRange outside 0 to 20 mol/kg or for a constant outside 0 to 30.

    Source: Norrish (1966): mole fraction of water x exp(-K x square of the solute's). K: 6.47 sucrose, 2.25 glucose
    and fructose.

    >>> sugar_water_activity_ratios([1.0, 2.0], 6.47).round(4).tolist()
    [0.9803, 0.9577]
    """
    import numpy as np

    molal = checked_all(solute_mol_per_kg, "the solute in the water", 0.0, _MOST_MOLAL, "mol/kg")
    constant = checked(norrish_factor, "the Norrish constant of a solute", 0.0, 30.0, "")
    share = molal / (molal + 1000.0 / WATER_G_PER_MOL)
    ratios: Floats = (1.0 - share) * np.exp(-constant * share * share)
    return ratios


def salt_water_activity_ratios(salt_mol_per_kg: ArrayLike) -> Floats:
    """How much does common salt, so many mol in a kilogram of water, lower the water activity? [ratio to pure water]

    Any shape. Raises OutOfRange outside 0 to 6.144 mol/kg (saturated).

    Source: Pitzer's equation for the osmotic coefficient, at 25 °C, with his parameters of sodium chloride (Pitzer &
    Mayorga 1973).

    >>> salt_water_activity_ratios([1.0, 6.144]).round(4).tolist()
    [0.9668, 0.7524]
    """
    import numpy as np

    molal = checked_all(salt_mol_per_kg, "the salt in the water", 0.0, 6.144, "mol/kg")
    root = np.sqrt(molal)
    debye = -_A * root / (1.0 + _B * root)
    osmotic = 1.0 + debye + molal * (_BETA0 + _BETA1 * np.exp(-_ALPHA * root)) + molal * molal * _C
    ratios: Floats = np.exp(-osmotic * 2.0 * molal * WATER_G_PER_MOL / 1000.0)
    return ratios


def osmotic_pressures_kpa(water_activity_ratio: ArrayLike, temp_c: float = 30.0) -> Floats:
    """How hard does this water draw on the water inside a yeast cell? [kPa]

    Any shape. Raises OutOfRange for water activities outside 0.3 to 1 or a temperature outside -10 to 60 °C.

    Source: definition: -R T ln(water activity) / molar volume of water.

    >>> round(float(osmotic_pressures_kpa(0.9774)) / 101.325)
    31
    """
    import numpy as np

    activities = checked_all(water_activity_ratio, "the water activity", 0.3, 1.0, "")
    kelvin = checked(temp_c, "the dough temperature", -10.0, 60.0, "°C") + 273.15
    pressures: Floats = -GAS_CONSTANT_J_PER_MOL_K * kelvin * np.log(activities) / (WATER_ML_PER_MOL * 1e-6) / 1000.0
    return pressures


def dough_water_activity_ratios(
    water_percent: ArrayLike,
    salt_percent: ArrayLike,
    sucrose_percent: ArrayLike,
    hexose_norrish_factor: float,
    flour_solutes_mol_per_kg: float,
    hexose_percent: ArrayLike = 0.0,
    lactose_percent: ArrayLike = 0.0,
    lactose: Solute | None = None,
) -> Floats:
    """What is the water activity of a dough's water? [ratio to pure water; broadcasts]

    All in percent of flour: ``water_percent`` all water that was added, also with milk and egg; sucrose counts as
    inverted to glucose and fructose, as yeast does within minutes; ``hexose_percent`` what came as such (honey, invert
    sugar); ``lactose_percent`` needs ``lactose``. ``flour_solutes_mol_per_kg``: what flour itself dissolves in a
    kilogram of the water, an assumption of 0.25. Fat dissolves nothing and does not enter.

    Raises OutOfRange for water outside 20 to 300 %, salt outside 0 to 10 % or sugars outside 0 to 100 %.

    Source: product of the single solutes' ratios (Ross 1975), each by Norrish or Pitzer.

    >>> dough_water_activity_ratios(62.0, 2.0, [0.0, 5.0], 2.25, 0.25).round(3).tolist()
    [0.977, 0.969]
    """
    water = checked_all(water_percent, "the water of a dough", 20.0, 300.0, "% of flour")
    salt = checked_all(salt_percent, "the salt of a dough", 0.0, 10.0, "% of flour")
    sucrose = checked_all(sucrose_percent, "the sugar of a dough", 0.0, 100.0, "% of flour")
    simple = checked_all(hexose_percent, "the simple sugars of a dough", 0.0, 100.0, "% of flour")
    per_kg = 1000.0 / water
    hexose_molal = (2.0 * sucrose / SUCROSE_G_PER_MOL + simple / HEXOSE_G_PER_MOL) * per_kg
    ratios = sugar_water_activity_ratios(hexose_molal, hexose_norrish_factor)
    ratios = ratios * salt_water_activity_ratios(salt / SALT_G_PER_MOL * per_kg)
    ratios = ratios * sugar_water_activity_ratios(flour_solutes_mol_per_kg, 0.0)
    if lactose is not None:
        milk = checked_all(lactose_percent, "the lactose of a dough", 0.0, 100.0, "% of flour")
        ratios = ratios * sugar_water_activity_ratios(milk / lactose.molar_mass_g * per_kg, lactose.norrish_factor)
    return ratios


def osmotic_factors(osmotic_kpa: ArrayLike, lean_kpa: float, scale_kpa: ArrayLike) -> Floats:
    """How many times as fast as in a lean dough does yeast work in this dough's water? [ratio; broadcasts]

    ``lean_kpa``: the pressure at which the ratio is 1 (a lean dough of 62 % water and 2 % salt: 31 atm, 3140 kPa).
    ``scale_kpa``: over which it falls to 37 %: how much the yeast stands. Milder than lean counts as faster.

    Sugar also feeds yeast: where flour's own runs out (after an hour or two without malt), up to 5 % make more gas, not
    less. That is not in here.

    Raises OutOfRange for a pressure outside 0 to 30,000 kPa or a scale outside 500 to 50,000 kPa.

    Source: a form assumed, exp(-(pressure - lean) / scale). Two published leavening values give scales of 21 and 60
    atm, a factor of three apart in different assays.

    >>> round(float(osmotic_factors(3140.0 + 4560.0, 3140.0, 4560.0)), 3)
    0.368
    """
    import numpy as np

    pressures = checked_all(osmotic_kpa, "the osmotic pressure", 0.0, 30_000.0, "kPa")
    lean = checked_positive(lean_kpa, "the osmotic pressure of a lean dough", "kPa")
    scales = checked_all(scale_kpa, "the pressure that yeast stands", 500.0, 50_000.0, "kPa")
    factors: Floats = np.exp(-(pressures - lean) / scales)
    return factors
