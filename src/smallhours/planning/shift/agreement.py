"""The forecast of every stage of a plan at the hour it was planned for: what the plan's windows have to agree with.

Each dough is followed through its planned stages, as warm and as risen as it then is, in the room of that hour; at each
stage it is asked how long that takes in every way there is. So the same dough, hour and place has the same numbers in
a plan and in a forecast.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from smallhours.bakery.formula.document import Formula, Way
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.batches import Batch
from smallhours.bakery.pantry import Pantry
from smallhours.bakery.process import habits
from smallhours.forecast.conditions import Conditions
from smallhours.forecast.windows import StageWindow
from smallhours.planning.engine.problem import Placed
from smallhours.planning.shift.loosen import HELD
from smallhours.planning.shift.rules import Night
from smallhours.planning.shift.steps import Step, StepWay, Strand
from smallhours.planning.shift.windows import DOUGHS, MOVES, Key, key_of

if TYPE_CHECKING:
    from smallhours.forecast.on_its_way import OnItsWay
    from smallhours.forecast.parameters import Parameters

MOST_MEMBERS, FEWEST_MEMBERS, LOTS_WITH_ALL = 500, 60, 40


class PlannedStages:
    """The forecast for the hours of a plan; what does not move from plan to plan is forecast once.

    ``formulas``: joined, by product.
    """

    def __init__(self, formulas: Mapping[str, Formula], kitchen: Kitchen, pantry: Pantry) -> None:
        self.formulas, self.kitchen, self.pantry = formulas, kitchen, pantry
        self._parameters: Parameters | None = None
        self._made: dict[str, _Batch] = {}

    def windows(self, night: Night, placed: Mapping[str, Placed], chosen_only: bool = False) -> dict[Key, StageWindow]:
        """The windows of every stage that a forecast moves, where the night has it; also of the ways that are not gone,
        unless ``chosen_only``."""
        if self._parameters is None:
            from smallhours.forecast.ensemble import draw
            from smallhours.forecast.parameters import Parameters

            self._parameters = Parameters(draw(members_for(sum(len(lots) for lots in night.lots.values()))))
        following = _Following(self, night, placed, chosen_only, self._parameters, self._made)
        found: dict[Key, StageWindow] = {}
        for batch, _ in night.batches:
            made = following.batch(batch)
            found |= made.windows if made is not None else {}
        return found


def members_for(lots: int) -> int:
    """How many members a night of so many lots is forecast with: as many as any forecast, fewer for a large bakery.

    >>> members_for(30), members_for(120), members_for(600)
    (500, 166, 60)
    """
    return max(FEWEST_MEMBERS, min(MOST_MEMBERS, MOST_MEMBERS * LOTS_WITH_ALL // max(1, lots)))


def residual_s(night: Night, placed: Mapping[str, Placed], forecast: Mapping[Key, StageWindow]) -> float:
    """The largest difference (s) between a window that was planned with and the forecast for the hour it was planned
    for: of the length wanted, the least and the most."""
    gaps = [0.0]
    for step in night.steps():
        way = _gone(step, placed[step.id])
        there = forecast.get(_key(step, way))
        if there is not None:
            used = way.window
            gaps += [abs(used.min_s - there.min_s), abs(used.preferred_s - there.preferred_s)]
            gaps += [abs(used.max_s - there.max_s)]
    return max(gaps)


@dataclass
class _Batch:
    """A batch that was followed: where its stages lay, its windows, and the dough at the end of its own stages."""

    lay: tuple[Placed, ...]
    all_ways: bool
    windows: dict[Key, StageWindow]
    dough: OnItsWay


@dataclass
class _Following:
    """Every dough of one plan, followed. ``made``: of plans before, and of this one as it goes on."""

    of: PlannedStages
    night: Night
    placed: Mapping[str, Placed]
    chosen_only: bool
    parameters: Parameters
    made: dict[str, _Batch]
    windows: dict[Key, StageWindow] = field(default_factory=dict)

    def batch(self, batch: Batch) -> _Batch | None:
        """A batch and its lots; None for one of which no forecast moves a stage."""
        strands = {other.id: strand for other, strand in self.night.batches}
        strand, lots = strands[batch.id], self.night.lots.get(batch.id, ())
        steps = [*strand.steps, *(step for lot in lots for step in lot.steps)]
        became = next((other for other, _ in self.night.batches if _becomes(other, batch)), None)
        before = None if became is None else self.batch(became)
        if before is None and not any(_moves(batch, step) for step in steps):
            return None
        lay = (*(() if before is None else before.lay), *(self.placed[step.id] for step in steps))
        known = self.made.get(batch.id)
        if known is None or known.lay != lay or not (self.chosen_only or known.all_ways):
            self.windows = {}
            dough = self._begun(batch, steps) if before is None else before.dough.goes_on_as(batch.formula)
            self._all(dough, batch, strand, lots)
            self.made[batch.id] = known = _Batch(lay, not self.chosen_only, self.windows, dough)
        return known

    def _all(self, dough: OnItsWay, batch: Batch, strand: Strand, lots: Sequence[Strand]) -> None:
        self._follow(dough, strand.steps, batch.formula, batch.part_id)
        for lot in lots:
            if lot.steps and lot.steps[0].lot is not None:
                product = self.of.formulas[lot.steps[0].lot.product]
                self._follow(dough.goes_on_as(product), lot.steps, product, product.main)

    def _begun(self, batch: Batch, steps: Iterable[Step]) -> OnItsWay:
        from smallhours.forecast.on_its_way import OnItsWay

        conditions = Conditions(self.of.kitchen, start=self.night.clock.start)
        first = next((step for step in steps if step.kind != "weigh"), None)
        at_s = 0.0 if first is None else self._seconds(self.placed[first.id].start)
        return OnItsWay(batch.formula, batch.part_id, batch.amounts, self.of.pantry, conditions, self.parameters, at_s)

    def _follow(self, dough: OnItsWay, steps: Iterable[Step], formula: Formula, part_id: str) -> None:
        own = formula.stages_of(part_id)
        cut = {stage.key for stage in habits.chain_of(own).of_lot} if part_id == formula.main else set()
        for step in steps:
            if step.kind in ("weigh", "bake"):
                if step.kind == "bake":
                    return
                continue
            if step.stage.key in cut:
                dough.in_pieces()
            at = self.placed[step.id]
            dough.until(self._seconds(at.start))
            gone = _gone(step, at)
            for way in () if self.chosen_only else step.ways:
                if _key(step, way) != _key(step, gone):
                    self._ask(dough, step, way)
            length_s = self._seconds(at.end - at.start)
            self._note(step, gone, dough.go(step.stage, _way(step, gone), length_s, _equipment(step, gone)))

    def _ask(self, dough: OnItsWay, step: Step, way: StepWay) -> None:
        if _moves(step.batch, step) and _key(step, way) not in self.windows:
            self._note(step, way, dough.window(step.stage, _way(step, way), _equipment(step, way)))

    def _note(self, step: Step, way: StepWay, found: StageWindow | None) -> None:
        if found is not None and _moves(step.batch, step):
            self.windows[_key(step, way)] = found

    def _seconds(self, ticks: int) -> float:
        return float(ticks * self.night.clock.tick_s)


def _becomes(before: Batch, batch: Batch) -> bool:
    """Whether a batch is what another becomes without being mixed again (a dough that is then laminated)."""
    mixed = any(stage.kind == "mix" for stage in batch.formula.stages_of(batch.part_id))
    return not mixed and before.kind in DOUGHS and batch.id in before.feeds


def _moves(batch: Batch, step: Step) -> bool:
    return step.kind == "chill" or (step.kind in MOVES and batch.kind in DOUGHS)


def _gone(step: Step, at: Placed) -> StepWay:
    return next(way for way in step.ways if way.mode == at.mode.removesuffix(HELD))


def _way(step: Step, way: StepWay) -> Way:
    number = int(way.mode.partition(":")[0])
    return (habits.main_way(step.stage, step.pieces), *step.stage.instead)[number]


def _equipment(step: Step, way: StepWay) -> str | None:
    return way.place if _way(step, way).place in ("fridge", "freezer", "proofer") else None


def _key(step: Step, way: StepWay) -> Key:
    return key_of(step.about, step.stage, _way(step, way), way.place)
