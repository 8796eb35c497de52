"""What no plan can be under, term by term: bounds that need no solver.

They come from windows and from work that has to be done somewhere: hands-on ticks cannot be fewer than the work, and
what stands in a state for a load cannot be shared by more than fits in.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from smallhours.planning.engine.lags import Instant
from smallhours.planning.engine.parts import covered
from smallhours.planning.engine.problem import Demand, Mode, Problem, Resource, Task

Windows = Mapping[Instant, tuple[int, int]]
Share = Callable[[int, int], Fraction]  # of an amount, of a capacity


def least_terms(problem: Problem, reach: Windows) -> dict[str, int]:
    """The least each term of the objective can be; ``reach``: the windows of all instants, from lags and lengths."""
    found = {}
    loading = replace(problem, tasks=tuple(_loading(problem)))
    for term in {name for level in problem.objective.levels for name in level}:
        kind, _, resource = term.partition(":")
        found[term] = 0
        if kind == "late":
            found[term] = sum(due.late * max(reach[(due.task, "end")][0] - due.at, 0) for due in problem.dues)
        elif kind == "early":
            found[term] = sum(due.early * max(due.at - reach[(due.task, "end")][1], 0) for due in problem.dues)
        elif kind == "stale":
            ends = ((due, reach[(due.task, "end")][1]) for due in problem.dues)
            stale = (due.late * max(due.at - due.fresh - end, 0) for due, end in ends if due.fresh is not None)
            found[term] = sum(stale)
        elif kind == "mode":
            found[term] = sum(min(mode.cost for mode in task.modes) for task in problem.tasks)
        elif kind == "makespan":
            found[term] = max((reach[(task.id, "end")][0] for task in problem.tasks), default=0)
        elif kind == "starts":
            found[term] = sum(problem.horizon - reach[(task.id, "start")][1] for task in problem.tasks)
        elif kind in ("hours", "begins"):
            found[term] = least_work(problem, resource)
        elif kind == "held":
            found[term] = least_held(loading, [resource])
    return found


def least_levels(problem: Problem, least: Mapping[str, int]) -> list[int]:
    """The least each level can be: from the least of its terms, and from what its states held have to do together."""
    weights = problem.objective.weights
    found = []
    for level in problem.objective.levels:
        held = [name for name in level if name.startswith("held:")]
        rest = sum(least[name] * weights.get(name, 1) for name in level if name not in held)
        apart = sum(least[name] * weights.get(name, 1) for name in held)
        weight = min((weights.get(name, 1) for name in held), default=0)
        together = weight * least_held(problem, [name.partition(":")[2] for name in held])
        found.append(rest + max(apart, together))
    return found


def least_work(problem: Problem, resource: str) -> int:
    """Ticks of ``resource`` that the tasks need at any rate, each in the mode that needs least.

    Every unit works one tick at a time, so that the units together are there for at least as long.
    """
    return sum(
        min(sum(_ticks(demand, mode) for demand in mode.demands if demand.resource == resource) for mode in task.modes)
        for task in problem.tasks
    )


def _ticks(demand: Demand, mode: Mode) -> int:
    start, end = covered(demand.part, 0, mode.lo)
    return demand.amount * max(end - start, 0)


@dataclass(frozen=True)
class _Load:
    """A task that needs one of some resources with states: in which states, for how long, how much of each."""

    states: frozenset[str]
    ticks: int
    amounts: dict[str, int]


def least_held(problem: Problem, names: list[str]) -> int:
    """Ticks for which the resources ``names`` together stand in some state at any rate.

    Loads that share no state, even through others, cannot be served by the same tick of a resource. Among the others,
    a resource with capacity c that takes loads of amounts a serves in one tick at most one unit of ``share``(a, c),
    for each of a few ways to share: a/c of it; all of it for more than half; or a whole part of it for as many as fit.
    (Dual feasible functions; Fekete & Schepers 2001, Mathematical Programming 91.)
    """
    resources = {resource.id: resource for resource in problem.resources if resource.id in set(names)}
    loads = [load for task in _loading(problem) if (load := _load(task, resources)) is not None]
    total = 0
    for group in _groups(loads):
        longest = max(load.ticks for load in group)
        shares = [_shared(group, resources, share) for share in _SHARES]
        total += max(longest, *(math.ceil(share) for share in shares))
    return total


def _loading(problem: Problem) -> list[Task]:
    """The tasks that need resources with states in every mode."""
    standing = {resource.id for resource in problem.resources if resource.states}
    return [
        task for task in problem.tasks if all(any(d.resource in standing for d in mode.demands) for mode in task.modes)
    ]


def _shared(group: list[_Load], resources: Mapping[str, Resource], share: Share) -> Fraction:
    return sum(
        (load.ticks * min(share(a, _most(resources[name])) for name, a in load.amounts.items()) for load in group),
        Fraction(0),
    )


def _most(resource: Resource) -> int:
    return max([resource.capacity, *(piece[2] for piece in resource.calendar)])


def _by_amount(amount: int, capacity: int) -> Fraction:
    return Fraction(amount, capacity)


def _by_half(amount: int, capacity: int) -> Fraction:
    if 2 * amount == capacity:
        return Fraction(1, 2)
    return Fraction(int(2 * amount > capacity))


def _by_third(amount: int, capacity: int) -> Fraction:
    """All but the small: more than two thirds count whole, more than a third half."""
    if 3 * amount > 2 * capacity:
        return Fraction(1)
    return Fraction(1, 2) if 3 * amount > capacity else Fraction(0)


_SHARES: tuple[Share, ...] = (_by_amount, _by_half, _by_third)


def _load(task: Task, resources: Mapping[str, Resource]) -> _Load | None:
    """What a task needs of the resources, if every mode of it needs one of them."""
    states: set[str] = set()
    amounts: dict[str, int] = {}
    ticks = math.inf
    for mode in task.modes:
        needs = [d for d in mode.demands if d.resource in resources and _ticks(d, mode) > 0]
        if not needs:
            return None
        need = max(needs, key=lambda demand: _ticks(demand, mode))
        states |= need.states or set(resources[need.resource].states)
        ticks = min(ticks, _ticks(need, mode) // need.amount)
        amounts[need.resource] = min(need.amount, amounts.get(need.resource, need.amount))
    return _Load(frozenset(states), int(ticks), amounts)


def _groups(loads: list[_Load]) -> Iterator[list[_Load]]:
    """Loads that share a state, directly or through others."""
    left = list(loads)
    while left:
        group, reached = [], set(left[0].states)
        grew = True
        while grew:
            found = [load for load in left if load.states & reached]
            left = [load for load in left if not load.states & reached]
            group += found
            reached |= {state for load in found for state in load.states}
            grew = bool(found)
        yield group
