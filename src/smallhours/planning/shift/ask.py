"""From a night's steps to the engine's question."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from smallhours.bakery.formula.document import Formula
from smallhours.planning.engine.problem import Due, Mode, Problem, Resource, Task
from smallhours.planning.shift import people as staff
from smallhours.planning.shift.clock import Clock
from smallhours.planning.shift.equipment import Equipment
from smallhours.planning.shift.pans import pans_cool_before_they_are_used_again, pans_wait_with_their_lot
from smallhours.planning.shift.priorities import objective
from smallhours.planning.shift.rules import Night, RuledLag, all_rules
from smallhours.planning.shift.steps import Step, StepWay

LATE_PER_TICK = 1
OLDEST_FRACTION = 0.5  # of the time it is fresh, that may have passed when it is due
OLDEST_S = 6 * 3600.0  # the same where a formula does not say how long it is fresh: of the same night
EARLY_COST_S, MOST_EARLY_COST = 12 * 3600.0, 6


@dataclass(frozen=True)
class Question:
    """The engine's problem and what its lags mean."""

    problem: Problem
    links: tuple[RuledLag, ...]
    pauses: tuple[staff.Pause, ...]
    present: tuple[staff.Presence, ...]


def question(
    night: Night, formulas: Mapping[str, Formula], equipment: Equipment, resources: Sequence[Resource],
    present: Sequence[staff.Presence], pauses: Sequence[staff.Pause], priorities: Sequence[str] = (),
) -> Question:  # fmt: skip
    """Everything the engine must know of a night. ``formulas``: of the products, joined. ``priorities``: what comes
    first, see there."""
    clock = night.clock
    pool = staff.pool(present, clock)
    tasks = [_task(step, clock) for step in night.steps()]
    links = list(all_rules(night))
    for lots in night.lots.values():
        for strand in lots:
            for task, link in pans_cool_before_they_are_used_again(strand, equipment, clock):
                tasks.append(task)
                links.append(link)
    for task, around in pans_wait_with_their_lot(night, equipment):
        tasks.append(task)
        links += around
    tasks += staff.pause_tasks(pauses)
    things = tuple(_wanted(resources, tasks))
    problem = Problem(
        horizon=clock.ticks,
        tasks=tuple(tasks),
        resources=(pool, *things),
        lags=tuple(link.lag for link in links),
        dues=tuple(_dues(night, formulas)),
        objective=objective(priorities, things, equipment.decks),
    )
    return Question(problem, tuple(links), tuple(pauses), tuple(present))


def _wanted(resources: Sequence[Resource], tasks: Sequence[Task]) -> Iterator[Resource]:
    named = {demand.resource for task in tasks for mode in task.modes for demand in mode.demands}
    return (resource for resource in resources if resource.id in named)


def _task(step: Step, clock: Clock) -> Task:
    return Task(step.id, tuple(_mode(way, clock) for way in step.ways))


def _mode(way: StepWay, clock: Clock) -> Mode:
    low = clock.length(way.window.min_s)
    preferred = max(low, clock.length(way.window.preferred_s))
    high = max(preferred, int(way.window.max_s // clock.tick_s))
    return Mode(way.mode, low, high, preferred, way.demands, way.cost)


def _dues(night: Night, formulas: Mapping[str, Formula]) -> Iterator[Due]:
    for lots in night.lots.values():
        for strand in lots:
            if strand.steps:
                lot = strand.steps[-1].lot
                assert lot is not None
                at = night.clock.inside(night.clock.tick(lot.due))
                fresh_s = formulas[lot.product].fresh_s
                fresh = night.clock.length(OLDEST_S if fresh_s is None else OLDEST_FRACTION * fresh_s)
                yield Due(strand.steps[-1].id, at, late=LATE_PER_TICK, early=early_cost(fresh_s), fresh=fresh)


def early_cost(fresh_s: float | None) -> int:
    """What a tick of waiting for its due time costs: more for what is only good while it is fresh.

    One for what keeps half a day or is not said to be better fresh, up to six for what has to be sold within two hours.

    >>> early_cost(None), early_cost(3 * 86400.0), early_cost(4 * 3600.0), early_cost(3600.0)
    (1, 1, 3, 6)
    """
    if fresh_s is None or fresh_s <= 0:
        return 1
    return min(MOST_EARLY_COST, max(1, round(EARLY_COST_S / fresh_s)))
