"""Heat that pieces make themselves, as what ``follow`` takes: yeast over temperature, or a rate that is known."""

from __future__ import annotations

from typing import TYPE_CHECKING

from smallhours.errors import BadInput
from smallhours.science.heat_path.following import OwnHeat
from smallhours.science.ranges import checked_all
from smallhours.science.yeast_activity import YeastCurves, activity_fractions

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

_MOST_W_PER_KG = 50.0
_COLDEST_C, _HOTTEST_C, _PER_K = -40.0, 120.0, 4


def yeast_heat(curves: YeastCurves, reference_c: float, reference_w_per_kg: ArrayLike) -> OwnHeat:
    """Heat of fermentation that follows the temperature of every layer.

    ``curves``: one curve. ``reference_w_per_kg``: heat made at the reference temperature [W/kg], one number or one for
    each piece; a litre of gas per kilogram and hour makes about 0.56 (``dough_gas.fermentation_heat_w_per_kg``).

    Raises OutOfRange for heat outside 0 to 50 W/kg or a reference at which yeast does not work, BadInput for several
    curves.

    Source: heat in proportion to activity, ``yeast_activity``; read off a table with a point every quarter kelvin.
    """
    import numpy as np

    rate = checked_all(reference_w_per_kg, "the heat of fermentation", 0.0, _MOST_W_PER_KG, "W/kg")
    # a fixed spacing is found without searching
    grid = np.linspace(_COLDEST_C, _HOTTEST_C, round((_HOTTEST_C - _COLDEST_C) * _PER_K) + 1)
    table = np.asarray(activity_fractions(grid, curves))
    if table.shape != grid.shape:
        raise BadInput("the heat of fermentation needs one curve of the yeast (found several)")
    at_reference = float(np.interp(reference_c, grid, table))
    checked_all(at_reference, "the activity of yeast at the reference", 1e-6, 1.0, "of its fastest")
    table = np.append(table, table[-1]) / at_reference

    def own_heat(temps_c: Floats, _at_s: Floats) -> Floats:
        where = np.clip((temps_c - _COLDEST_C) * _PER_K, 0.0, len(grid) - 1.0)
        index = where.astype(np.intp)
        below = table[index]
        found: Floats = rate * (below + (table[index + 1] - below) * (where - index))
        return found

    return own_heat


def known_heat(times_s: ArrayLike, rates_w_per_kg: ArrayLike) -> OwnHeat:
    """Heat whose rate over time is known, the same in all pieces and layers; between times it changes evenly.

    ``times_s``: rising [s]; ``rates_w_per_kg``: as many [W/kg].

    Raises OutOfRange for heat outside -50 to 50 W/kg or NaN, BadInput for times that do not rise.

    Source: none but the caller's.
    """
    import numpy as np

    times = checked_all(times_s, "the time of a rate", -1e12, 1e12, "s")
    rates = checked_all(rates_w_per_kg, "the heat made inside", -_MOST_W_PER_KG, _MOST_W_PER_KG, "W/kg")
    if times.ndim != 1 or times.shape != rates.shape or not times.size or not (np.diff(times) > 0.0).all():
        raise BadInput("known heat needs equally many rising times and rates")
    return lambda _temps_c, at_s: np.interp(at_s, times, rates)
