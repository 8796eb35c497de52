"""Why nothing fits: a small set of limits of which one has to give way."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from smallhours.planning.engine.problem import Demand, Objective, Problem, Resource, Task
from smallhours.planning.engine.solve import solve

LimitKind = Literal["capacity", "states", "max_early", "latest", "earliest", "lag", "horizon"]


@dataclass(frozen=True)
class Limit:
    """One limit that could give way: its kind, the ids it is about, and what it says."""

    kind: LimitKind
    ids: tuple[str, ...]
    text: str


@dataclass(frozen=True)
class Clash:
    """Limits that cannot hold together (with everything that was not looked at: lengths, order, the past).

    ``minimal``: every one of them is needed; without any one the rest was shown to fit. Otherwise time ran out and
    some may be needless.
    """

    limits: tuple[Limit, ...]
    minimal: bool


@dataclass
class _Loosening:
    """The question with some of its limits taken away."""

    problem: Problem
    time_limit_s: float
    workers: int
    sure: bool = True

    def fits(self, kept: Sequence[Limit]) -> bool:
        """Whether some plan keeps these limits; when that is not found out, True and ``sure`` is lost."""
        status = solve(loosened(self.problem, kept), time_limit_s=self.time_limit_s, workers=self.workers).status
        if status == "unknown":
            self.sure = False
        return status != "infeasible"


def clash(problem: Problem, *, time_limit_s: float = 2.0, workers: int = 2) -> Clash | None:
    """A small set of limits that contradict one another, or None if some plan keeps all of them.

    ``time_limit_s`` is for each try; there are about as many tries as the set has limits, times the logarithm
    of how many limits there are. Method: divide and conquer over the limits (Junker 2004, "QuickXplain:
    preferred explanations and relaxations for over-constrained problems", AAAI-04).
    """
    tries = _Loosening(problem, time_limit_s, workers)
    all_limits = limits(problem)
    if tries.fits(all_limits):
        return None
    if not tries.fits([]):
        return Clash((), tries.sure)
    core = _quick(tries.fits, [], all_limits, False)
    return Clash(tuple(core), tries.sure)


def _quick(
    fits: Callable[[Sequence[Limit]], bool], base: list[Limit], rest: list[Limit], base_grew: bool
) -> list[Limit]:
    if base_grew and not fits(base):
        return []
    if len(rest) == 1:
        return rest
    half = len(rest) // 2
    first, second = rest[:half], rest[half:]
    of_second = _quick(fits, base + first, second, bool(first))
    of_first = _quick(fits, base + of_second, first, bool(of_second))
    return of_first + of_second


def limits(problem: Problem) -> list[Limit]:
    """Every limit of the question that could give way."""
    found: list[Limit] = []
    for resource in problem.resources:
        if resource.calendar:
            says = f"'{resource.id}' has no more than its calendar says"
        else:
            says = f"'{resource.id}' has no more than {resource.capacity}"
        found.append(Limit("capacity", (resource.id,), says))
        if resource.states:
            says = f"'{resource.id}' stands in one state at a time and takes time to change"
            found.append(Limit("states", (resource.id,), says))
    for due in problem.dues:
        if due.max_early is not None:
            says = f"'{due.task}' ends no more than {due.max_early} before {due.at}"
            found.append(Limit("max_early", (due.task,), says))
    for task in problem.tasks:
        if task.fixed is None and task.latest is not None and task.latest < problem.horizon:
            found.append(Limit("latest", (task.id,), f"'{task.id}' ends by {task.latest}"))
        if task.fixed is None and task.started is None and task.earliest > 0:
            found.append(Limit("earliest", (task.id,), f"'{task.id}' starts at {task.earliest} or later"))
    for lag in problem.lags:
        if lag.hi is not None:
            says = f"{lag.after_side} of '{lag.after}' comes at most {lag.hi} after {lag.before_side} of '{lag.before}'"
            found.append(Limit("lag", (lag.before, lag.after), says))
    found.append(Limit("horizon", (), f"everything ends by the horizon {problem.horizon}"))
    return found


def loosened(problem: Problem, kept: Sequence[Limit]) -> Problem:
    """The question with only these of its limits; what has to be placed, how long it takes and in what order stays.

    Its objective is empty, since only whether it fits is asked.
    """
    keep = {(limit.kind, limit.ids) for limit in kept}
    horizon = problem.horizon if ("horizon", ()) in keep else 2 * problem.horizon + 1
    stateless = {r.id for r in problem.resources if r.states and ("states", (r.id,)) not in keep}
    return Problem(
        horizon,
        tuple(_loose_task(task, keep, stateless, problem.horizon) for task in problem.tasks),
        tuple(_loose_resource(resource, keep, stateless, problem) for resource in problem.resources),
        tuple(
            lag if lag.hi is None or ("lag", (lag.before, lag.after)) in keep else replace(lag, hi=None)
            for lag in problem.lags
        ),
        tuple(due if ("max_early", (due.task,)) in keep else replace(due, max_early=None) for due in problem.dues),
        Objective(()),
    )


def _loose_task(task: Task, keep: set[tuple[LimitKind, tuple[str, ...]]], stateless: set[str], horizon: int) -> Task:
    def stateless_demand(demand: Demand) -> Demand:
        return replace(demand, states=None) if demand.resource in stateless else demand

    modes = tuple(
        replace(mode, demands=tuple(stateless_demand(demand) for demand in mode.demands)) for mode in task.modes
    )
    latest, earliest = task.latest, task.earliest
    if latest is not None and latest < horizon and ("latest", (task.id,)) not in keep:
        latest = None
    if latest == horizon and ("horizon", ()) not in keep:
        latest = None
    if ("earliest", (task.id,)) not in keep and task.fixed is None and task.started is None:
        earliest = 0
    return replace(task, modes=modes, latest=latest, earliest=earliest)


def _loose_resource(
    resource: Resource, keep: set[tuple[LimitKind, tuple[str, ...]]], stateless: set[str], problem: Problem
) -> Resource:
    if ("capacity", (resource.id,)) not in keep:
        plenty = sum(
            max((d.amount for d in mode.demands if d.resource == resource.id), default=0) * len(mode.demands)
            for task in problem.tasks
            for mode in task.modes
        )
        plenty += sum(d.amount for r in problem.resources for d in r.change_demands if d.resource == resource.id)
        resource = replace(resource, capacity=max(plenty, resource.capacity, 1), calendar=(), shifts=())
    if resource.id in stateless:
        resource = Resource(resource.id, resource.capacity, resource.calendar)
    return resource
