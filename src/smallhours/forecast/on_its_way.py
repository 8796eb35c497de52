"""A dough that has been placed in a night: how long each stage takes it here, at the hour and from how it then is.

The same reckoning as a forecast of its formula, stage by stage, with the same members. Beside that it can be asked of
ways it does not go, stand and wait, be measured, and go on as the dough of another formula (of each of its lots).
"""

from __future__ import annotations

import copy
from typing import TYPE_CHECKING

from smallhours.bakery.formula.amounts import Amounts
from smallhours.bakery.formula.document import Formula, Place, Stage, Way
from smallhours.bakery.formula.leaven import leaven_of
from smallhours.bakery.pantry import Pantry
from smallhours.bakery.process import habits
from smallhours.forecast.conditions import Conditions
from smallhours.forecast.ensemble import quantiles
from smallhours.forecast.parameters import COLD, Parameters
from smallhours.forecast.raising import Raising
from smallhours.forecast.stage_steps import Step, hands_stage, stand_stage
from smallhours.forecast.volume import gas_room
from smallhours.forecast.walk import IN_THE_AIR, Dough
from smallhours.forecast.windows import StageWindow

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

_MAY_CHOOSE: tuple[Place, ...] = (*COLD, "proofer")


class OnItsWay:
    """One dough from the end of its mixing to the oven, every member of an ensemble at once.

    ``conditions``: with a start; times are in seconds from it. ``at_s``: when it is mixed. ``parameters``: may be
    shared between doughs that have the yeast of their formulas.
    """

    def __init__(
        self,
        formula: Formula,
        part_id: str,
        amounts: Amounts,
        pantry: Pantry,
        conditions: Conditions,
        parameters: Parameters,
        at_s: float = 0.0,
    ) -> None:
        import numpy as np

        part = formula.part(part_id)
        room_c = float(conditions.place_c("room", np.zeros(1), at_s, None)[0])
        start_c = room_c if part.target_temp_c is None else part.target_temp_c
        self._conditions = conditions
        self._dough = Dough(
            formula,
            conditions,
            parameters,
            (start_c, start_c),
            Raising(leaven_of(amounts, pantry, part_id), parameters, part.kind == "preferment"),
            gas_room(amounts, pantry, part_id, conditions.kitchen.altitude_m),
            meant_room_c(formula),
            amounts.parts[part_id].mass_g,
        )
        self._dough.with_curve = False
        self._dough.t_s = at_s

    @property
    def t_s(self) -> float:
        """How far it has come."""
        return self._dough.t_s

    def goes_on_as(self, formula: Formula, mass_g: float | None = None) -> OnItsWay:
        """The same dough as one of this formula, of another mass if that is said; this one stays where it is."""
        found = copy.copy(self)
        found._dough = copied(self._dough)
        found._dough.formula = formula
        found._dough.meant_room_c = meant_room_c(formula)
        found._dough.mass_g = self._dough.mass_g if mass_g is None else mass_g
        return found

    def until(self, t_s: float) -> None:
        """Stand in the room until then, if it is not later already."""
        wait_s = t_s - self._dough.t_s
        if wait_s < 1.0 or self._dough.baked:
            self._dough.t_s = max(t_s, self._dough.t_s)
            return
        import numpy as np

        way = Way(place="room", duration_s=wait_s)
        leg = self._dough.stand(way, np.linspace(0.0, wait_s, 5), self._dough.t_s)
        self._dough.leave(leg, wait_s, wait_s)

    def measured(self, temp_c: float) -> None:
        """It was found to be so warm."""
        import numpy as np

        count = self._dough.parameters.count
        self._dough.warm_through(np.concatenate((np.full(count, temp_c), self._dough.mean_c[count:])))

    def in_pieces(self) -> None:
        """From here on it is divided."""
        self._dough.in_pieces = True

    def window(self, stage: Stage, way: Way, equipment: str | None = None) -> StageWindow | None:
        """How long a stage will take it in this way, from now on; None for what no forecast moves.

        ``equipment``: the fridge, freezer or proofer, where the kitchen has several.
        Raises: NotFound if the kitchen lacks the place.
        """
        if not self._stands(stage, way):
            return None
        asked = copy.copy(self)
        asked._dough = copied(self._dough)
        return _window(asked._stood(stage, way, equipment, None), way, asked._dough)

    def go(self, stage: Stage, way: Way, length_s: float, equipment: str | None = None) -> StageWindow | None:
        """Go through a stage in this way, for so long; returns its ``window``. What is baked goes no further."""
        dough = self._dough
        if stage.kind in ("weigh", "bake") or dough.baked:
            dough.baked = dough.baked or stage.kind == "bake"
            dough.t_s += length_s
        elif self._stands(stage, way) and length_s > 0:
            # how long a night lasts with its time in the room depends on how long it was
            nightly = way.place in COLD and stage.kind != "chill"
            found = self.window(stage, way, equipment) if nightly else None
            end_s = dough.t_s + length_s
            cold_s = length_s - ((found.temper_s or 0.0) if found else 0.0)
            step = self._stood(stage, way, equipment, cold_s)
            dough.t_s = end_s
            return found if nightly else _window(step, way, dough)
        else:
            hands_stage(dough, stage, length_s)
        return None

    def _stands(self, stage: Stage, way: Way) -> bool:
        alone = habits.attention_of(stage) != "throughout" and stage.kind not in ("mix", "weigh", "bake", "cool")
        return alone and way.place in IN_THE_AIR and way.duration_s > 0 and not self._dough.baked

    def _stood(self, stage: Stage, way: Way, equipment: str | None, length_s: float | None) -> Step:
        asked = self._conditions
        if equipment is not None and way.place in _MAY_CHOOSE:
            asked = asked.having(equipment={way.place: equipment})
        if length_s is not None:
            asked = asked.having(lengths_s={stage.key: max(60.0, length_s)})
        self._dough.conditions = asked
        step = stand_stage(self._dough, stage, way)
        self._dough.conditions = self._conditions
        return step


def meant_room_c(formula: Formula) -> float | None:
    """How warm a formula means the room to be: as its first stage in the room says."""
    rooms = (stage for stage in formula.stages if habits.place_of(stage) in ("room", "bench", "rack"))
    return next((stage.at_temp_c for stage in rooms if stage.at_temp_c is not None), None)


def copied(dough: Dough) -> Dough:
    """The same dough once more; what becomes of one does not touch the other."""
    found = copy.copy(dough)
    found.raising = copy.copy(dough.raising)
    found.volume = copy.copy(dough.volume)
    return found


def _window(step: Step, way: Way, dough: Dough) -> StageWindow:
    import numpy as np

    members, weights = dough.parameters.members, dough.parameters.ensemble.weights
    rows = np.array([step.earliest[:members], step.length[:members], step.latest[:members]])
    low, middle, high = quantiles(rows, weights)
    min_s, preferred_s, max_s = middle.tolist()
    sure = bool(low[1] == high[1])
    temper_s = None
    if way.temper_s and way.place in COLD:
        temper_s = max(0.0, preferred_s - max(way.duration_s - way.temper_s, 60.0))
    return StageWindow(
        min(min_s, preferred_s),
        preferred_s,
        max(max_s, preferred_s),
        None if sure else float(low[1]),
        None if sure else float(high[1]),
        step.because,
        step.reached is None or bool(np.mean(step.reached[:members]) >= 0.5),
        temper_s,
    )
