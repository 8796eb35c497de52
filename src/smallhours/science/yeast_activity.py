"""How fast yeast works over temperature, for arrays of temperatures and of parameter draws, also in the cold.

Published cardinal temperatures let doughs slow down too little in the cold: against proof times from 13 to 57 °C
(Freilich 1949) they miss by a factor of 1.6 to 3. So a curve here has one more parameter, its cold slope: below the
pivot the activity falls by a further exp(-slope) for each kelvin. Its size is a judgement, to be learned.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.errors import BadInput, OutOfRange
from smallhours.science.fermentation import CardinalTemperatures, activity_fraction
from smallhours.science.ranges import checked, checked_all, checked_positive

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

_COLDEST_C, _HOTTEST_C = -40.0, 120.0
_STEEPEST_PER_K = 0.2
# the last kelvins over which a culture comes to a stop; the temperature at which shares of gas are counted
_LAST_K, _BOTH_AT_C = 2.0, 25.0


@dataclass(frozen=True, eq=False)
class YeastCurves:
    """Cardinal temperatures [°C] and cold slope [1/K] of one curve, or of many: numbers, or arrays that broadcast.

    ``cold_slope_per_k``: below ``cold_pivot_c`` activity is multiplied by exp(-slope x kelvins below); 0 is the plain
    cardinal model. A slope of zero or more never makes a warmer dough slower below the optimum.

    Raises OutOfRange unless minimum < optimum < maximum with the optimum above the middle and the pivot not above it,
    for slopes outside 0 to 0.2 per kelvin, and for NaN.
    """

    min_c: ArrayLike
    optimum_c: ArrayLike
    max_c: ArrayLike
    cold_pivot_c: ArrayLike = 30.0
    cold_slope_per_k: ArrayLike = 0.0

    def __post_init__(self) -> None:
        low, best, high, pivot = (
            checked_all(getattr(self, name), name, -20.0, 80.0, "°C")
            for name in ("min_c", "optimum_c", "max_c", "cold_pivot_c")
        )
        if not (((low + high) / 2 < best) & (best < high)).all():
            raise OutOfRange(
                "each optimum temperature must be above the middle of minimum and maximum and below the maximum"
            )
        if not (pivot <= best).all():
            raise OutOfRange("the temperature at which the cold slope begins must not be above the optimum")
        checked_all(self.cold_slope_per_k, "the cold slope", 0.0, _STEEPEST_PER_K, "per K")

    @classmethod
    def plain(cls, cardinal: CardinalTemperatures) -> YeastCurves:
        """The curve of the cardinal model alone, without cold slope."""
        return cls(cardinal.min_c, cardinal.optimum_c, cardinal.max_c, min(30.0, cardinal.optimum_c), 0.0)

    def widened(self, axes_count: int) -> YeastCurves:
        """The same curves with so many axes of length 1 added at the end: draws of shape (n,) become (n, 1, ...).

        Then they broadcast against temperatures of shape (times,), (n, times) or (times, shells).
        """
        import numpy as np

        names = ("min_c", "optimum_c", "max_c", "cold_pivot_c", "cold_slope_per_k")
        arrays = (np.asarray(getattr(self, name), dtype=np.float64) for name in names)
        return YeastCurves(*(a.reshape(a.shape + (1,) * axes_count) if a.ndim else a for a in arrays))


@dataclass(frozen=True)
class RatePoints:
    """Relative rates read at temperatures [°C, rising], as shares of the fastest [fraction]; straight lines between.

    Raises BadInput for fewer than two points, unequal numbers or temperatures that do not rise, OutOfRange for a share
    outside 0 to 1.
    """

    temps_c: tuple[float, ...]
    rates_fraction: tuple[float, ...]

    def __post_init__(self) -> None:
        rising = all(a < b for a, b in zip(self.temps_c, self.temps_c[1:], strict=False))
        if len(self.temps_c) < 2 or len(self.temps_c) != len(self.rates_fraction) or not rising:
            raise BadInput("rates over temperature need two or more points with rising temperatures, a rate for each")
        checked_all(self.rates_fraction, "a relative rate", 0.0, 1.0, "of the fastest")


@dataclass(frozen=True, eq=False)
class CultureCurves:
    """How a sourdough culture works over temperature, alone or beside baker's yeast; numbers, or arrays that broadcast.

    Above ``cold_pivot_c`` the rate runs straight between ``points``. Below it the published growth is lost within six
    kelvins, while doughs in fridges still rise: there the rate falls by exp(-``cold_slope_per_k``) for each kelvin, and
    in the last two kelvins above ``min_c`` to nothing. ``yeast``, ``yeast_fraction``: a baker's yeast that works beside
    it, and its share of the gas of both at 25 °C.

    Raises OutOfRange for a slope outside 0.01 to 2 per kelvin, a share outside 0 to 1, a pivot at which the culture
    does not work or temperatures that cannot be; BadInput for a share without a yeast.
    """

    points: RatePoints
    cold_slope_per_k: ArrayLike
    cold_pivot_c: float = 14.0
    min_c: ArrayLike = -2.0
    yeast: YeastCurves | None = None
    yeast_fraction: float = 0.0

    def __post_init__(self) -> None:
        checked_all(self.cold_slope_per_k, "the cold slope of a culture", 0.01, 2.0, "per K")
        checked_all(self.min_c, "where a culture stops", -10.0, 10.0, "°C")
        checked(self.yeast_fraction, "the yeast's share of the gas", 0.0, 1.0, "")
        if float(interpolated_fractions(self.cold_pivot_c, self.points)) <= 0.0:
            raise OutOfRange(f"a culture does not work at the {self.cold_pivot_c:g} °C at which its cold slope begins")
        if (self.yeast is None) != (self.yeast_fraction == 0.0):
            raise BadInput("a yeast beside a culture needs both its curve and its share of the gas")

    def at(self, temps_c: Floats) -> Floats:
        """Shares of the culture's fastest [fraction] at temperatures that were checked already."""
        import numpy as np

        found: Floats = np.interp(
            np.maximum(temps_c, self.cold_pivot_c), self.points.temps_c, self.points.rates_fraction
        )
        below = np.minimum(temps_c - self.cold_pivot_c, 0.0)
        if below.any():
            last = np.clip((temps_c - np.asarray(self.min_c, dtype=np.float64)) / _LAST_K, 0.0, 1.0)
            found = found * np.exp(below * np.asarray(self.cold_slope_per_k, dtype=np.float64)) * last
        if self.yeast is None:
            return found
        usual = float(interpolated_fractions(_BOTH_AT_C, self.points))
        beside = unchecked_fractions(temps_c, self.yeast) / activity_fractions(_BOTH_AT_C, self.yeast)
        both: Floats = (1.0 - self.yeast_fraction) * found + self.yeast_fraction * usual * beside
        return both


