"""How long each stage may take tonight: the forecast asked for this dough, at its size, at the hour it will be there.

Before there is a plan, the hour is reckoned back from the due time along the formula's own lengths, and the dough's
mean temperature is followed along the same chain, once as the formula means it and once as this kitchen is. Once there
is one, ``known`` holds what ``agreement`` forecasts for the hours of that plan.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from smallhours.bakery.formula.document import Formula, Place, Stage, StageKind, Way
from smallhours.bakery.formula.leaven import leaven_of
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.batches import Batch, LotNeed
from smallhours.bakery.pantry import Pantry
from smallhours.bakery.process import habits
from smallhours.forecast.assumed import assumed_of
from smallhours.forecast.place_temp import mean_room_temp_c, moving_air, place_temp_c
from smallhours.forecast.sizes import Size, bulk_size, chilled_bulk_size, piece_size
from smallhours.forecast.time_constants import time_constant_s
from smallhours.forecast.windows import StageWindow, stage_window

_COLD: tuple[Place, ...] = ("fridge", "freezer")
_IN_THE_AIR: tuple[Place, ...] = ("bench", "room", "rack", "proofer", *_COLD)
DOUGHS = ("dough", "preferment", "batter", "soaker")
MOVES: tuple[StageKind, ...] = (*sorted(habits.LIVING), "chill", "retard")  # what a forecast of a dough moves
_HEADING: tuple[str, ...] = ("bake", "cool", "finish", "pack")  # from here on it is no dough any more

Key = tuple[str, str, str, str]


def key_of(about: str, stage: Stage, way: Way, place: str) -> Key:
    """What a window is known by: the batch or lot, its stage, the way through it and where that is."""
    at = place if way.place in (*_COLD, "proofer", "mixer", "oven") else way.place
    return about, f"{stage.part}:{stage.key}", f"{way.place}:{way.duration_s}", at


@dataclass
class Windows:
    """Answers for one night; ``start`` and ``end``: between which instants the work falls; ``measured_c``: what a dough
    was measured to have at the end of a stage, by the id of that stage in the plan; ``pantry``: what raises it;
    ``known``: windows that are not asked for again."""

    kitchen: Kitchen
    start: dt.datetime
    end: dt.datetime
    measured_c: Mapping[str, float] = field(default_factory=dict)
    pantry: Pantry = field(default_factory=Pantry)
    known: dict[Key, StageWindow] = field(default_factory=dict)

    def window(
        self, formula: Formula, batch: Batch, lot: LotNeed | None, stage: Stage, way: Way, place: str
    ) -> StageWindow:
        """The window of one way through a stage. ``place``: the plan's equipment, where the way leaves a choice."""
        key = key_of(lot.id if lot else batch.id, stage, way, place)
        if key not in self.known:
            self.known[key] = self._forecast(formula, batch, lot, stage, way, place)
        return self.known[key]

    def _forecast(
        self, formula: Formula, batch: Batch, lot: LotNeed | None, stage: Stage, way: Way, place: str
    ) -> StageWindow:
        stages = formula.stages_of(stage.part or formula.main)
        index = next(i for i, other in enumerate(stages) if other is stage or other.key == stage.key)
        if stage.kind in _HEADING or way.place not in _IN_THE_AIR:
            last = index + 1 == len(stages)
            return _own(way, waits=stage.kind == "cool" and not last, ends=stage.kind == "cool" and last)
        pieces = lot.pieces if lot else sum(each.pieces for each in batch.lots)
        at = self._when(batch, lot, stages[index:], pieces)
        meant_c, here_c = self._dough_temps_c(formula, batch, lot, stages[:index], at)
        length = dt.timedelta(seconds=way.duration_s)
        return stage_window(
            stage,
            way,
            dough_temp_c=here_c,
            place_temp_c=self._air_c(way.place, place, at, length),
            size=self._size(formula, batch, lot, way.place),
            reference_dough_temp_c=meant_c,
            moving_air=way.place in _COLD and moving_air(self.kitchen, way.place, place),
            assumed=assumed_of(leaven_of(batch.amounts, self.pantry, batch.part_id)),
        )

    def _when(self, batch: Batch, lot: LotNeed | None, following: Sequence[Stage], pieces: int) -> dt.datetime:
        """When a stage will roughly begin: its due time less the stages from it on; mid-night for what has no due."""
        due = lot.due if lot else min((each.due for each in batch.lots), default=None)
        if due is None:
            return self.start + (self.end - self.start) / 2
        length_s = sum(habits.duration_s(stage, pieces) for stage in following)
        return max(self.start, due - dt.timedelta(seconds=length_s))

    def _dough_temps_c(
        self, formula: Formula, batch: Batch, lot: LotNeed | None, before: Sequence[Stage], at: dt.datetime
    ) -> tuple[float, float]:
        """The dough as a stage begins: as the formula means it, and here."""
        part = formula.part(batch.part_id) if batch.part_id in {p.id for p in formula.parts} else None
        room_c = self._air_c("room", "room", at, dt.timedelta())
        target_c = part.target_temp_c if part is not None else None
        meant = here = room_c if target_c is None else target_c
        through = len(habits.chain_of(batch.formula.stages_of(batch.part_id)).of_batch)
        for number, stage in enumerate(before):
            way = habits.main_way(stage, 1)
            of_lot = lot if number >= through else None
            if way.place in _IN_THE_AIR and stage.kind != "weigh":
                tau_s = time_constant_s(self._size(formula, batch, of_lot, way.place), way.place)
                kept = math.exp(-way.duration_s / tau_s)
                air_c = room_c if way.place not in (*_COLD, "proofer") else place_temp_c(self.kitchen, way.place)
                meant_air_c = meant if way.at_temp_c is None else way.at_temp_c
                here = air_c + (here - air_c) * kept
                meant = meant_air_c + (meant - meant_air_c) * kept
            about = batch.id if of_lot is None else of_lot.id
            here = self.measured_c.get(f"{about}:{stage.part or formula.main}:{stage.key}", here)
        return meant, here

    def _air_c(self, place: Place, equipment: str, at: dt.datetime, length: dt.timedelta) -> float:
        if place in (*_COLD, "proofer"):
            return place_temp_c(self.kitchen, place, equipment)
        return mean_room_temp_c(self.kitchen, at, at + length)

    def _size(self, formula: Formula, batch: Batch, lot: LotNeed | None, place: Place) -> Size:
        if lot is not None:
            return piece_size(formula, lot.main_mass_g / lot.pieces, self.kitchen)
        return chilled_bulk_size(batch.mass_g, self.kitchen) if place in _COLD else bulk_size(batch.mass_g)


def _own(way: Way, waits: bool = False, ends: bool = False) -> StageWindow:
    """The formula's own numbers.

    What has cooled may go on standing on its rack until it is finished (``waits``); where nothing comes after the
    cooling (``ends``), it is ready when it has cooled, however long it then stands there.
    """
    low = way.duration_s if way.min_s is None else way.min_s
    high = way.duration_s if way.max_s is None else way.max_s
    if waits:
        high = max(high, way.duration_s + habits.LONGEST_COOL_WAIT_S)
    if ends:
        high = way.duration_s
    return StageWindow(low, way.duration_s, high, rests_on="the formula's own numbers")
