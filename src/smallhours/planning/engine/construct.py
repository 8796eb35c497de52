"""A first whole plan by the solver, where refitting found none: groups of tasks are inserted, the most urgent first.

Each insertion is a small question of its own, in which what was placed before stands still. If a group finds no
place, the group before it is taken out and both are placed together, then the two before, and so on.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from smallhours.planning.engine.build import build
from smallhours.planning.engine.lags import components, windows
from smallhours.planning.engine.model import Model, Values
from smallhours.planning.engine.objective import Level
from smallhours.planning.engine.problem import Placed, Problem
from smallhours.planning.engine.progress import Stopper
from smallhours.planning.engine.search import Budget, Settings, run

GROUP_SIZE = 45  # tasks inserted at once
SHARE = 0.5  # of the time left, for the whole construction
PATIENCE = 0.12  # seconds without a better plan that end an insertion which is already best on the first level
TAIL_SHARE = 0.05  # of the time limit, in which an insertion may improve its first plan
LEVEL_STEP = 100  # how much more an earlier level weighs while inserting


def construct(problem: Problem, budget: Budget, settings: Settings, stopper: Stopper) -> dict[str, Placed] | None:
    """Place every task with the solver, urgent ones first; None if that did not succeed in its share of the time."""
    groups = waves(problem)
    placed: dict[str, Placed] = {}
    done: list[tuple[str, ...]] = []
    for number, group in enumerate(groups):
        reach = 0
        while True:
            if stopper.stopped or budget.left() <= 0:
                return None
            free = tuple(name for names in [*done[len(done) - reach :], group] for name in names)
            kept = {name: where for name, where in placed.items() if name not in set(free)}
            share = SHARE / (len(groups) - number + 1)
            found = insert(problem, free, kept, budget, share, settings, stopper)
            if found is not None:
                placed = found
                break
            if reach == len(done):
                return None
            reach = min(2 * reach + 1, len(done))
        done.append(group)
    return placed


def waves(problem: Problem) -> list[tuple[str, ...]]:
    """Tasks in the groups in which they are inserted: tied tasks together, what must end first comes first."""
    reach = windows(problem)
    if reach is None:
        return [tuple(task.id for task in problem.tasks)]
    due = {due.task: due.at for due in problem.dues}

    def urgency(names: tuple[str, ...]) -> tuple[float, int]:
        wanted = min((due[name] for name in names if name in due), default=math.inf)
        return min(wanted, min(reach[(name, "end")][1] for name in names)), -len(names)

    settled = {task.id for task in problem.tasks if task.fixed is not None or task.started is not None}
    groups: list[list[str]] = [[task.id for task in problem.tasks if task.id in settled]]
    for names in sorted(components(problem), key=urgency):
        names = tuple(name for name in names if name not in settled)
        if len(groups[-1]) + len(names) > GROUP_SIZE and groups[-1]:
            groups.append([])
        groups[-1].extend(names)
    return [tuple(group) for group in groups if group]


def restricted(problem: Problem, free: tuple[str, ...], kept: Mapping[str, Placed]) -> Problem:
    """The question with only the tasks ``free`` and, standing still, ``kept``."""
    there = set(free) | set(kept)
    tasks = []
    for task in problem.tasks:
        if task.id in kept:
            where = kept[task.id]
            mode = tuple(mode for mode in task.modes if mode.id == where.mode)
            fixed = (where.start, where.end, where.mode)
            tasks.append(replace(task, modes=mode, fixed=fixed, started=None))
        elif task.id in there:
            tasks.append(task)
    return replace(
        problem,
        tasks=tuple(tasks),
        lags=tuple(lag for lag in problem.lags if lag.before in there and lag.after in there),
        dues=tuple(due for due in problem.dues if due.task in there),
    )


def insert(
    problem: Problem,
    free: tuple[str, ...],
    kept: Mapping[str, Placed],
    budget: Budget,
    share: float,
    settings: Settings,
    stopper: Stopper,
) -> dict[str, Placed] | None:
    """Place the tasks ``free`` beside those ``kept``; all of them, or None if no place was found."""
    built = build(restricted(problem, free, kept))
    if built is None:
        return None
    model, levels = built
    _weigh_together(model, levels)
    quick = replace(settings, patience=PATIENCE, tail=TAIL_SHARE * budget.limit, quick=True)

    def is_good(values: Values) -> bool:
        return not levels or levels[0].value(model.settle(values)) <= levels[0].least(model)

    outcome = run(model, budget, share, quick, stopper=stopper, is_good=is_good)
    return None if outcome.values is None else model.placed(outcome.values)


def _weigh_together(model: Model, levels: list[Level]) -> None:
    expression = 0
    for level in levels:
        expression = expression * LEVEL_STEP + level.expr
    model.cp.minimize(expression)
