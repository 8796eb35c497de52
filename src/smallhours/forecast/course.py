"""How a dough runs through the night: its temperature and its rise, stage after stage, as its ribbon shows it.

The rise is the volume over the volume after mixing. While a dough lives it grows in proportion to the gas its yeast
makes; a stage that names its ``rise`` reaches it when it has made the gas of its reference, so a dough that is kept
warm or long overshoots and one that is kept cold falls short. Handling drives gas out; the oven springs it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from smallhours.bakery.formula.document import Place, Stage, StageKind, Way
from smallhours.bakery.process.habits import LIVING
from smallhours.errors import BadInput
from smallhours.forecast.assumed import ASSUMED, Assumed
from smallhours.forecast.gas import activity_ratio, gas_along_s, temps_along_c
from smallhours.forecast.sizes import Size
from smallhours.forecast.time_constants import loaf_time_constant_s, time_constant_s

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# what a stage rises to when its formula does not say: "to double" (common practice)
_USUAL_RISE: dict[StageKind, float] = {"ferment": 2.0, "proof": 2.0}
# share of the gas that is left after handling. Judgements: degassed dough is back at 1.1 to 1.2 g/cm3.
GAS_LEFT: dict[StageKind, float] = {
    "fold": 0.7,
    "divide": 0.6,
    "shape": 0.3,
    "sheet": 0.2,
    "roll": 0.6,
    "fill": 0.8,
}
# growth in the oven, and the share of the bake in which it happens. Judgements.
OVEN_SPRING, _SPRING_SHARE = 1.25, 0.4
# a dough holds no more gas than this much over what its stage asks for; beyond it, it leaks or falls. Judgement.
MOST_OVERSHOOT = 1.4
# core at the end of a bake whose formula does not say (common practice: 88 to 98 °C)
BAKED_C = 94.0
# 50 kJ per mol of CO2 at 1 l per kg and hour: what a lively dough at 28 °C warms itself, if no heat leaves
_OWN_HEAT_K_PER_S, _OWN_HEAT_AT_C = 0.73 / 3600.0, 28.0
_EVERY_S, _MOST_POINTS = 300.0, 25


@dataclass(frozen=True)
class CourseStep:
    """One stage as it was placed: from ``start_s`` for ``duration_s``, in air of ``air_c``.

    ``size``: of the dough as it stands there. ``reference_dough_temp_c``: what the formula means the dough to begin the
    stage with. ``way``: the one of the stage's other ways that was taken; it then has the reference (a proof of a night
    in the fridge rises to what a proof in the room does, in its own time).
    """

    stage: Stage
    place: Place
    start_s: float
    duration_s: float
    air_c: float
    size: Size
    moving_air: bool = False
    reference_dough_temp_c: float | None = None
    way: Way | None = None

    @property
    def reference(self) -> tuple[float, float]:
        """The formula's length (s) and air (°C) for this stage; as it was placed, where the formula does not say."""
        length_s, air_c = self.stage.duration_s or 0.0, self.stage.at_temp_c
        if self.way is not None:
            length_s, air_c = self.way.duration_s - (self.way.temper_s or 0.0), self.way.at_temp_c
        if length_s > 0 and (air_c is not None or self.way is not None):
            return length_s, self.air_c if air_c is None else air_c
        return self.duration_s, self.air_c


@dataclass(frozen=True)
class CoursePoint:
    """A dough at a time: seconds from the origin of the steps, mean temperature, volume over volume after mixing."""

    t_s: float
    temp_c: float
    rise: float


def course(
    steps: Sequence[CourseStep],
    *,
    start_temp_c: float,
    start_rise: float = 1.0,
    room_c: float | None = None,
    living: bool = True,
    assumed: Assumed = ASSUMED,
) -> list[CoursePoint]:
    """The course of one dough through consecutive steps.

    Parameters: ``steps`` in time, not overlapping; between them the dough waits in the room (``room_c``, or the air of
    the step before). ``start_temp_c``: after mixing, kept through the mixing; ``living``: whether there is yeast.
    Returns: points in time, the first at the first step's start; none for no steps.
    Raises: BadInput for steps that overlap or run backwards.
    Source: mean-temperature equation (``science.warming``), gas in proportion to yeast's activity
    (``science.fermentation``); handling, oven spring and the temperature in the oven are drawn, not computed.
    """
    dough = _Dough(start_temp_c, start_rise, living, assumed)
    dough.learn_growth(steps)
    at_s: float | None = None
    for step in steps:
        if at_s is not None and step.start_s < at_s - 1e-6:
            raise BadInput(f"stage {step.stage.key!r} begins {at_s - step.start_s:.0f} s before the one before it ends")
        if step.duration_s < 0:
            raise BadInput(f"stage {step.stage.key!r} has a duration of {step.duration_s:g} s: it must be 0 or more")
        if at_s is not None and step.start_s > at_s + 1e-6:
            dough.wait(at_s, step.start_s - at_s, room_c, step)
        dough.go_through(step)
        at_s = step.start_s + step.duration_s
    return dough.points


