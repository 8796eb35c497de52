"""Pans outside the stages of their lot: taken while it waits in them between two stages, and until they have cooled."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Callable, Iterator, Sequence

from smallhours.bakery.process import habits
from smallhours.planning import plan as p
from smallhours.planning.engine.problem import Demand, Lag, Mode, Placed, Problem, Solution, Task
from smallhours.planning.shift.clock import Clock
from smallhours.planning.shift.equipment import Equipment
from smallhours.planning.shift.rules import Night, RuledLag
from smallhours.planning.shift.steps import Step, Strand

COOL, WAIT = "pans-cool", "pans-wait"


def pans_cool_before_they_are_used_again(
    strand: Strand, equipment: Equipment, clock: Clock
) -> Iterator[tuple[Task, RuledLag]]:
    """A tin is not free until its loaf is out and it has cooled."""
    for step in strand.steps:
        demand = _pans(step, equipment) if step.kind == "bake" else None
        if demand is not None and (ticks := clock.length(equipment.pans[demand.resource].cool_s)):
            task = Task(f"{step.about}:{COOL}", (Mode("cool", ticks, ticks, demands=(demand,)),))
            yield task, RuledLag("pans_cool_before_they_are_used_again", Lag(step.id, task.id, 0, 0))


def pans_wait_with_their_lot(night: Night, equipment: Equipment) -> Iterator[tuple[Task, tuple[RuledLag, ...]]]:
    """Tins and trays are not free while their lot waits in them between two stages.

    Of which the kitchen has enough for the whole night, they need not be watched.
    """
    scarce = _scarce(night, equipment)
    for strand in (lot for lots in night.lots.values() for lot in lots):
        for before, after in itertools.pairwise(strand.steps):
            demand, wait = _pans(before, equipment), night.clock.length(habits.wait_after_s(before.stage))
            if demand is None or demand != _pans(after, equipment) or demand.resource not in scarce or not wait:
                continue
            task = Task(f"{before.about}:{WAIT}:{before.stage.key}", (Mode("wait", 0, wait, 0, (demand,)),))
            rule = "pans_wait_with_their_lot"
            yield task, (RuledLag(rule, Lag(before.id, task.id, 0, 0)), RuledLag(rule, Lag(task.id, after.id, 0, 0)))


def pan_tasks(
    night: Night, problem: Problem, solution: Solution, uses: Callable[[Sequence[Demand], Placed], Iterator[p.Use]]
) -> Iterator[p.PlanTask]:
    """The cooling and waiting of pans where the answer placed it, as tasks of the plan."""
    steps = {step.about: step for step in night.steps() if step.lot is not None}
    for task in problem.tasks:
        about, _, rest = task.id.partition(":")
        kind = rest.split(":")[0]
        if kind not in (COOL, WAIT):
            continue
        placed, lot, batch = solution.placed[task.id], steps[about].lot, steps[about].batch
        length_s = float((placed.end - placed.start) * night.clock.tick_s)
        yield p.PlanTask(
            id=task.id, kind=kind, stage=kind, name=kind, batch=batch.id, lot=about,
            formula=lot.product if lot else batch.formula.id, part=batch.part_id, place="room",
            start=night.clock.instant(placed.start), end=night.clock.instant(placed.end),
            window=p.Window(min_s=length_s, preferred_s=length_s, max_s=length_s),
            uses=tuple(uses(task.modes[0].demands, placed)),
        )  # fmt: skip


def _pans(step: Step, equipment: Equipment) -> Demand | None:
    """The pans that a step holds, whatever way it is done."""
    return next((d for d in step.ways[0].demands if d.resource in equipment.pans), None)


def _scarce(night: Night, equipment: Equipment) -> set[str]:
    """The kinds of pans that are used more than once in this night."""
    wanted: Counter[str] = Counter()
    for strand in (lot for lots in night.lots.values() for lot in lots):
        held = [demand for step in strand.steps if (demand := _pans(step, equipment)) is not None]
        if held:
            wanted[held[0].resource] += max(demand.amount for demand in held)
    return {name for name, count in wanted.items() if count > equipment.pans[name].count}
