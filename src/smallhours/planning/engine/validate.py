"""Does the question hold together? Every fault is found at once, one sentence each, naming the ids."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from smallhours.errors import ProblemError
from smallhours.planning.engine.lags import arcs, positive_cycle
from smallhours.planning.engine.past import past_faults
from smallhours.planning.engine.problem import Demand, Due, Lag, Mode, Part, Problem, Resource, Task

PLAIN_TERMS = ("late", "early", "stale", "deviation", "mode", "move", "makespan", "starts")
RESOURCE_TERMS = ("span", "held", "changed", "hours", "begins")


def validate(problem: Problem) -> None:
    """Check ``problem`` before it is searched.

    Raises: ProblemError with every fault found.
    """
    found = faults(problem)
    if found:
        raise ProblemError(found)


def faults(problem: Problem) -> list[str]:
    """One sentence for each thing wrong with ``problem``; empty when it holds together."""
    found = list(_shape_faults(problem))
    if not found:  # the checks below look names up and may rely on sane numbers
        found.extend(past_faults(problem))
        ring = positive_cycle(arcs(problem.tasks, problem.lags))
        if ring is not None:
            found.append("These cannot all hold: " + "; ".join(arc.why for arc in ring) + ".")
    return found


def _shape_faults(problem: Problem) -> Iterator[str]:
    if problem.horizon <= 0:
        yield f"The horizon is {problem.horizon}; it must be at least 1."
    yield from _repeated("task", (task.id for task in problem.tasks))
    yield from _repeated("resource", (resource.id for resource in problem.resources))
    yield from _repeated("due of task", (due.task for due in problem.dues))
    resources = {resource.id: resource for resource in problem.resources}
    tasks = {task.id: task for task in problem.tasks}
    for resource in problem.resources:
        yield from _resource_faults(resource)
        yield from _change_demand_faults(resource, resources)
    for task in problem.tasks:
        yield from _task_faults(task, problem.horizon)
        for mode in task.modes:
            yield from _mode_faults(task, mode, resources)
    for lag in problem.lags:
        yield from _lag_faults(lag, tasks)
    for due in problem.dues:
        yield from _due_faults(due, tasks)
    yield from _objective_faults(problem, resources)


def _repeated(kind: str, names: Iterable[str]) -> Iterator[str]:
    for name, count in Counter(names).items():
        if count > 1:
            yield f"The {kind} '{name}' is given {count} times; it must be given once."


def _resource_faults(resource: Resource) -> Iterator[str]:
    name = f"Resource '{resource.id}'"
    if resource.capacity < 0:
        yield f"{name} has capacity {resource.capacity}; it must not be negative."
    reached = 0
    for start, end, capacity in sorted(resource.calendar):
        if start < 0 or end <= start:
            yield (
                f"{name} has a calendar piece from {start} to {end}; "
                f"it must start at 0 or later and end after it starts."
            )
        if capacity < 0:
            yield f"{name} has capacity {capacity} from {start} to {end}; it must not be negative."
        if start < reached:
            yield f"{name} has two calendar pieces that both cover tick {start}; they must not overlap."
        reached = max(reached, end)
    yield from _repeated(f"state of resource '{resource.id}',", resource.states)
    yield from _shift_faults(resource)
    known = set(resource.states)
    for s in resource.states:
        for t in resource.states:
            if s != t and (s, t) not in resource.change:
                yield f"{name} does not say how long a change from state '{s}' to '{t}' takes."
    for (s, t), ticks in resource.change.items():
        if s not in known or t not in known:
            yield f"{name} has a change from '{s}' to '{t}', but its states are {_listed(resource.states)}."
        if ticks < 0:
            yield f"{name} takes {ticks} ticks from state '{s}' to '{t}'; it must not be negative."
    if resource.initial_state is not None and resource.initial_state not in known:
        yield f"{name} starts in state '{resource.initial_state}', but its states are {_listed(resource.states)}."
    for state, ticks in resource.initial_change.items():
        if state not in known:
            yield f"{name} has a first change to '{state}', but its states are {_listed(resource.states)}."
        if ticks < 0:
            yield f"{name} takes {ticks} ticks to first reach state '{state}'; it must not be negative."


def _change_demand_faults(resource: Resource, resources: dict[str, Resource]) -> Iterator[str]:
    name = f"A change of resource '{resource.id}'"
    if resource.change_demands and not resource.states:
        yield f"{name} needs something, but the resource has no states to change between."
    for demand in resource.change_demands:
        other = resources.get(demand.resource)
        if demand.amount < 0:
            yield f"{name} asks for {demand.amount} of '{demand.resource}'; it must not be negative."
        if demand.part != Part() or demand.states is not None:
            yield f"{name} asks for '{demand.resource}' in part or in some states; it must be for all of the change."
        if other is None:
            yield f"{name} asks for resource '{demand.resource}', which is not given."
        elif other.states:
            yield f"{name} asks for '{demand.resource}', which has states itself; it must be a plain resource."
        elif demand.amount > (most := max([other.capacity, *(piece[2] for piece in other.calendar)])):
            yield f"{name} asks for {demand.amount} of '{demand.resource}', which never has more than {most}."


def _shift_faults(resource: Resource) -> Iterator[str]:
    name = f"Resource '{resource.id}'"
    for start, end in resource.shifts:
        if start < 0 or end <= start:
            yield f"{name} has a shift from {start} to {end}; it must start at 0 or later and end after it starts."
    edges = {0, *(tick for piece in (*resource.shifts, *(p[:2] for p in resource.calendar)) for tick in piece)}
    for tick in sorted(edges)[:-1] if resource.shifts else ():
        there = next((piece[2] for piece in resource.calendar if piece[0] <= tick < piece[1]), resource.capacity)
        shifts = sum(start <= tick < end for start, end in resource.shifts)
        if there != shifts:
            yield f"{name} has capacity {there} at tick {tick}, but {shifts} of its shifts cover it."


def _task_faults(task: Task, horizon: int) -> Iterator[str]:
    name = f"Task '{task.id}'"
    if not task.modes:
        yield f"{name} has no mode; it needs at least one."
    yield from _repeated(f"mode of task '{task.id}',", (mode.id for mode in task.modes))
    if task.earliest < 0:
        yield f"{name} has earliest {task.earliest}; it must not be negative."
    end_by = horizon if task.latest is None else task.latest
    if end_by > horizon:
        yield f"{name} has latest {end_by}, beyond the horizon {horizon}."
    shortest = min((mode.lo for mode in task.modes), default=0)
    fixed_or_started = task.fixed is not None or task.started is not None
    if task.earliest + shortest > end_by and not fixed_or_started:
        yield (
            f"{name} takes at least {shortest}, which does not fit between its earliest {task.earliest} "
            f"and {'the horizon' if task.latest is None else 'its latest'} {end_by}."
        )
    modes = {mode.id for mode in task.modes}
    stands = {"fixed": task.fixed[2] if task.fixed else None, "started": task.started[1] if task.started else None}
    for what, mode_id in stands.items():
        if mode_id is not None and mode_id not in modes:
            yield f"{name} is {what} in mode '{mode_id}', but its modes are {_listed(modes)}."
    if task.fixed is not None and task.started is not None:
        yield f"{name} is given both as fixed and as started; it can only be one of them."


def _mode_faults(task: Task, mode: Mode, resources: dict[str, Resource]) -> Iterator[str]:
    name = f"Mode '{mode.id}' of task '{task.id}'"
    if mode.lo < 0:
        yield f"{name} has lo {mode.lo}; it must not be negative."
    if mode.lo > mode.hi:
        yield f"{name} has lo {mode.lo} above hi {mode.hi}."
    if mode.preferred is not None and mode.preferred < 0:
        yield f"{name} has preferred {mode.preferred}; it must not be negative."
    if mode.cost < 0:
        yield f"{name} has cost {mode.cost}; it must not be negative."
    for demand in mode.demands:
        yield from _demand_faults(name, mode, demand, resources)


def _demand_faults(name: str, mode: Mode, demand: Demand, resources: dict[str, Resource]) -> Iterator[str]:
    if demand.amount < 0:
        yield f"{name} asks for {demand.amount} of '{demand.resource}'; it must not be negative."
    if demand.part.ticks < 0:
        yield f"{name} has a part of {demand.part.ticks} ticks; it must not be negative."
    if demand.part.lead < 0:
        yield f"{name} has a part that leads its end by {demand.part.lead} ticks; it must not be negative."
    resource = resources.get(demand.resource)
    if resource is None:
        yield f"{name} asks for resource '{demand.resource}', which is not given."
        return
    most = max([resource.capacity, *(piece[2] for piece in resource.calendar)])
    covers_nothing = mode.hi == 0 or (
        demand.part.kind in ("first", "last", "from_start", "from_end") and demand.part.ticks == 0
    )
    if demand.amount > most and not covers_nothing:
        if most == 0:
            yield f"{name} asks for '{demand.resource}', which never has any capacity."
        else:
            yield f"{name} asks for {demand.amount} of '{demand.resource}', which never has more than {most}."
    if demand.states is not None:
        if not resource.states:
            yield f"{name} asks for states of '{demand.resource}', which has none."
        elif not demand.states:
            yield f"{name} allows no state of '{demand.resource}'; it must allow at least one."
        for state in sorted(demand.states - set(resource.states)):
            if resource.states:
                yield (
                    f"{name} asks for state '{state}' of '{demand.resource}', "
                    f"whose states are {_listed(resource.states)}."
                )


def _lag_faults(lag: Lag, tasks: dict[str, Task]) -> Iterator[str]:
    name = f"The lag from '{lag.before}' to '{lag.after}'"
    for end in (lag.before, lag.after):
        if end not in tasks:
            yield f"{name} names task '{end}', which is not given."
    if lag.hi is not None and lag.lo > lag.hi:
        yield f"{name} has lo {lag.lo} above hi {lag.hi}."


def _due_faults(due: Due, tasks: dict[str, Task]) -> Iterator[str]:
    if due.task not in tasks:
        yield f"A due names task '{due.task}', which is not given."
    for word, number in (
        ("at", due.at),
        ("late", due.late),
        ("early", due.early),
        ("max_early", due.max_early),
        ("fresh", due.fresh),
    ):
        if number is not None and number < 0:
            yield f"The due of task '{due.task}' has {word} {number}; it must not be negative."


def _objective_faults(problem: Problem, resources: dict[str, Resource]) -> Iterator[str]:
    listed = [term for level in problem.objective.levels for term in level]
    yield from _repeated("objective term", listed)
    for level in problem.objective.levels:
        if not level:
            yield "A level of the objective has no terms; it needs at least one."
    for term in dict.fromkeys([*listed, *problem.objective.weights]):
        kind, colon, name = term.partition(":")
        if (not colon and term not in PLAIN_TERMS) or (colon and kind not in RESOURCE_TERMS):
            yield (
                f"The objective names '{term}'; terms are {_listed(PLAIN_TERMS)}, "
                f"{_listed(f'{kind}:RESOURCE' for kind in RESOURCE_TERMS)}."
            )
        elif colon and name not in resources:
            yield f"The objective term '{term}' names resource '{name}', which is not given."
        elif kind in ("held", "changed") and colon and not resources[name].states:
            yield f"The objective term '{term}' needs a resource with states; '{name}' has none."
    for term, weight in problem.objective.weights.items():
        if weight < 0:
            yield f"The weight of objective term '{term}' is {weight}; it must not be negative."


def _listed(names: Iterable[str]) -> str:
    return ", ".join(f"'{name}'" for name in names) or "none"
