"""Does what already happened agree with itself?"""

from __future__ import annotations

from collections.abc import Iterator

from smallhours.planning.engine.parts import covered
from smallhours.planning.engine.problem import Lag, Placed, Problem, Resource, Task


def past_faults(problem: Problem) -> Iterator[str]:
    """One sentence for each limit that the fixed tasks break among themselves.

    Names and numbers must already have been found sound.
    """
    fixed = {task.id: Placed(*task.fixed) for task in problem.tasks if task.fixed is not None}
    for task in problem.tasks:
        yield from _window_faults(task, problem.horizon)
    for lag in problem.lags:
        if lag.before in fixed and lag.after in fixed:
            yield from _lag_faults(lag, fixed[lag.before], fixed[lag.after])
    for resource in problem.resources:
        yield from _capacity_faults(resource, problem, fixed)


def _window_faults(task: Task, horizon: int) -> Iterator[str]:
    name = f"Task '{task.id}'"
    end_by = horizon if task.latest is None else task.latest
    if task.started is not None:
        start, mode_id = task.started
        mode = next(mode for mode in task.modes if mode.id == mode_id)
        if start < task.earliest:
            yield f"{name} started at {start}, before its earliest {task.earliest}."
        if start + mode.lo > end_by:
            yield f"{name} started at {start} and takes at least {mode.lo}, which does not fit before {end_by}."
    if task.fixed is None:
        return
    start, end, mode_id = task.fixed
    mode = next(mode for mode in task.modes if mode.id == mode_id)
    if start < task.earliest or end > end_by:
        yield f"{name} is fixed at {start} to {end}, outside its window {task.earliest} to {end_by}."
    if not mode.lo <= end - start <= mode.hi:
        yield (
            f"{name} is fixed with length {end - start}, but its mode '{mode_id}' takes between "
            f"{mode.lo} and {mode.hi}."
        )


def _lag_faults(lag: Lag, before: Placed, after: Placed) -> Iterator[str]:
    gap = getattr(after, lag.after_side) - getattr(before, lag.before_side)
    if gap < lag.lo or (lag.hi is not None and gap > lag.hi):
        wanted = f"at least {lag.lo}" if lag.hi is None else f"between {lag.lo} and {lag.hi}"
        yield (
            f"Tasks '{lag.before}' and '{lag.after}' are both fixed, with {gap} ticks from {lag.before_side} to "
            f"{lag.after_side}, but that lag must be {wanted}."
        )


def _capacity_faults(resource: Resource, problem: Problem, fixed: dict[str, Placed]) -> Iterator[str]:
    steps: dict[int, int] = {}
    for task in problem.tasks:
        if task.id not in fixed:
            continue
        placed = fixed[task.id]
        for demand in next(mode for mode in task.modes if mode.id == placed.mode).demands:
            if demand.resource == resource.id:
                start, end = covered(demand.part, placed.start, placed.end)
                if start < end:
                    steps[start] = steps.get(start, 0) + demand.amount
                    steps[end] = steps.get(end, 0) - demand.amount
    for start, end, _ in resource.calendar:
        steps.setdefault(start, 0)
        steps.setdefault(end, 0)
    used = 0
    for tick in sorted(steps):
        used += steps[tick]
        there = next((c for a, b, c in resource.calendar if a <= tick < b), resource.capacity)
        if used > there:
            yield (f"The fixed tasks use {used} of resource '{resource.id}' at tick {tick}, where it has {there}.")
            return
