"""How fast yeast works at a temperature, and how long a dough takes along the temperatures it really sees."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from smallhours.errors import BadInput, Impossible, OutOfRange
from smallhours.science.ranges import checked, checked_not_negative, checked_positive

_COLDEST_C, _HOTTEST_C = -40.0, 120.0
# nodes and weights of Gauss-Legendre quadrature with three points on -1..1
_GAUSS = ((-math.sqrt(0.6), 5 / 9), (0.0, 8 / 9), (math.sqrt(0.6), 5 / 9))
# a path is integrated in steps over which the temperature changes by no more than this
_STEP_K = 2.0
GAS_CONSTANT_J_PER_MOL_K = 8.314462618
"""Molar gas constant [J/(mol K)]; exact by the 2019 definition of the SI units."""
HEXOSE_G_PER_MOL = 180.156
"""Molar mass of glucose and fructose [g/mol]; IUPAC standard atomic weights."""


@dataclass(frozen=True)
class CardinalTemperatures:
    """Where yeast begins to work, works fastest and stops [°C].

    Raises OutOfRange unless minimum < optimum < maximum with the optimum above the middle, which the relation needs.
    """

    min_c: float
    optimum_c: float
    max_c: float

    def __post_init__(self) -> None:
        for name in ("min_c", "optimum_c", "max_c"):
            checked(getattr(self, name), name, -20.0, 80.0, "°C")
        if not (self.min_c + self.max_c) / 2 < self.optimum_c < self.max_c:
            raise OutOfRange(
                "the optimum temperature must be above the middle of minimum and maximum and below the maximum "
                f"(found {self.min_c:g}, {self.optimum_c:g}, {self.max_c:g} °C)"
            )


def activity_fraction(temp_c: float, cardinal: CardinalTemperatures) -> float:
    """How fast does yeast work at this temperature, as a share of its fastest? [fraction, 0 to 1]

    Raises OutOfRange for a temperature outside -40 to 120 °C.

    Below about 18 °C published parameters are not to be trusted: doughs slow down more than they say. Learn it.

    Source: cardinal temperature model with inflection, Rosso et al. (1993), J. Theor. Biol. 162:447.

    >>> round(activity_fraction(26.0, CardinalTemperatures(2.0, 32.3, 45.4)), 5)
    0.87234
    """
    checked(temp_c, "the dough temperature", _COLDEST_C, _HOTTEST_C, "°C")
    low, best, high = cardinal.min_c, cardinal.optimum_c, cardinal.max_c
    if not low < temp_c < high:
        return 0.0
    above = (temp_c - high) * (temp_c - low) ** 2
    below = (best - low) * ((best - low) * (temp_c - best) - (best - high) * (best + low - 2 * temp_c))
    return above / below


def activity_ratio(temp_c: float, reference_c: float, cardinal: CardinalTemperatures) -> float:
    """How many times as fast as at the reference temperature does yeast work? [ratio]

    Raises OutOfRange for temperatures outside -40 to 120 °C or a reference at which yeast does not work.

    Source: Rosso et al. (1993), as ``activity_fraction``.
    """
    return activity_fraction(temp_c, cardinal) / _reference(reference_c, cardinal)


@dataclass(frozen=True)
class PathPoint:
    """The temperature of a dough at a time; between points it changes in a straight line."""

    at_s: float
    temp_c: float


def equivalent_time_s(path: Sequence[PathPoint], reference_c: float, cardinal: CardinalTemperatures) -> float:
    """How long at the reference temperature makes as much gas as this path of temperatures did? [s]

    ``path``: two or more points in rising time; from one to the next the temperature changes evenly.

    Raises OutOfRange for temperatures outside -40 to 120 °C or a reference at which yeast does not work, BadInput for
    times that do not rise.

    Source: integral of ``activity_ratio`` over time: gas is made in proportion to activity, the yeast neither grows
    nor starves (holds for straight doughs of a few hours).

    >>> steady = [PathPoint(0.0, 24.0), PathPoint(7200.0, 24.0)]
    >>> round(equivalent_time_s(steady, 24.0, CardinalTemperatures(-2.0, 36.0, 50.0)), 6)
    7200.0
    """
    _checked_path(path)
    rate = _reference(reference_c, cardinal)
    return sum(made for *_, made in _stretches(path, cardinal)) / rate


def time_along_s(
    equivalent_s: float, path: Sequence[PathPoint], reference_c: float, cardinal: CardinalTemperatures
) -> float:
    """How long along this path of temperatures does it take to make the gas of so long at the reference? [s]

    After the last point the temperature stays as it is there. The answer counts from the path's first point.

    Raises OutOfRange, BadInput as ``equivalent_time_s``; Impossible if it would never be done.

    Source: ``equivalent_time_s``, solved for the time.
    """
    _checked_path(path)
    wanted = checked_not_negative(equivalent_s, "the time at the reference", "s") * _reference(reference_c, cardinal)
    start, done = path[0].at_s, 0.0
    for begin, end, made in _stretches(path, cardinal):
        if made > 0.0 and done + made >= wanted:
            return begin.at_s - start + _within(begin, end, wanted - done, cardinal)
        done += made
    last = path[-1]
    rate = activity_fraction(last.temp_c, cardinal)
    if rate <= 0.0 and wanted > done:
        raise Impossible(f"at {last.temp_c:g} °C the dough would never be risen: keep it between {_span(cardinal)}")
    return last.at_s - start + ((wanted - done) / rate if wanted > done else 0.0)


def yeast_mass_g(mass_g: float, from_ratio: float, to_ratio: float) -> float:
    """How much of another form of yeast does the work of this much? [g]

    ``from_ratio`` and ``to_ratio``: grams of each form that do the work of one gram of fresh yeast (fresh: 1).

    Raises OutOfRange for a negative mass or a ratio that is not positive.

    Source: proportion; the ratios are the caller's (common practice: fresh 1, active dry 0.40, instant 0.33).

    >>> round(yeast_mass_g(100.0, 1.0, 0.4), 9)
    40.0
    """
    checked_not_negative(mass_g, "the mass of yeast", "g")
    given = checked_positive(from_ratio, "the ratio of the form that is given", "g per g of fresh yeast")
    return mass_g * checked_positive(to_ratio, "the ratio of the form that is wanted", "g per g of fresh yeast") / given


def yeast_dose_percent(
    dose_percent: float, time_s: float, wanted_time_s: float, dose_exponent_ratio: float = 1.0
) -> float:
    """How much yeast makes the same dough ready after another time at the same temperature? [% of flour]

    ``dose_exponent_ratio``: how strongly speed follows dose, 1 where it is proportional, about 0.7 to 1.

    Raises OutOfRange for doses and times that are not positive or an exponent outside 0.4 to 1.2.

    Source: dose^exponent x time = constant; with exponent 1 common practice, good within a factor of two or three.

    >>> yeast_dose_percent(2.0, 3600.0, 7200.0)
    1.0
    """
    given, length = checked_positive(dose_percent, "the dose of yeast", "%"), checked_positive(time_s, "the time", "s")
    wanted = checked_positive(wanted_time_s, "the wanted time", "s")
    return given * math.pow(length / wanted, 1.0 / _exponent(dose_exponent_ratio))


def time_for_dose_s(
    time_s: float, dose_percent: float, new_dose_percent: float, dose_exponent_ratio: float = 1.0
) -> float:
    """How long does the dough take with another dose of yeast at the same temperature? [s]

    Raises OutOfRange for doses and times that are not positive or an exponent outside 0.4 to 1.2.

    Source: as ``yeast_dose_percent``, solved for the time.
    """
    given, dose = checked_positive(time_s, "the time", "s"), checked_positive(dose_percent, "the dose of yeast", "%")
    new = checked_positive(new_dose_percent, "the new dose of yeast", "%")
    return given * math.pow(dose / new, _exponent(dose_exponent_ratio))


def carbon_dioxide_ml(hexose_g: float, temp_c: float, pressure_pa: float = 101_325.0) -> float:
    """How much carbon dioxide does yeast make from this much glucose or fructose? [ml at that temperature and pressure]

    Raises OutOfRange for a negative mass, a temperature outside -40 to 120 °C or a pressure outside 50 to 110 kPa.

    Source: C6H12O6 -> 2 C2H5OH + 2 CO2, and the ideal gas law.

    >>> round(carbon_dioxide_ml(1.0, 28.0), 1)
    274.3
    """
    checked_not_negative(hexose_g, "the mass of sugar", "g")
    kelvin = checked(temp_c, "the dough temperature", _COLDEST_C, _HOTTEST_C, "°C") + 273.15
    pressure = checked(pressure_pa, "the air pressure", 50_000.0, 110_000.0, "Pa")
    return 2.0 * hexose_g / HEXOSE_G_PER_MOL * GAS_CONSTANT_J_PER_MOL_K * kelvin / pressure * 1e6


def _exponent(ratio: float) -> float:
    return checked(ratio, "the exponent of the dose", 0.4, 1.2, "")


def _span(cardinal: CardinalTemperatures) -> str:
    return f"{cardinal.min_c:g} and {cardinal.max_c:g} °C"


def _reference(reference_c: float, cardinal: CardinalTemperatures) -> float:
    rate = activity_fraction(reference_c, cardinal)
    if rate <= 0.0:
        raise OutOfRange(f"yeast does not work at the reference of {reference_c:g} °C, only between {_span(cardinal)}")
    return rate


def _checked_path(path: Sequence[PathPoint]) -> None:
    if len(path) < 2:
        raise BadInput(f"a path of temperatures needs two or more points (found {len(path)})")
    for point in path:
        checked(point.temp_c, "a temperature of the path", _COLDEST_C, _HOTTEST_C, "°C")
    for earlier, later in pairwise(path):
        if not earlier.at_s < later.at_s < math.inf:
            raise BadInput(f"times of a path must rise (found {later.at_s:g} s after {earlier.at_s:g} s)")


def _stretches(
    path: Sequence[PathPoint], cardinal: CardinalTemperatures
) -> Iterator[tuple[PathPoint, PathPoint, float]]:
    """Short straight stretches of the path, cut where yeast begins or stops, each with its integral of activity."""
    for begin, end in pairwise(path):
        if begin.temp_c == end.temp_c:
            yield begin, end, activity_fraction(begin.temp_c, cardinal) * (end.at_s - begin.at_s)
            continue
        change = end.temp_c - begin.temp_c
        steps = math.ceil(abs(change) / _STEP_K)
        cuts = {i / steps for i in range(steps + 1)}
        cuts |= {share for t in (cardinal.min_c, cardinal.max_c) if 0.0 < (share := (t - begin.temp_c) / change) < 1.0}
        points = [_between(begin, end, share) for share in sorted(cuts)]
        for left, right in pairwise(points):
            yield left, right, _integral_s(left, right, cardinal)


def _between(begin: PathPoint, end: PathPoint, share: float) -> PathPoint:
    at_s = begin.at_s + share * (end.at_s - begin.at_s)
    return PathPoint(at_s, begin.temp_c + share * (end.temp_c - begin.temp_c))


def _integral_s(begin: PathPoint, end: PathPoint, cardinal: CardinalTemperatures) -> float:
    middle, half = (begin.temp_c + end.temp_c) / 2, (end.temp_c - begin.temp_c) / 2
    mean = sum(weight * activity_fraction(middle + node * half, cardinal) for node, weight in _GAUSS) / 2
    return mean * (end.at_s - begin.at_s)


def _within(begin: PathPoint, end: PathPoint, wanted_s: float, cardinal: CardinalTemperatures) -> float:
    """Seconds into a short stretch until its integral of activity reaches what is wanted."""
    low, high = 0.0, 1.0
    for _ in range(50):
        middle = (low + high) / 2
        enough = _integral_s(begin, _between(begin, end, middle), cardinal) >= wanted_s
        low, high = (low, middle) if enough else (middle, high)
    return high * (end.at_s - begin.at_s)
