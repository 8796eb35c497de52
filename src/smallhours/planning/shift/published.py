"""The windows of a plan that people already follow: kept as they were told, moved only by what is known since.

A night that is planned anew asks no forecast again for what nothing has changed; where a dough was measured or the room
is another one, its window is moved in the proportion in which the quick reckoning of ``windows`` moves.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from smallhours.bakery.formula.document import Formula, Stage, Way
from smallhours.bakery.orders.batches import Batch, BatchPlan, LotNeed
from smallhours.bakery.process import habits
from smallhours.forecast.windows import StageWindow
from smallhours.planning.plan import Plan, PlanTask
from smallhours.planning.shift.windows import MOVES, Key, Windows, key_of


def published(
    plan: Plan, made: BatchPlan, formulas: Mapping[str, Formula], before: Windows, now: Windows
) -> dict[Key, StageWindow]:
    """The windows of the ways that a plan takes. ``formulas``: joined; ``before``, ``now``: what the quick reckoning
    knows when the plan was made and what it knows now; where both are the same, so are the windows."""
    batches = {batch.id: batch for batch in made.batches}
    lots = {lot.id: lot for batch in made.batches for lot in batch.lots}
    same = before.kitchen == now.kitchen and before.measured_c == now.measured_c
    found = {}
    for task, stage, way in _stages(plan, formulas):
        batch, lot = batches.get(task.batch), lots.get(task.lot or "")
        if batch is None or (lot is None) != (task.lot is None):
            continue  # lost since
        ratio = 1.0 if same else _ratio(before, now, formulas, (batch, lot, stage, way, task.place))
        found[key_of(task.lot or task.batch, stage, way, task.place)] = _moved(task, ratio)
    return found


def _stages(plan: Plan, formulas: Mapping[str, Formula]) -> Iterator[tuple[PlanTask, Stage, Way]]:
    """The tasks whose length a forecast moves, with their stages and the ways they go."""
    for task in plan.tasks:
        formula = formulas.get(task.formula)
        if task.kind not in MOVES or formula is None:
            continue
        stage = next((stage for stage in formula.stages_of(task.part) if stage.key == task.stage), None)
        if stage is None:
            continue
        ways = (habits.main_way(stage, task.pieces or 0), *stage.instead)
        way = ways[0] if task.way == "main" else next((way for way in ways[1:] if way.place == task.way), None)
        if way is not None:
            yield task, stage, way


def _ratio(
    before: Windows,
    now: Windows,
    formulas: Mapping[str, Formula],
    asked: tuple[Batch, LotNeed | None, Stage, Way, str],
) -> float:
    batch, lot, stage, way, place = asked
    formula = batch.formula if lot is None else formulas[lot.product]
    then_s = before.window(formula, batch, lot, stage, way, place).preferred_s
    now_s = now.window(formula, batch, lot, stage, way, place).preferred_s
    return now_s / then_s if then_s > 0 else 1.0


def _moved(task: PlanTask, ratio: float) -> StageWindow:
    told = task.window
    window = StageWindow(
        told.min_s,
        told.preferred_s,
        told.max_s,
        told.low_s,
        told.high_s,
        told.rests_on,
        temper_s=told.temper_s,
    )
    if abs(ratio - 1.0) < 1e-9:
        return window
    return replace(
        window,
        min_s=told.min_s * ratio,
        preferred_s=told.preferred_s * ratio,
        max_s=told.max_s * ratio,
        low_s=None if told.low_s is None else told.low_s * ratio,
        high_s=None if told.high_s is None else told.high_s * ratio,
        temper_s=None if told.temper_s is None else told.temper_s * ratio,
    )