def activity_fractions(temps_c: ArrayLike, curves: YeastCurves | CultureCurves) -> Floats:
    """How fast does yeast work at these temperatures, as a share of its fastest? [fraction, 0 to 1]

    ``temps_c`` and the parameters of ``curves`` broadcast as numpy does: temperatures (times,) and parameters (n, 1)
    give (n, times). A culture's curves do the same.

    Raises OutOfRange for a temperature outside -40 to 120 °C, also NaN.

    Source: cardinal temperature model with inflection, Rosso et al. (1993), J. Theor. Biol. 162:447; the cold slope is
    a judgement (see the module).

    >>> activity_fractions([4.0, 26.0], YeastCurves(2.0, 32.3, 45.4)).round(5).tolist()
    [0.01065, 0.87234]
    """
    return unchecked_fractions(checked_all(temps_c, "a dough temperature", _COLDEST_C, _HOTTEST_C, "°C"), curves)


def unchecked_fractions(temps_c: Floats, curves: YeastCurves | CultureCurves) -> Floats:
    """As ``activity_fractions`` [fraction], for temperatures that were checked already: a fifth of the time is checks.

    Source: as ``activity_fractions``.
    """
    import numpy as np

    if isinstance(curves, CultureCurves):
        return curves.at(temps_c)
    low, best, high, pivot, slope = (
        np.asarray(value, dtype=np.float64)
        for value in (curves.min_c, curves.optimum_c, curves.max_c, curves.cold_pivot_c, curves.cold_slope_per_k)
    )
    # at both ends the numerator is zero and the denominator is not: clipped temperatures need no cases
    temps = np.clip(temps_c, low, high)
    # the denominator is linear in the temperature: its parts without temperature are worked out once
    wide, spare = best - low, best - high
    found: Floats = temps - low
    found = found * found
    found = found * (temps - high)
    temps = temps * (wide * (wide + 2.0 * spare))
    temps -= wide * (wide * best + spare * (best + low))
    found = found / temps
    if slope.any():
        found = found * np.exp(np.minimum(temps_c - pivot, 0.0) * slope)
    return found


