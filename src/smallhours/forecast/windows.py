"""How long a stage will take here tonight, from what the baker wrote for her reference conditions.

Three rules, by kind of stage:

* Living stages (ferment, rest, proof) take as long as it needs to make the gas that the reference makes: the dough
  goes from its own temperature to that of its place, and yeast's activity is summed along the way. The formula's
  minimum and maximum are the baker's limits under reference conditions; each is moved in the same way.
* Chilling takes as long as it needs to become as cold as it becomes in the reference, and never less than the baker's
  minimum; minimum and maximum only move upwards.
* Everything else, and every stay of living dough in the cold (a retard), keeps the baker's own numbers: below about
  18 °C nothing published is good enough to move them.

Under reference conditions the reference comes out exactly. Nothing is moved by more than ``MOST_FACTOR``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.bakery.formula.document import Stage, Way
from smallhours.bakery.process.habits import LIVING
from smallhours.bakery.quantity import say_temp
from smallhours.forecast.assumed import ASSUMED, Assumed
from smallhours.forecast.gas import gas_along_s, temps_along_c
from smallhours.forecast.sizes import Size
from smallhours.forecast.time_constants import time_constant_s
from smallhours.science.ranges import checked

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

MOST_FACTOR = 4.0
_POINTS = 600
_Z80 = 1.2815515655446004  # 10 % above, 10 % below: standard normal quantile of 0.9
_COLD = ("fridge", "freezer")


@dataclass(frozen=True)
class StageWindow:
    """How long a stage may take (s): least, wanted, most; and the 80 % interval of what it will really need.

    ``low_s`` and ``high_s`` are None where nothing was forecast. ``rests_on``: one sentence on what the numbers rest
    on. ``reached``: False where this place is too cold or too warm for the stage's purpose; the numbers are then the
    largest that are forecast at all. ``temper_s``: the last of it is spent in the room, after the cold; None: as long
    as the formula says.
    """

    min_s: float
    preferred_s: float
    max_s: float
    low_s: float | None = None
    high_s: float | None = None
    rests_on: str = ""
    reached: bool = True
    temper_s: float | None = None


@dataclass(frozen=True)
class _Air:
    """A dough put into air: what it starts at, what surrounds it, how fast it follows."""

    dough_c: float
    air_c: float
    tau_s: float


def stage_window(
    stage: Stage,
    way: Way,
    *,
    dough_temp_c: float,
    place_temp_c: float,
    size: Size,
    reference_dough_temp_c: float | None = None,
    reference_size: Size | None = None,
    moving_air: bool = False,
    assumed: Assumed = ASSUMED,
) -> StageWindow:
    """How long will this stage take, gone through in this way, in this place, with this dough?

    Parameters: ``way``: the stage's own (``habits.main_way``) or one of its ``instead``; ``dough_temp_c``: of the dough
    as the stage begins; ``place_temp_c``: of the air around it (its mean over the stage); ``size``: of the dough as
    it stands; ``reference_dough_temp_c``: what the formula means it to begin with (its target temperature; the same as
    here, if not given); ``reference_size``: what the reference was written for (the same, if not given);
    ``moving_air``: a fan blows over it.
    Raises: OutOfRange for temperatures outside -40 to 60 °C.
    Source: gas integral with the cardinal temperature model (Rosso 1993) and the mean-temperature equation of
    ``science.warming``, both moved from the baker's own reference, so that only ratios count.
    """
    checked(dough_temp_c, "the dough temperature", -40.0, 60.0, "°C")
    checked(place_temp_c, "the temperature of the place", -40.0, 60.0, "°C")
    low_s = way.duration_s if way.min_s is None else way.min_s
    high_s = way.duration_s if way.max_s is None else way.max_s
    own = StageWindow(low_s, way.duration_s, high_s, rests_on="the formula's own numbers")
    if way.at_temp_c is None or way.duration_s <= 0 or not _moves(stage, way):
        return own
    start_c = dough_temp_c if reference_dough_temp_c is None else reference_dough_temp_c
    meant = _Air(start_c, way.at_temp_c, time_constant_s(reference_size or size, way.place, False, assumed))
    here = _Air(dough_temp_c, place_temp_c, time_constant_s(size, way.place, moving_air, assumed))
    if stage.kind == "chill":
        return _chilled(own, meant, here, assumed)
    return _fermented(own, meant, here, assumed)


def _moves(stage: Stage, way: Way) -> bool:
    """Whether the numbers of this way of a stage are moved from the reference to here."""
    return stage.kind == "chill" or (stage.kind in LIVING and way.place not in _COLD)


def _fermented(own: StageWindow, meant: _Air, here: _Air, assumed: Assumed) -> StageWindow:
    import numpy as np

    span_s = max(own.max_s, own.preferred_s) * MOST_FACTOR
    times = np.linspace(0.0, span_s, _POINTS + 1)
    wanted = _gas(meant, times, assumed)
    if wanted[-1] <= 0:  # the reference itself is colder than yeast works: nothing to move it by
        return own
    made = _gas(here, times, assumed)
    moved = [_when(times, wanted, made, t) for t in (own.min_s, own.preferred_s, own.max_s)]
    factor = moved[1] / own.preferred_s
    reached = 1 / MOST_FACTOR <= factor < MOST_FACTOR
    low, middle, high = (_kept(m, t) for m, t in zip(moved, _limits(own), strict=True))
    mean_c = float(np.mean(temps_along_c(here.dough_c, here.air_c, here.tau_s, np.linspace(0.0, middle, 25))))
    spread = _spread(math.log(middle / own.preferred_s), mean_c, assumed)
    return StageWindow(
        low,
        middle,
        high,
        middle * math.exp(-_Z80 * spread),
        middle * math.exp(_Z80 * spread),
        _fermented_because(own, meant, here, mean_c, reached),
        reached,
    )


def _gas(air: _Air, times_s: NDArray[np.float64], assumed: Assumed) -> NDArray[np.float64]:
    return gas_along_s(temps_along_c(air.dough_c, air.air_c, air.tau_s, times_s), times_s, assumed.yeast)


def _when(
    times_s: NDArray[np.float64], wanted: NDArray[np.float64], made: NDArray[np.float64], reference_s: float
) -> float:
    """When the gas made here is what the reference makes in ``reference_s``; infinite if it is not within the span."""
    import numpy as np

    need = float(np.interp(reference_s, times_s, wanted))
    if need <= 0:
        return 0.0
    if made[-1] < need:
        return math.inf
    return float(np.interp(need, made, times_s))


def _kept(moved_s: float, reference_s: float) -> float:
    return min(max(moved_s, reference_s / MOST_FACTOR), reference_s * MOST_FACTOR)


def _limits(own: StageWindow) -> tuple[float, float, float]:
    return own.min_s, own.preferred_s, own.max_s


def _spread(log_factor: float, mean_c: float, assumed: Assumed) -> float:
    """Standard deviation of the logarithm of a living stage's length."""
    cold_k = max(0.0, assumed.trusted_from_c - mean_c)
    parts = (assumed.ferment_log_sd, assumed.slope_sd * log_factor, assumed.cold_log_sd_per_k * cold_k)
    return math.hypot(*parts)


