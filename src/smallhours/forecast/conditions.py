"""What a forecast is asked for: this kitchen, today's temperatures, this size, this dose, these ways."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

from smallhours.bakery.formula.document import Place
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.errors import BadInput
from smallhours.forecast.parameters import COLD
from smallhours.forecast.place_temp import moving_air, place_temp_c, room_temp_c
from smallhours.science.ranges import checked

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

OvenKind = Literal["deck", "convection"]
COLDEST_ROOM_C, HOTTEST_ROOM_C = 0.0, 50.0
COLDEST_OVEN_C, HOTTEST_OVEN_C = 100.0, 350.0
_LONGEST_S = 72 * 3600.0


@dataclass(frozen=True)
class Conditions:
    """Under what conditions a formula is forecast; what stays unset is as the kitchen and the formula say.

    ``start``: when the mixing of the dough begins (aware); without it the room stands at the kitchen's single figure.
    ``dough_temp_c``: off the mixer; ``dough_mass_g``: of the batch while it is one mass; ``piece_mass_g``: as
    divided; ``yeast_percent``: of all flour, in the form the formula names; ``sugar_percent``, ``salt_percent``: of
    all flour, as weighed, in place of the formula's own; ``fed_ratio``: how many times its own culture or yeast a
    preferment is fed with; ``ways``: stage -> the place of one of its other ways; ``lengths_s``: stage -> how long it
    is kept, ready or not; ``door_openings``: how often the fridge is opened during a stage in it; ``cold_path``: the
    air of the cold place as (seconds after the stage began, °C), straight in between, in place of one temperature.
    ``oven_c``, ``oven``: another set temperature or kind of oven than the bake's own; ``altitude_m``: another height
    above the sea than the kitchen's, where the formula was written. ``as_written``: every place stands as the
    formula's stage means it, and a fan is off.

    ``goes_in_c``: of the pieces as they go into the oven, whatever they went through before; ``bake_core_c``: another
    core at the end of the bake than the formula's. ``cut_core_c``: how cool a core has to be to be cut; ``bag_c``: the
    coldest place in which bread will lie in a closed bag; ``topping``: what goes on it (a row of table ``toppings``),
    in place of what its formula says. ``equipment``: place -> the id of the fridge, freezer or proofer that is meant,
    where there are several (without it, the one with most tray places).

    Raises: OutOfRange for temperatures, masses or a dose that cannot be; BadInput for a start without time zone and a
    path that does not run forward.
    """

    kitchen: Kitchen
    start: dt.datetime | None = None
    room_c: float | None = None
    fridge_c: float | None = None
    dough_temp_c: float | None = None
    dough_mass_g: float = 10_000.0
    piece_mass_g: float | None = None
    yeast_percent: float | None = None
    sugar_percent: float | None = None
    salt_percent: float | None = None
    fed_ratio: float = 1.0
    ways: Mapping[str, Place] = field(default_factory=dict)
    lengths_s: Mapping[str, float] = field(default_factory=dict)
    door_openings: int = 0
    cold_path: tuple[tuple[float, float], ...] = ()
    as_written: bool = False
    oven_c: float | None = None
    oven: OvenKind | None = None
    altitude_m: float | None = None
    goes_in_c: float | None = None
    bake_core_c: float | None = None
    cut_core_c: float | None = None
    bag_c: float | None = None
    topping: str | None = None
    equipment: Mapping[Place, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        _checked_if(self.room_c, "the room", COLDEST_ROOM_C, HOTTEST_ROOM_C, "°C")
        _checked_if(self.fridge_c, "the fridge", -5.0, 20.0, "°C")
        _checked_if(self.dough_temp_c, "the dough off the mixer", 0.0, 45.0, "°C")
        _checked_if(self.piece_mass_g, "the mass of a piece", 1.0, 20_000.0, "g")
        _checked_if(self.yeast_percent, "the yeast", 0.01, 15.0, "% of flour")
        _checked_if(self.sugar_percent, "the sugar", 0.0, 60.0, "% of flour")
        _checked_if(self.salt_percent, "the salt", 0.0, 6.0, "% of flour")
        _checked_if(self.oven_c, "the oven", COLDEST_OVEN_C, HOTTEST_OVEN_C, "°C")
        _checked_if(self.altitude_m, "the height above the sea", -400.0, 5000.0, "m")
        checked(self.fed_ratio, "how many times its own culture a preferment is fed with", 0.005, 20.0, "times")
        _checked_if(self.goes_in_c, "the pieces as they go in", -18.0, 45.0, "°C")
        _checked_if(self.bake_core_c, "the core at the end of the bake", 81.0, 100.0, "°C")
        _checked_if(self.cut_core_c, "the core to be cut", 15.0, 80.0, "°C")
        _checked_if(self.bag_c, "where the bag lies", 0.0, 50.0, "°C")
        checked(self.dough_mass_g, "the mass of dough", 50.0, 1e6, "g")
        checked(self.door_openings, "how often the door is opened", 0, 500, "times")
        for name, length_s in self.lengths_s.items():
            checked(length_s, f"the length of stage {name!r}", 60.0, _LONGEST_S, "s")
        if self.start is not None and self.start.tzinfo is None:
            raise BadInput(f"the start {self.start:%Y-%m-%d %H:%M} needs a time zone")
        _checked_path(self.cold_path)

    def having(self, **changed: object) -> Conditions:
        """The same conditions with something changed."""
        return replace(self, **changed)  # type: ignore[arg-type]

    def place_c(self, place: Place, times_s: Floats, at_s: float, meant_c: float | None) -> Floats:
        """The air of a place at each of the times (s after the stage began, which is ``at_s`` after the start)."""
        import numpy as np

        if self.as_written and meant_c is not None:
            return np.full(times_s.size, meant_c)
        if place in COLD and self.cold_path:
            when, temps = zip(*self.cold_path, strict=True)
            path: Floats = np.interp(times_s, when, temps)
            return path
        if place in ("fridge", "freezer", "proofer"):
            own_c = self.fridge_c if place == "fridge" else None
            stands_c = place_temp_c(self.kitchen, place, self.equipment.get(place)) if own_c is None else own_c
            return np.full(times_s.size, stands_c)
        if self.room_c is not None or self.start is None:
            return np.full(times_s.size, self.kitchen.temperatures.room_c if self.room_c is None else self.room_c)
        begin = self.start + dt.timedelta(seconds=at_s)
        return np.array([room_temp_c(self.kitchen, begin + dt.timedelta(seconds=t)) for t in times_s.tolist()])

    def fan(self, place: Place) -> bool:
        """Whether a fan blows over what stands there."""
        return not self.as_written and place in COLD and moving_air(self.kitchen, place, self.equipment.get(place))


def _checked_if(value: float | None, what: str, low: float, high: float, unit: str) -> None:
    if value is not None:
        checked(value, what, low, high, unit)


def _checked_path(path: Sequence[tuple[float, float]]) -> None:
    for at_s, temp_c in path:
        if not (math.isfinite(at_s) and math.isfinite(temp_c)):
            raise BadInput(f"a path of temperatures must be made of numbers (found {temp_c} °C after {at_s} s)")
        checked(temp_c, "a temperature of the path", -25.0, HOTTEST_ROOM_C, "°C")
    for (before_s, _), (after_s, _) in pairwise(path):
        if not before_s < after_s:
            raise BadInput(f"the times of a path must rise (found {after_s:g} s after {before_s:g} s)")