def q10_ratios(from_c: ArrayLike, curves: YeastCurves) -> Floats:
    """How many times as fast is yeast ten kelvins above these temperatures? [ratio; broadcasts]

    Raises OutOfRange where yeast does not work at the lower temperature.

    Source: ``activity_fractions`` at both temperatures.

    >>> q10_ratios([10.0, 20.0], YeastCurves(2.0, 36.0, 50.0)).round(1).tolist()
    [4.2, 1.8]
    """
    import numpy as np

    lower = activity_fractions(from_c, curves)
    if not (lower > 0.0).all():
        raise OutOfRange("yeast does not work at the lower temperature of a ratio over ten kelvins")
    ratios: Floats = activity_fractions(np.asarray(from_c, dtype=np.float64) + 10.0, curves) / lower
    return ratios


def cold_slope_per_k(q10_ratio: float, from_c: float, cardinal: CardinalTemperatures) -> float:
    """Which cold slope makes yeast so many times as fast ten kelvins above a temperature? [1/K]

    Holds for a pivot at or above ``from_c`` + 10. Zero where the curve is that steep already.

    Raises OutOfRange for a ratio outside 1 to 20, or where yeast does not work.

    Source: ratio of the plain cardinal model x exp(10 slope), solved for the slope.

    >>> round(cold_slope_per_k(2.2, 20.0, CardinalTemperatures(-2.0, 36.0, 50.0)), 4)
    0.0288
    """
    import math

    wanted = checked(q10_ratio, "the ratio over ten kelvins", 1.0, 20.0, "")
    low, high = activity_fraction(from_c, cardinal), activity_fraction(from_c + 10.0, cardinal)
    if low <= 0.0 or high <= 0.0:
        raise OutOfRange(f"yeast does not work at {from_c:g} or at {from_c + 10.0:g} °C: no ratio can be asked for")
    return max(0.0, math.log(wanted * low / high) / 10.0)


def constant_q10_ratios(temps_c: ArrayLike, reference_c: float, q10_ratio: float) -> Floats:
    """How many times as fast as at the reference, by the rule of a fixed factor for ten kelvins? [ratio]

    ``temps_c``: any shape. Only for comparison and over the span its factor was read for: over the range of a bakery a
    constant factor is wrong by two to three times in the cold and knows no optimum.

    Raises OutOfRange for temperatures outside -40 to 120 °C or a factor outside 1 to 20.

    Source: van 't Hoff's rule; the factor is the caller's.

    >>> constant_q10_ratios([10.0, 20.0, 30.0], 20.0, 2.0).tolist()
    [0.5, 1.0, 2.0]
    """
    import numpy as np

    temps = checked_all(temps_c, "a dough temperature", _COLDEST_C, _HOTTEST_C, "°C")
    start = checked(reference_c, "the reference temperature", _COLDEST_C, _HOTTEST_C, "°C")
    factor = checked(q10_ratio, "the factor for ten kelvins", 1.0, 20.0, "")
    ratios: Floats = np.power(factor, (temps - start) / 10.0)
    return ratios


def interpolated_fractions(temps_c: ArrayLike, points: RatePoints) -> Floats:
    """How fast at these temperatures, read off between published points, as a share of the fastest? [fraction]

    ``temps_c``: any shape. Beyond the first and last point the value is theirs.

    Raises OutOfRange for temperatures outside -40 to 120 °C.

    Source: straight lines between the caller's points. The cardinal model misses the published points of sourdough's
    yeast by up to 0.17 of the fastest; these lines do not.

    >>> interpolated_fractions([8.0, 24.0], RatePoints((8.0, 20.0, 28.0), (0.0, 0.5, 1.0))).tolist()
    [0.0, 0.75]
    """
    import numpy as np

    temps = checked_all(temps_c, "a dough temperature", _COLDEST_C, _HOTTEST_C, "°C")
    found: Floats = np.interp(temps, points.temps_c, points.rates_fraction)
    return found


def dose_factors(dose_percent: ArrayLike, reference_dose_percent: float, dose_exponent_ratio: ArrayLike) -> Floats:
    """How many times as fast as with the reference dose does a dough with these doses of yeast rise? [ratio]

    Doses in percent of flour, of the same form of yeast; they and the exponents broadcast.

    Raises OutOfRange for doses outside 0.001 to 20 % or exponents outside 0.4 to 1.2.

    Source: power law; a published leavening table (1200 at 2.8 %, 1800 at 5 % of flour) gives an exponent of 0.70.

    >>> dose_factors([1.0, 2.0], 2.0, 1.0).tolist()
    [0.5, 1.0]
    """
    import numpy as np

    doses = checked_all(dose_percent, "the dose of yeast", 0.001, 20.0, "% of flour")
    reference = checked_positive(reference_dose_percent, "the reference dose of yeast", "% of flour")
    exponents = checked_all(dose_exponent_ratio, "the exponent of the dose", 0.4, 1.2, "")
    factors: Floats = np.power(doses / reference, exponents)
    return factors