def _fermented_because(own: StageWindow, meant: _Air, here: _Air, mean_c: float, reached: bool) -> str:
    reference = f"{own.preferred_s / 60:.0f} min at {say_temp(meant.air_c)} with a dough of {say_temp(meant.dough_c)}"
    if meant == here:
        return f"the formula's {reference}, as it is here"
    told = (
        f"the formula's {reference}, moved to {say_temp(here.air_c)} and a dough of {say_temp(here.dough_c)} "
        "by the gas that yeast makes on the way"
    )
    if not reached:
        return told + "; this place is too cold or too warm for that to be trusted"
    return told + ("; below 18 °C that is a guess" if mean_c < 18.0 else "")


def _chilled(own: StageWindow, meant: _Air, here: _Air, assumed: Assumed) -> StageWindow:
    end_c = meant.air_c + (meant.dough_c - meant.air_c) * math.exp(-own.preferred_s / meant.tau_s)
    if here.dough_c <= end_c:
        needed_s = 0.0
    elif here.air_c >= end_c:
        needed_s = math.inf
    else:
        needed_s = here.tau_s * math.log((here.dough_c - here.air_c) / (end_c - here.air_c))
    middle = _kept(needed_s, own.preferred_s)
    reached = needed_s <= MOST_FACTOR * own.preferred_s
    spread = assumed.chill_log_sd
    # a chill also firms the fat and rests the gluten: never shorter than the baker's own least
    low = max(own.min_s, own.min_s * middle / own.preferred_s)
    middle = max(middle, low)
    return StageWindow(
        low,
        middle,
        max(own.max_s, middle),
        middle * math.exp(-_Z80 * spread),
        middle * math.exp(_Z80 * spread),
        _chilled_because(own, meant, here, end_c, reached),
        reached,
    )


def _chilled_because(own: StageWindow, meant: _Air, here: _Air, end_c: float, reached: bool) -> str:
    return (
        f"the formula's {own.preferred_s / 60:.0f} min, which bring the dough from {say_temp(meant.dough_c)} to "
        f"{end_c:.0f} °C in {say_temp(meant.air_c)}, moved to a dough of {say_temp(here.dough_c)} in "
        f"{say_temp(here.air_c)} by how heat leaves it"
        + ("" if reached else "; here it does not get that cold in four times the time")
    )
