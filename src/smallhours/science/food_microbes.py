"""How far harmful bacteria may grow in a dough or filling on its way through the night: a caution, never a clearance.

Published growth rates over temperature, without the lag that bacteria need at first and without what acid, sugar or a
preservative may slow down, so that errors lie on the side of growth. Measured in milk, custard, rice, meat and lean
dough; nothing was found for doughs of milk and eggs. That nothing grows by these numbers does not make a food safe:
there are other organisms, toxin outlives those that made it, and the law has rules of its own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from smallhours.errors import BadInput, OutOfRange
from smallhours.science.ranges import checked, checked_all

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

    Floats = NDArray[np.float64]

CautionKey = Literal[
    "microbes-grow", "microbes-may-grow", "microbes-beyond-measured", "microbes-hardly-grow", "microbes-below-minimum"
]
FASTER_RATIO, SLOWER_RATIO = 1.5, 3.0
"""How much faster or slower than a curve growth may be [ratios]: two curves of one organism differ by up to 1.3, lean
dough is 2 to 3 times slower than meat for one organism (judgement)."""
MOST_LOG10 = 9.5
"""More than this no food is reckoned to hold [log10 of bacteria per gram], so more than that nothing grows."""
_DOUBLING_LOG10 = 0.301
_COLDEST_C, _HOTTEST_C = -40.0, 150.0
_SECONDS_PER_HOUR = 3600.0
# between points of a path, growth is summed in steps no longer and no wider than this
_STEP_S, _STEP_K = 300.0, 0.25


@dataclass(frozen=True)
class GrowthCurve:
    """How fast an organism grows in a medium: square root of the rate in a straight line, bent off near its maximum.

    root rate = slope x (temperature - minimum); rate = root rate squared x (1 - exp(bend x (temperature - maximum)))
    to the power given, or without bend when that is 0. ``slope_per_k``: square root of log10 per hour, per kelvin.
    ``measured_low_c`` to ``measured_high_c``: where it was measured.

    Raises OutOfRange for parameters out of order.
    """

    organism: str
    medium: str
    slope_per_k: float
    min_c: float
    measured_low_c: float
    measured_high_c: float
    bend_power_count: int = 0
    bend_per_k: float = 0.0
    max_c: float = 60.0

    def __post_init__(self) -> None:
        checked(self.slope_per_k, "the slope of a growth curve", 1e-4, 0.2, "per kelvin")
        checked(self.min_c, "the lowest temperature of growth", -15.0, 20.0, "°C")
        checked(self.max_c, "the highest temperature of growth", 25.0, 75.0, "°C")
        checked(self.bend_power_count, "the power of the bend", 0, 2, "")
        checked(self.bend_per_k, "the bend of a growth curve", 0.0, 1.0, "per kelvin")
        if not self.min_c < self.max_c or not self.measured_low_c < self.measured_high_c:
            raise OutOfRange(
                f"a growth curve needs its lower temperatures below its upper ones (found {self.min_c:g} to "
                f"{self.max_c:g} °C, measured {self.measured_low_c:g} to {self.measured_high_c:g} °C)"
            )


def rates_log10_per_h(curve: GrowthCurve, temp_c: ArrayLike) -> Floats:
    """How fast does it grow at these temperatures? [log10 per hour; any shape, -40 to 150 °C]

    Zero below the minimum and above the maximum; a curve without bend rises up to its maximum. Nothing here dies.

    Raises OutOfRange, also for NaN.

    Source: square-root model, Ratkowsky et al. (1982, 1983); with power 1 as Zwietering et al. (1991).
    """
    import numpy as np

    temps = checked_all(temp_c, "the temperature of the food", _COLDEST_C, _HOTTEST_C, "°C")
    rates = (curve.slope_per_k * np.maximum(temps - curve.min_c, 0.0)) ** 2
    if curve.bend_power_count:
        bend = 1.0 - np.exp(np.minimum(curve.bend_per_k * (temps - curve.max_c), 0.0))
        rates = rates * bend**curve.bend_power_count
    found: Floats = np.where(temps >= curve.max_c, 0.0, rates)
    return found


def growth_log10(curve: GrowthCurve, time_s: ArrayLike, temp_c: ArrayLike, lag_work_ratio: float = 0.0) -> Floats:
    """How far has it grown by each point of a path of temperatures? [log10 of the number, shape as ``time_s``]

    ``time_s``, ``temp_c``: shape (n,), n two or more, times rising; straight lines between the points, no gaps.
    ``lag_work_ratio``: work to be done before growth begins, in e-foldings; 0, the safe side, is no lag.

    Raises OutOfRange for temperatures outside -40 to 150 °C or a lag outside 0 to 20, BadInput for a path that runs
    backwards, stands still or does not hold together.

    Source: exponential growth at the rate of each moment; lag as Baranyi & Roberts (1994), no upper limit.
    """
    import numpy as np

    times, temps = _path(time_s, temp_c)
    work = checked(lag_work_ratio, "the work before growth", 0.0, 20.0, "e-foldings")
    grown = np.zeros(len(times))
    for place in range(1, len(times)):
        fine_c = _fine(times, temps, place)
        hours = (times[place] - times[place - 1]) / _SECONDS_PER_HOUR
        mean = float(np.trapezoid(rates_log10_per_h(curve, fine_c), dx=1.0 / (len(fine_c) - 1)))
        grown[place] = grown[place - 1] + mean * hours
    if work == 0.0:
        return grown
    ready = 1.0 / np.expm1(work)
    foldings = np.log1p(ready * np.exp(np.minimum(grown * np.log(10.0), 600.0))) - np.log1p(ready)
    found: Floats = foldings / np.log(10.0)
    return found


def time_to_growth_s(
    curve: GrowthCurve, time_s: ArrayLike, temp_c: ArrayLike, wanted_log10: float = 1.0
) -> float | None:
    """When has it grown by so much (tenfold: 1)? [s from the start of the path]; None if not on this path.

    Raises OutOfRange, BadInput as ``growth_log10``.

    Source: ``growth_log10``, read the other way, straight between the points of the path.
    """
    import numpy as np

    wanted = checked(wanted_log10, "the growth asked for", 0.01, 10.0, "log10")
    grown = growth_log10(curve, time_s, temp_c)
    if grown[-1] < wanted:
        return None
    times, _ = _path(time_s, temp_c)
    after = int(np.searchsorted(grown, wanted))
    share = (wanted - grown[after - 1]) / (grown[after] - grown[after - 1])
    return float(times[after - 1] + share * (times[after] - times[after - 1]) - times[0])


@dataclass(frozen=True)
class MicrobeCaution:
    """How far an organism may grow on a path: a range, and what that rests on.

    ``low_log10``, ``high_log10``: growth as log10 of the number; ``beyond_measured_s``: how long it was where no curve
    was measured, and warm enough for growth; ``media``: in what growth was measured. ``key`` names the sentence:
    it grows tenfold or more by the low figure; may double by the high one; was where nothing was measured; grows less;
    was colder or hotter than the curves reach. None of them says that a food is safe.
    """

    organism: str
    low_log10: float
    high_log10: float
    beyond_measured_s: float
    media: tuple[str, ...]
    key: CautionKey


def caution(curves: Sequence[GrowthCurve], time_s: ArrayLike, temp_c: ArrayLike) -> MicrobeCaution:
    """How far may one organism grow along a path of temperatures? Seconds and °C, as ``growth_log10``.

    ``curves``: all of that organism, from whatever media. From the slowest, divided by 3, to the fastest, times 1.5;
    at most 9.5 in log10.

    Raises OutOfRange, BadInput for no curve, curves of several organisms, or a path that does not hold together.

    Source: ``growth_log10`` without lag; the range is a judgement (see ``FASTER_RATIO``).
    """
    organisms = {curve.organism for curve in curves}
    if len(organisms) != 1:
        raise BadInput(f"a caution is about one organism (found {', '.join(sorted(organisms)) or 'none'})")
    grown = [float(growth_log10(curve, time_s, temp_c)[-1]) for curve in curves]
    low, high = min(MOST_LOG10, min(grown) / SLOWER_RATIO), min(MOST_LOG10, max(grown) * FASTER_RATIO)
    beyond_s = _beyond_s(curves, time_s, temp_c)
    return MicrobeCaution(
        organisms.pop(),
        low,
        high,
        beyond_s,
        tuple(curve.medium for curve in curves),
        _key(low, high, beyond_s),
    )


def water_activity_factor(
    water_activity_ratio: ArrayLike, least_ratio: float = 0.808, best_ratio: float = 0.994
) -> Floats:
    """How fast does an organism grow at this water activity, as a share of its fastest? [ratio; any shape]

    ``least_ratio``, ``best_ratio``: where growth begins and is fastest; as given, of Staphylococcus aureus. From the
    best on it is 1. Only for a measured water activity: one reckoned from a recipe is no more than an index.

    Raises OutOfRange outside 0 to 1.

    Source: cardinal model with inflection and maximum 1, Rosso et al. (1995); Medvedova et al. (2019).

    >>> water_activity_factor([0.80, 0.95, 0.98, 1.0]).round(4).tolist()
    [0.0, 0.6179, 0.8956, 1.0]
    """
    import numpy as np

    activity = checked_all(water_activity_ratio, "the water activity", 0.0, 1.0, "")
    least = checked(least_ratio, "the least water activity", 0.5, 0.99, "")
    best = checked(best_ratio, "the best water activity", least + 1e-6, 1.0 - 1e-6, "")
    at = np.clip(activity, least, best)
    above = (at - 1.0) * (at - least) ** 2
    below = (best - least) * ((best - least) * (at - best) - (best - 1.0) * (best + least - 2.0 * at))
    found: Floats = above / below
    return found


def _key(low_log10: float, high_log10: float, beyond_s: float) -> CautionKey:
    if low_log10 >= 1.0:
        return "microbes-grow"
    if high_log10 >= _DOUBLING_LOG10:
        return "microbes-may-grow"
    if beyond_s > 0.0:
        return "microbes-beyond-measured"
    return "microbes-hardly-grow" if high_log10 > 0.0 else "microbes-below-minimum"


def _path(time_s: ArrayLike, temp_c: ArrayLike) -> tuple[Floats, Floats]:
    import numpy as np

    times = checked_all(time_s, "a time on the path", -1e12, 1e12, "s")
    temps = checked_all(temp_c, "the temperature of the food", _COLDEST_C, _HOTTEST_C, "°C")
    if times.ndim != 1 or times.shape != temps.shape or len(times) < 2:
        raise BadInput(
            "a path needs as many temperatures as times, two or more of each "
            f"(found {temps.size} temperatures and {times.size} times)"
        )
    if bool((np.diff(times) <= 0.0).any()):
        place = int(np.argmax(np.diff(times) <= 0.0))
        raise BadInput(
            f"the times of a path must rise (found {times[place + 1]:g} s after {times[place]:g} s): put them in order"
        )
    return times, temps


def _fine(times_s: Floats, temps_c: Floats, place: int) -> Floats:
    """Temperatures at even steps from the point before to this one."""
    import numpy as np

    long, wide = times_s[place] - times_s[place - 1], abs(temps_c[place] - temps_c[place - 1])
    steps = max(1, int(np.ceil(wide / _STEP_K)), int(np.ceil(long / _STEP_S)) if wide else 1)
    return np.linspace(temps_c[place - 1], temps_c[place], min(steps, 10_000) + 1)


def _beyond_s(curves: Sequence[GrowthCurve], time_s: ArrayLike, temp_c: ArrayLike) -> float:
    """How long it was warm enough for growth by some curve, but where none was measured."""
    import numpy as np

    times, temps = _path(time_s, temp_c)
    total = 0.0
    for place in range(1, len(times)):
        fine_c = _fine(times, temps, place)
        measured = np.any([(c.measured_low_c <= fine_c) & (fine_c <= c.measured_high_c) for c in curves], axis=0)
        warm = np.any([(c.min_c < fine_c) & (fine_c < c.max_c) for c in curves], axis=0)
        total += float(np.mean(~measured & warm)) * float(times[place] - times[place - 1])
    return total
