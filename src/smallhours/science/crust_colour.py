"""How a crust browns: first order towards burnt, faster the hotter it is.

For advice on what changes, not for the colour of one crust: nobody logs the temperature of a crust, and sugar, milk,
egg wash and steam shift it as much as the oven does.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from smallhours.science.ranges import checked_all, checked_all_positive

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

GAS_CONSTANT_J_PER_MOL_K = 8.314462618
"""Exact since 2019 (CODATA)."""


def browning_rate_per_s(temp_c: ArrayLike, factor_per_s: ArrayLike, activation_j_per_mol: ArrayLike) -> Floats:
    """How fast does a crust at this temperature brown? [1/s]

    ``temp_c``: of the crust, 100 to 260 °C; measured from 140 to 250.

    Raises OutOfRange.

    Source: Arrhenius; parameters for dried crumb by Zanoni, Peri & Bruno, LWT 28:604 (1995).

    >>> rate = browning_rate_per_s(200.0, 42_000.0, 64_151.0)
    >>> round(0.693147 / float(rate))
    199
    """
    import numpy as np

    kelvin = checked_all(temp_c, "the temperature of the crust", 100.0, 260.0, "°C") + 273.15
    factor = checked_all_positive(factor_per_s, "the factor of the rate", "1/s")
    energy = checked_all_positive(activation_j_per_mol, "the activation energy", "J/mol")
    found: Floats = factor * np.exp(-energy / (GAS_CONSTANT_J_PER_MOL_K * kelvin))
    return found


def browned_fraction(
    temps_c: ArrayLike, times_s: ArrayLike, factor_per_s: float, activation_j_per_mol: float
) -> Floats:
    """How much of the way from dough to burnt has a crust gone on this path? [fraction at each time]

    ``temps_c``: of the crust, along the last axis, at ``times_s`` (rising). Colder than 100 °C it does not brown.
    Times the published 52 it is the difference in colour, Delta E.

    Raises OutOfRange for a temperature that is no number, times that do not rise.

    Source: Zanoni, Peri & Bruno (1995): Delta E = 52 (1 - exp(-integral of the rate)); trapezoids.
    """
    import numpy as np

    temps = checked_all(temps_c, "the temperature of the crust", -40.0, 260.0, "°C")
    times = checked_all(times_s, "the times", 0.0, 1e6, "s")
    steps = checked_all_positive(np.diff(times), "the step from one time to the next", "s")
    rate = browning_rate_per_s(np.maximum(temps, 100.0), factor_per_s, activation_j_per_mol) * (temps >= 100.0)
    passed = np.cumsum((rate[..., 1:] + rate[..., :-1]) / 2.0 * steps, axis=-1)
    passed = np.concatenate((np.zeros((*temps.shape[:-1], 1)), passed), axis=-1)
    found: Floats = -np.expm1(-passed)
    return found


def same_colour_time_ratio(before_c: ArrayLike, after_c: ArrayLike, activation_j_per_mol: ArrayLike) -> Floats:
    """By how much longer until the same colour, if the crust is at one temperature instead of another? [ratio]

    Raises OutOfRange for temperatures outside 100 to 260 °C.

    Source: ratio of two Arrhenius rates; the factor cancels out.

    >>> round(float(same_colour_time_ratio(200.0, 210.0, 64_151.0)), 2)
    0.71
    """
    found: Floats = browning_rate_per_s(before_c, 1.0, activation_j_per_mol) / browning_rate_per_s(
        after_c, 1.0, activation_j_per_mol
    )
    return found
