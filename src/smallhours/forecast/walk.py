"""A dough going through its stages, as many members at once, here and as the formula means it side by side.

After each stage all members go on together, when the stage is most likely done (or after the time that was asked for):
a baker follows one clock. What differs between members is how warm and how risen the dough then is.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import TYPE_CHECKING

from smallhours.bakery.formula.document import Formula, Place, Stage, Way
from smallhours.bakery.process.habits import LIVING
from smallhours.forecast.assumed import ASSUMED
from smallhours.forecast.conditions import Conditions
from smallhours.forecast.course import GAS_LEFT, MOST_OVERSHOOT, target_rise
from smallhours.forecast.parameters import COLD, Parameters
from smallhours.forecast.raising import Raising
from smallhours.forecast.sizes import Shape, Size, bulk_size, chilled_bulk_size, piece_size
from smallhours.forecast.stand import Stood, stand
from smallhours.forecast.time_constants import loaf_time_constant_s, time_constant_s
from smallhours.forecast.volume import Volume
from smallhours.science.dough_gas import DoughGas
from smallhours.science.yeast_activity import activity_fractions

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

# handling that makes a dough the same warmth throughout
_MIXED = ("fold", "divide", "shape", "roll")
IN_THE_AIR: tuple[Place, ...] = ("bench", "room", "rack", "proofer", *COLD)
_FIRST_STEPS, _NEXT_STEPS, _LAST_STEPS, _HANDS_STEPS = 8, 3, 6, 2
_SAME_S = 1e-3  # marks less apart are one


def times_for(marks_s: list[float], horizon_s: float) -> Floats:
    """The times of a stage: dense at first, then over each mark (s, all among them), then ever wider to the horizon."""
    import numpy as np

    marks = sorted({mark for mark in marks_s if mark > 0}) or [60.0]
    marks = [marks[0], *(b for a, b in pairwise(marks) if b - a > _SAME_S)]  # what only rounding parts is one mark
    pieces = [marks[0] * np.linspace(0.0, 1.0, _FIRST_STEPS + 1) ** 1.5]
    pieces += [np.linspace(a, b, _NEXT_STEPS + 1)[1:] for a, b in pairwise(marks)]
    if horizon_s > marks[-1] * 1.001:
        pieces.append(np.geomspace(marks[-1], horizon_s, _LAST_STEPS + 1)[1:])
    return np.concatenate(pieces)


@dataclass(frozen=True, eq=False)
class Inside:
    """How warm doughs are inside: layer by layer in a shape, (layers, doughs), or without one the same throughout."""

    mean_c: Floats
    shape: Shape | None = None
    layers_c: Floats | None = None

    def as_shape(self, shape: Shape) -> Floats:
        """The layers in a shape; a dough that is given another one is the same throughout."""
        return self.mean_c if self.layers_c is None or shape != self.shape else self.layers_c


@dataclass(frozen=True, eq=False)
class Leg:
    """A stretch of a stage in one place: what became of the doughs, and of those meant by the formula, until each time.

    ``gas_s``: made here; ``meant_gas_s``: made under the formula's conditions by the yeast it means; (times, members).
    ``grown``: how far what raises it has multiplied, here and behind it as meant.
    """

    stood: Stood
    gas_s: Floats
    meant_gas_s: Floats
    air_c: Floats
    grown: Floats


class Dough:
    """A dough on its way: temperatures and rise of every member.

    ``with_curve``: whether what becomes of it during a stage is kept for a curve.
    """

    with_curve = True

    def __init__(
        self,
        formula: Formula,
        conditions: Conditions,
        parameters: Parameters,
        start_c: tuple[float, float],
        raising: Raising,
        room: DoughGas,
        meant_room_c: float | None,
        mass_g: float,
    ) -> None:
        import numpy as np

        self.formula, self.conditions, self.parameters = formula, conditions, parameters
        self.raising, self.meant_room_c, self.mass_g = raising, meant_room_c, mass_g
        here = np.full(parameters.count, start_c[0]) + parameters.dough_k
        self.warm_through(np.concatenate((here, np.full(parameters.count, start_c[1]))))
        self.volume = Volume(room, here)
        self.rise = np.ones(parameters.count)
        self.t_s = 0.0
        self.in_pieces = self.baked = False

    @property
    def living(self) -> bool:
        """Whether anything raises it."""
        return self.raising.living

    @property
    def mean_c(self) -> Floats:
        """Mean temperatures, as they are here and, behind them, as the formula means them."""
        return self.inside.mean_c

    @property
    def here_c(self) -> Floats:
        """Mean temperatures as they are here, (members + nudges,)."""
        return self.mean_c[: self.parameters.count]

    def warm_through(self, mean_c: Floats) -> None:
        """Make it the same throughout, at these temperatures, here and behind it as meant."""
        self.inside = Inside(mean_c)
        self.core_c = self.skin_c = self.here_c

    def size(self, place: Place, meant: bool) -> Size:
        """How large it stands there, here or as the formula means it."""
        own, asked = self.formula.output, self.conditions.piece_mass_g
        if not self.in_pieces or (own is None and asked is None):
            mass_g = self.mass_g
            return chilled_bulk_size(mass_g, self.conditions.kitchen) if place in COLD else bulk_size(mass_g)
        own_g = asked if own is None else own.piece_mass_g or own.baked_mass_g
        usual = piece_size(self.formula, own_g or asked or 1.0, self.conditions.kitchen)
        if meant or asked is None or not own_g:
            return usual
        if self.mass_power < 1 and usual.shape == "slab":  # cut and rolled from a sheet: they keep their shape
            return usual.risen(asked / own_g)
        return piece_size(self.formula, asked, self.conditions.kitchen)

    @property
    def mass_power(self) -> float:
        """How its size follows its mass: pieces keep their shape, what is spread in a pan or on a tray gets thicker."""
        form = self.formula.shaping.form if self.formula.shaping is not None else "round"
        return 1.0 if form in ("flat", "cut", "scoop") else 1 / 3

    def stand(
        self, way: Way, times_s: Floats, at_s: float, inside: Inside | None = None, grown: Floats | None = None
    ) -> Leg:
        """Let it stand in the place of a way, from ``at_s`` on, as it is; nothing is kept.

        ``inside``, ``grown``: as warm as this, and what raises it as far, in place of how it is.
        """
        import numpy as np

        parameters, place = self.parameters, way.place
        meant_c = way.at_temp_c if way.at_temp_c is not None or place in COLD else self.meant_room_c
        air = self.conditions.place_c(place, times_s, at_s, meant_c)[:, None]
        nudge = parameters.fridge_k if place in COLD else parameters.room_k
        here = air + (0.0 if place == "proofer" else nudge) + self._door_k(way, times_s)
        meant = np.broadcast_to(air if meant_c is None else np.full(air.shape, meant_c), here.shape)
        here = np.broadcast_to(here, (times_s.size, parameters.count))
        meant = np.broadcast_to(meant[:, :1], here.shape)
        power = self.mass_power if self.in_pieces else 0.0
        fan = self.conditions.fan(place)
        layers = parameters.layers(self.size(place, False), self.size(place, True), place, fan, power)
        alive = self.living and not self.baked
        stood = stand(
            times_s,
            (inside or self.inside).as_shape(layers.shape),
            np.concatenate((here, meant), axis=1),
            layers.slower(self._slowness(place)) if self.baked else layers,
            self.raising.curves if alive else None,
            parameters.own_heat,
        )
        count = parameters.count
        gas_s, far = self.raising.gas_s(stood, grown)
        return Leg(stood, gas_s[:, :count], gas_s[:, count:], here, far)

    def leave(self, leg: Leg, after_s: float, meant_s: float) -> None:
        """Take it from there after so long here, and as long as the formula means there."""
        import numpy as np

        count, stood = self.parameters.count, leg.stood
        here, meant = stood.layers_c(after_s)[:, :count], stood.layers_c(meant_s)[:, count:]
        layers = np.concatenate((here, meant), axis=1)
        self.inside = Inside(stood.layers.weights_fraction @ layers, stood.layers.shape, layers)
        self.core_c, self.skin_c = (rows[:count] for rows in stood.core_and_skin_c(after_s))
        far, meant_far = stood.between(leg.grown[:, :count], after_s), stood.between(leg.grown[:, count:], meant_s)
        self.raising.grown = np.concatenate((far, meant_far))
        self.t_s += after_s

    def _door_k(self, way: Way, times_s: Floats) -> Floats | float:
        """How much warmer a fridge is on average because its door is opened so often during the stage."""
        openings, place = self.conditions.door_openings, way.place
        if place not in COLD or not openings or self.conditions.as_written:
            return 0.0
        room_c = self.conditions.place_c("room", times_s[:1], self.t_s, None)[0]
        gap_k = room_c - self.conditions.place_c(place, times_s[:1], self.t_s, None)[0]
        share = self.parameters.drawn("door") * openings * ASSUMED.door_recovery_s / max(way.duration_s, 60.0)
        warmer: Floats = share.clip(0.0, 1.0) * max(0.0, gap_k)
        return warmer

    def _slowness(self, place: Place) -> float:
        """How much slower than dough what has been baked follows its place."""
        size = self.size(place, True)
        return loaf_time_constant_s(size, max(1.0, float(self.rise[0]))) / time_constant_s(size, "room")

    def grow(self, stage: Stage, share: Floats | None, gas_s: Floats, here_c: Floats, meant_c: Floats) -> Floats:
        """The rise after this much gas, at these temperatures; all (times, members) or (members,).

        ``share``: of the gas that the stage asks for, if it does; it makes the stage's rise in a dough of ``meant_c``.
        """
        if not self.living:
            return self.rise + gas_s * 0.0
        return self.volume.rises(self._gas_with(stage, share, gas_s, meant_c), here_c)

    def keep(self, stage: Stage, share: Floats | None, gas_s: Floats, meant_c: Floats) -> None:
        """Go on as risen as ``grow`` has it, at the temperatures that it has now."""
        if self.living:
            self.volume.gas_mmol_per_g = self._gas_with(stage, share, gas_s, meant_c)
            self.rise = self.volume.rises(self.volume.gas_mmol_per_g, self.here_c)

    def _gas_with(self, stage: Stage, share: Floats | None, gas_s: Floats, meant_c: Floats) -> Floats:
        """All the gas in it after so much more, mmol per g."""
        import numpy as np

        before, target = self.volume.gas_mmol_per_g, target_rise(stage)
        if share is None or target is None:
            most = 1.0 + MOST_OVERSHOOT * np.maximum(self.rise, 1.0)
            full = np.maximum(self.volume.gas_for(most, self.here_c), before)
            plain: Floats = np.minimum(before + self._gas_rate * gas_s, full)
            return plain
        gain = np.maximum(self.volume.gas_for(target, meant_c) - before, 0.0)
        gas: Floats = before + gain * np.minimum(share, MOST_OVERSHOOT)
        return gas

    @cached_property
    def _gas_rate(self) -> Floats | float:
        """Gas (mmol per g) in a second at yeast's fastest: as its first stage that is meant to rise says."""
        import numpy as np

        count = self.parameters.count
        for stage in self.formula.stages:
            target = target_rise(stage)
            if target is not None and target > 1 and stage.kind in LIVING and stage.duration_s and self.raising.curves:
                at_c = 24.0 if stage.at_temp_c is None else stage.at_temp_c
                gas_s = activity_fractions(np.full(2 * count, at_c), self.raising.curves)[:count] * stage.duration_s
                found: Floats = self.volume.gas_for(target, np.full(count, at_c)) / gas_s
                return found
        return 0.0

    def handle(self, stage: Stage, length_s: float) -> None:
        """Hands work at it: it loses gas and goes towards the temperature of the room."""
        import numpy as np

        left = GAS_LEFT.get(stage.kind, 1.0)
        times = np.linspace(0.0, max(length_s, 1.0), _HANDS_STEPS + 1)
        if stage.kind in _MIXED:
            self.warm_through(self.mean_c)
        way = Way(place="bench", duration_s=max(length_s, 1.0), at_temp_c=stage.at_temp_c)
        leg = self.stand(way, times, self.t_s)
        self.leave(leg, max(length_s, 1.0), max(length_s, 1.0))
        if self.living and not self.baked:
            self.rise = 1.0 + (self.volume.rises(self.volume.gas_mmol_per_g, self.here_c) - 1.0) * left
            self.volume.gas_mmol_per_g = self.volume.gas_for(self.rise, self.here_c)