class _Dough:
    """A dough while its course is drawn."""

    def __init__(self, temp_c: float, rise: float, living: bool, assumed: Assumed) -> None:
        self.temp_c, self.rise, self.living, self.assumed = temp_c, rise, living, assumed
        self.growth_per_s = 0.0  # rise per second at yeast's fastest
        self.air_c = temp_c
        self.baked = False
        self.points: list[CoursePoint] = []

    def learn_growth(self, steps: Sequence[CourseStep]) -> None:
        """How fast this dough grows where no rise is named: as in its first stage that has one."""
        for step in steps:
            target = target_rise(step.stage)
            if target is not None and target > 1 and step.way is None:
                gas = self._reference_gas_s(step, step.reference_dough_temp_c or self.temp_c)
                self.growth_per_s = (target - 1.0) / gas if gas > 0 else 0.0
                return

    def wait(self, at_s: float, duration_s: float, room_c: float | None, before: CourseStep) -> None:
        """Stand in the room between two stages."""
        air_c = self.air_c if room_c is None else room_c
        self._stand(at_s, duration_s, air_c, self._tau_s(before.size, "room", False), None)

    def go_through(self, step: CourseStep) -> None:
        """One stage."""
        kind = step.stage.kind
        if not self.points:
            self._add(step.start_s, self.temp_c, self.rise)
        if kind == "mix":
            self._add(step.start_s + step.duration_s, self.temp_c, self.rise)
        elif kind == "bake":
            self._bake(step)
        elif kind in GAS_LEFT and not self.baked:
            self._handle(step)
        else:
            tau_s = self._tau_s(step.size, step.place, step.moving_air)
            self._stand(step.start_s, step.duration_s, step.air_c, tau_s, step)
        self.air_c = step.air_c if kind != "bake" else self.air_c

    def _tau_s(self, size: Size, place: Place, moving_air: bool) -> float:
        if not self.baked:
            return time_constant_s(size, place, moving_air, self.assumed)
        return loaf_time_constant_s(size, self.rise, self.assumed)

    def _stand(self, at_s: float, duration_s: float, air_c: float, tau_s: float, step: CourseStep | None) -> None:
        times = _times(duration_s)
        alive = self.living and not self.baked
        settles_c = air_c + (self._own_heat_k_per_s(air_c) * tau_s if alive else 0.0)
        temps = temps_along_c(self.temp_c, settles_c, tau_s, times)
        rises = self._risen(temps, times, step) if alive else times * 0.0 + self.rise
        self._add_all(at_s + times, temps, rises)

    def _own_heat_k_per_s(self, at_c: float) -> float:
        """How fast the dough warms itself where it is going: taken at the temperature of its place."""
        return _OWN_HEAT_K_PER_S * activity_ratio(at_c, _OWN_HEAT_AT_C, self.assumed.yeast)

    def _risen(self, temps: Floats, times: Floats, step: CourseStep | None) -> Floats:
        import numpy as np

        made = gas_along_s(temps, times, self.assumed.yeast)
        target = None if step is None else target_rise(step.stage)
        if step is None or target is None or target <= self.rise:
            most = max(self.rise, 1.0 + MOST_OVERSHOOT * max((p.rise for p in self.points), default=1.0))
            plain: Floats = np.minimum(self.rise + self.growth_per_s * made, most)
            return plain
        reference = self._reference_gas_s(step, self.temp_c) or float(made[-1]) or 1.0
        share = np.minimum(made / reference, MOST_OVERSHOOT)
        risen: Floats = self.rise + (target - self.rise) * share
        return risen

    def _reference_gas_s(self, step: CourseStep, dough_c: float) -> float:
        """Gas of a stage under the formula's own conditions; of the step as it was placed, if it names none."""
        length_s, air_c = step.reference
        start_c = dough_c if step.reference_dough_temp_c is None else step.reference_dough_temp_c
        times = _times(length_s)
        tau_s = self._tau_s(step.size, step.place, False)
        settles_c = air_c + self._own_heat_k_per_s(air_c) * tau_s
        temps = temps_along_c(start_c, settles_c, tau_s, times)
        return float(gas_along_s(temps, times, self.assumed.yeast)[-1])

    def _handle(self, step: CourseStep) -> None:
        left = 1.0 + (self.rise - 1.0) * GAS_LEFT[step.stage.kind]
        tau_s = self._tau_s(step.size, "bench", False)
        end_c = step.air_c + (self.temp_c - step.air_c) * math.exp(-step.duration_s / tau_s)
        self._add(step.start_s + step.duration_s, end_c, left)

    def _bake(self, step: CourseStep) -> None:
        import numpy as np

        share = np.linspace(0.0, 1.0, 9)
        core_c = step.stage.core_temp_c or BAKED_C
        temps = self.temp_c + (core_c - self.temp_c) * (1.0 - np.exp(-3.0 * share)) / (1.0 - math.exp(-3.0))
        rises = self.rise * (1.0 + (OVEN_SPRING - 1.0) * np.minimum(share / _SPRING_SHARE, 1.0))
        self._add_all(step.start_s + share * step.duration_s, temps, rises)
        self.baked = True

    def _add_all(self, times: Floats, temps: Floats, rises: Floats) -> None:
        for t, c, r in zip(times.tolist()[1:], temps.tolist()[1:], rises.tolist()[1:], strict=True):
            self.points.append(CoursePoint(t, c, r))
        self.temp_c, self.rise = self.points[-1].temp_c, self.points[-1].rise

    def _add(self, t_s: float, temp_c: float, rise: float) -> None:
        self.points.append(CoursePoint(t_s, temp_c, rise))
        self.temp_c, self.rise = temp_c, rise


def target_rise(stage: Stage) -> float | None:
    """The volume a stage should end with over the volume after mixing; None where nothing is meant to rise."""
    if stage.rise is not None:
        return stage.rise
    return _USUAL_RISE.get(stage.kind) if stage.kind in LIVING else None


def _times(duration_s: float) -> Floats:
    import numpy as np

    number = min(_MOST_POINTS, max(2, math.ceil(duration_s / _EVERY_S) + 1))
    return np.linspace(0.0, duration_s, number)
