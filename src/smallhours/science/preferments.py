"""Preferments with baker's yeast (poolish, sponge, biga): when they are ripe, and how little yeast they need.

A preferment is ripe when each gram of its flour has had so much gas made in it, whatever the dose and the hours were.
All is reckoned for a gram of flour. Yeast has to multiply in here: in a long preferment most of it grew there.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from smallhours.errors import BadInput
from smallhours.science.fermentation_path import Yeast, dose_for_gas_percent, gas_made_mmol_per_g, times_to_s
from smallhours.science.ranges import checked_all, checked_positive
from smallhours.science.yeast_growth import checked_dose

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

_MOST_MMOL_PER_G = 2.0


def preferment_ready_s(
    times_s: ArrayLike, temps_c: ArrayLike, dose_percent: ArrayLike, ripe_mmol_per_g: ArrayLike, yeast: Yeast
) -> Floats:
    """When is a preferment ripe along a path of temperatures? [s from its first time; (draws,)]

    ``dose_percent``: fresh yeast in % of the preferment's own flour. ``ripe_mmol_per_g``: gas for each gram of its
    flour at which it is ripe. ``yeast``: multiplies, and makes its gas for a gram of flour; its own dose is not used.
    Infinite where it is not ripe by the end of the path.

    Raises BadInput for a path that cannot be used or yeast that does not multiply, OutOfRange for a dose outside 0.001
    to 20 % or gas outside 0 to 2 mmol/g.

    Source: ``gas_made_mmol_per_g``; that ripeness goes with gas is common practice's meaning of its doses and hours.
    """
    ripe = checked_all(ripe_mmol_per_g, "the gas of a ripe preferment", 1e-4, _MOST_MMOL_PER_G, "mmol per g of flour")
    dosed = replace(_growing(yeast), dose_percent=checked_dose(dose_percent))
    return times_to_s(times_s, gas_made_mmol_per_g(times_s, temps_c, dosed), ripe)


def preferment_dose_percent(times_s: ArrayLike, temps_c: ArrayLike, ripe_mmol_per_g: ArrayLike, yeast: Yeast) -> Floats:
    """How much fresh yeast makes a preferment ripe at the end of this path? [% of its own flour; (draws,)]

    Parameters and errors as ``preferment_ready_s``; NaN where no dose from 0.001 to 20 % does it.

    Source: ``preferment_ready_s``, solved for the dose.
    """
    ripe = checked_all(ripe_mmol_per_g, "the gas of a ripe preferment", 1e-4, _MOST_MMOL_PER_G, "mmol per g of flour")
    return dose_for_gas_percent(times_s, temps_c, ripe, _growing(yeast))


def prefermented_yeast_percent(dose_percent: float, prefermented_fraction: float, grown_ratio: float) -> float:
    """How much yeast does a ripe preferment bring into the whole dough? [% of all flour]

    ``prefermented_fraction``: its flour's share of all flour. ``grown_ratio``: how much its yeast has multiplied
    (``yeast_growth.growth_ratios``).

    Raises OutOfRange for a dose outside 0.001 to 20 %, a share outside 0 to 1, or a ratio that is not positive.

    Source: mass balance.

    >>> round(prefermented_yeast_percent(0.1, 0.3, 6.0), 3)
    0.18
    """
    dose = float(checked_dose(dose_percent))
    share = float(checked_all(prefermented_fraction, "the share of prefermented flour", 0.0, 1.0, ""))
    return dose * share * checked_positive(grown_ratio, "how much yeast has multiplied", "times")


def _growing(yeast: Yeast) -> Yeast:
    if yeast.growth is None:
        raise BadInput("a preferment needs yeast that multiplies: give its growth and the curve of its growth")
    return yeast
