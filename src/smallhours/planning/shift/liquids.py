"""How cold the liquid of each planned bowl must be, for the mixer and the hour it was given."""

from __future__ import annotations

import datetime as dt

from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.batches import Batch, BatchPlan
from smallhours.bakery.pantry import Pantry
from smallhours.bakery.process.bowl import Measured, can_be_steered
from smallhours.bakery.process.liquid import LiquidAnswer, liquid_for
from smallhours.forecast.place_temp import room_temp_c
from smallhours.planning import plan as p


def with_liquids(plan: p.Plan, made: BatchPlan, kitchen: Kitchen, pantry: Pantry) -> p.Plan:
    """The plan with liquid advice on every bowl that has a target temperature and a liquid to steer it."""
    by_id = {batch.id: batch for batch in made.batches}
    mixing = {task.batch: task.start for task in plan.tasks if task.kind == "mix" and task.lot is None}
    batches = tuple(
        planned.model_copy(
            update={"liquid": _advice(planned, by_id[planned.id], mixing.get(planned.id), kitchen, pantry)}
        )
        for planned in plan.batches
    )
    return plan.model_copy(update={"batches": tuple(batches)})


def _advice(
    planned: p.PlanBatch, batch: Batch, at: dt.datetime | None, kitchen: Kitchen, pantry: Pantry
) -> p.LiquidAdvice | None:
    part = batch.formula.part(batch.part_id)
    if part.target_temp_c is None or not can_be_steered(batch.formula, batch.part_id, pantry):
        return None
    measured = Measured(room_c=None if at is None else room_temp_c(kitchen, at))
    answer = liquid_for(batch.formula, pantry, kitchen, batch.part_id, batch.mass_g, planned.mixer, measured)
    return advice(answer)


def advice(answer: LiquidAnswer) -> p.LiquidAdvice:
    """An answer as the plan keeps it."""
    return p.LiquidAdvice(
        liquid=", ".join(answer.liquids),
        target_dough_temp_c=answer.target_c,
        liquid_temp_c=round(answer.liquid_temp_c, 1),
        low_c=round(answer.low_c, 1),
        high_c=round(answer.high_c, 1),
        ice_g=round(answer.ice_g, 1),
        rule_temp_c=round(answer.rule_temp_c, 1),
        note="" if answer.refusal is None else answer.refusal.sentence,
    )
