"""How baker's yeast multiplies in a dough: hardly in two hours, much where little was put in and the night is long."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.errors import OutOfRange
from smallhours.science.ranges import checked_all

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

LEAST_DOSE_PERCENT, MOST_DOSE_PERCENT = 0.001, 20.0
"""Doses of yeast [% of flour] outside which nothing here was ever read."""
_LONGEST_S = 30 * 86_400.0


@dataclass(frozen=True, eq=False)
class YeastGrowth:
    """How yeast multiplies at the temperature its parameters were read at; numbers, or arrays that broadcast.

    ``lag_s``: until it begins. ``rate_per_s``: at which it then grows where there is plenty of room. ``most_percent``:
    the yeast [% of flour, fresh] at which a dough carries no more.

    Raises OutOfRange for a lag outside 0 to 48 h, a rate outside 0 to 1 per hour, a most outside 0.1 to 20 %, or NaN.
    """

    lag_s: ArrayLike
    rate_per_s: ArrayLike
    most_percent: ArrayLike

    def __post_init__(self) -> None:
        checked_all(self.lag_s, "the lag before yeast multiplies", 0.0, 172_800.0, "s")
        checked_all(self.rate_per_s, "the rate at which yeast multiplies", 0.0, 1.0 / 3600.0, "per s")
        checked_all(self.most_percent, "the most yeast that a dough carries", 0.1, 20.0, "% of flour")

    def widened(self, axes_count: int) -> YeastGrowth:
        """The same with so many axes of length 1 added at the end, to broadcast against times."""
        import numpy as np

        arrays = (np.asarray(value, dtype=np.float64) for value in (self.lag_s, self.rate_per_s, self.most_percent))
        return YeastGrowth(*(a.reshape(a.shape + (1,) * axes_count) if a.ndim else a for a in arrays))


def growth_ratios(grown_s: ArrayLike, dose_percent: ArrayLike, growth: YeastGrowth) -> Floats:
    """How many times the yeast that was put in is there now? [ratio, 1 or more; broadcasts]

    ``grown_s``: time since mixing in seconds at the temperature of the parameters; along a path, the integral of the
    relative growth rate (``fermentation_path.growth_times_s``). ``dose_percent``: fresh yeast in % of flour.

    Raises OutOfRange for times outside 0 to 30 days or doses outside 0.001 to 20 %.

    Source: logistic growth after a lag. With lag 2 h, 0.2 per hour and a most of 3.4 % at 27 °C it gives the published
    1.88 and 1.29 times after 6 h from 0.5 and 2 % (these two set it) and 1.39 from 1.67 % (published 1.37).

    >>> growth_ratios(21_600.0, [0.5, 2.0], YeastGrowth(7200.0, 0.199 / 3600, 3.39)).round(2).tolist()
    [1.88, 1.29]
    """
    import numpy as np

    grown = checked_all(grown_s, "the time since mixing", 0.0, _LONGEST_S, "s")
    dose = checked_dose(dose_percent)
    lag, rate, most = (np.asarray(v, dtype=np.float64) for v in (growth.lag_s, growth.rate_per_s, growth.most_percent))
    begun = np.maximum(grown - lag, 0.0) * rate
    # a dough that was given more than it carries stays as it is
    room = np.maximum(most / dose, 1.0)
    ratios: Floats = room / (1.0 + (room - 1.0) * np.exp(-begun))
    return ratios


def checked_dose(dose_percent: ArrayLike) -> Floats:
    """Doses of yeast [% of flour] as an array, refused outside 0.001 to 20 %.

    Raises OutOfRange. Source: the doses of published formulas, 0.01 to 10 %, with room.
    """
    doses = checked_all(dose_percent, "the dose of yeast", LEAST_DOSE_PERCENT, MOST_DOSE_PERCENT, "% of flour")
    if doses.size == 0:
        raise OutOfRange("the dose of yeast must be 0.001 to 20 % of flour (found none)")
    return doses
