"""How long a sourdough culture takes: how far it was thinned, how warm it stands, how ripe it has to be.

The culture multiplies at a constant rate and is ripe when so much has newly grown; the gas goes with it. With little
culture each halving costs one doubling time; with much it is less. Nothing is said of acid, nor of what a starved or
cold culture needs to wake: from much culture (1 part to 1 of flour) it comes out about an hour too early.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.errors import Impossible, OutOfRange
from smallhours.science.fermentation_path import checked_path, integrals_s
from smallhours.science.ranges import checked, checked_all, checked_positive
from smallhours.science.yeast_activity import RatePoints, interpolated_fractions

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Culture:
    """How a culture grows: doubling time at a reference temperature, relative rates over temperature, when it is ripe.

    ``ripe_fraction``: how much has newly grown when it is ripe, measured in culture flour to all flour.

    Raises OutOfRange for a doubling time outside 0.5 to 48 h, a share outside 0.01 to 5, or a reference at which the
    culture does not grow.
    """

    doubling_s: float
    reference_c: float
    ripe_fraction: float
    growth: RatePoints

    def __post_init__(self) -> None:
        checked(self.doubling_s, "the doubling time of a culture", 1800.0, 172_800.0, "s")
        checked(self.ripe_fraction, "the share newly grown in a ripe culture", 0.01, 5.0, "of the flour")
        if float(interpolated_fractions(self.reference_c, self.growth)) <= 0.0:
            raise OutOfRange(f"a culture does not grow at its reference of {self.reference_c:g} °C")


def culture_fraction(culture_g: float, culture_water_percent: float, flour_g: float) -> float:
    """Which share of all flour is the culture's? [fraction]

    ``culture_g``: of ripe culture; ``culture_water_percent``: its water in percent of its flour; ``flour_g``: fresh.

    Raises OutOfRange for a mass that is not positive or water outside 30 to 300 %.

    Source: mass balance. A feeding of 1 part culture, 5 flour, 5 water (100 % water): 0.5 of 5.5.

    >>> round(culture_fraction(1.0, 100.0, 5.0), 4)
    0.0909
    """
    mass, fresh = checked_positive(culture_g, "the culture", "g"), checked_positive(flour_g, "the flour", "g")
    water = checked(culture_water_percent, "the water of the culture", 30.0, 300.0, "% of its flour")
    own = mass / (1.0 + water / 100.0)
    return own / (own + fresh)


def doublings(culture_fraction: ArrayLike, culture: Culture) -> Floats:
    """How often must a culture, thinned to these shares of the flour, double until it is ripe? [number; broadcasts]

    Raises OutOfRange for shares outside 0.0001 to 1.

    Source: exponential growth until a set amount is new: log2(1 + ripe share / share).
    """
    import numpy as np

    shares = checked_all(culture_fraction, "the culture's share of the flour", 1e-4, 1.0, "")
    found: Floats = np.log2(1.0 + culture.ripe_fraction / shares)
    return found


def culture_ready_s(culture_fraction: ArrayLike, temps_c: ArrayLike, culture: Culture) -> Floats:
    """How long does a culture, thinned to these shares of the flour, take at these steady temperatures? [s; broadcasts]

    Infinite where it does not grow.

    Raises OutOfRange for shares outside 0.0001 to 1 or temperatures outside -40 to 120 °C.

    Source: exponential growth until a set amount is new: doubling time x log2(1 + ripe share / share) / relative rate.
    """
    import numpy as np

    relative = interpolated_fractions(temps_c, culture.growth) / _reference(culture)
    wanted = doublings(culture_fraction, culture) * culture.doubling_s
    with np.errstate(divide="ignore"):
        times: Floats = wanted / relative
    return times


def culture_ready_along_s(culture_fraction: float, times_s: ArrayLike, temps_c: ArrayLike, culture: Culture) -> float:
    """When is a culture ready along a path of temperatures? [s from the path's first time]

    ``times_s``, ``temps_c``: (times,), rising; after the last time the temperature stays.

    Raises OutOfRange, BadInput for a path that cannot be used; Impossible if it would never be ready.

    Source: integral of the relative rate along the path, as ``culture_ready_s``.
    """
    import numpy as np

    times, temps = checked_path(times_s, temps_c)
    rates = interpolated_fractions(temps, culture.growth) / _reference(culture)
    wanted = float(doublings(culture_fraction, culture)) * culture.doubling_s
    made = integrals_s(times, rates)
    if wanted <= made[-1]:
        return float(np.interp(wanted, made, times - times[0]))
    if rates[-1] <= 0.0:
        raise Impossible(f"the culture would never be ready: it does not grow at {temps[-1]:g} °C")
    return float(times[-1] - times[0] + (wanted - made[-1]) / rates[-1])


def culture_share_for_time(ready_s: float, temp_c: float, culture: Culture) -> float:
    """How far must a culture be thinned to be ready after so long at a steady temperature? [fraction of the flour]

    At most 1: then it is ready sooner.

    Raises OutOfRange for a time that is not positive, or where the culture does not grow.

    Source: ``culture_ready_s``, solved for the share.
    """
    relative = float(interpolated_fractions(temp_c, culture.growth)) / _reference(culture)
    if relative <= 0.0:
        raise OutOfRange(f"a culture does not grow at {temp_c:g} °C")
    wanted = checked_positive(ready_s, "the time until the culture is ready", "s") * relative / culture.doubling_s
    return float(min(culture.ripe_fraction / (2.0**wanted - 1.0), 1.0))


def _reference(culture: Culture) -> float:
    return float(interpolated_fractions(culture.reference_c, culture.growth))
