"""What is still free while tasks are placed one after another: capacity at each tick, and in which states things stand.

Everything is kept as one number for each tick, so that all places for a task can be looked at in one sweep.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np

from smallhours.planning.engine.least import Costs, Ticks, instants
from smallhours.planning.engine.parts import covered
from smallhours.planning.engine.presence import presence, shifts_of, ways_to_be_there
from smallhours.planning.engine.problem import Demand, Mode, Problem, Resource, Task

Terms = tuple[Costs, Costs, Ticks, float]  # cost by start, cost by end, latest end by start, cost at any rate


@dataclass(frozen=True)
class Way:
    """A mode of a task, with the state in which each of its resources with states would stand."""

    mode: Mode
    lo: int
    hi: int
    wanted: int
    states: tuple[tuple[str, str], ...] = ()

    def state_on(self, resource: str) -> str | None:
        """The state in which it would use a resource (None: the resource has none)."""
        for name, state in self.states:
            if name == resource:
                return state
        return None


@dataclass
class Ground:
    """The free capacity of each resource and the uses of those with states."""

    problem: Problem
    free: dict[str, Ticks] = field(default_factory=dict)
    resources: dict[str, Resource] = field(default_factory=dict)
    uses: dict[str, dict[tuple[str, int], tuple[int, int, str]]] = field(default_factory=dict)
    versions: dict[str, int] = field(default_factory=dict)
    _all: dict[str, Ticks] = field(default_factory=dict)
    _kept: dict[tuple[str, int, str | None, str], tuple[int, Ticks]] = field(default_factory=dict)
    there_prices: dict[tuple[str, str, int], Costs] = field(default_factory=dict)
    _there: dict[str, tuple[Costs, Costs, Costs]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        horizon = self.problem.horizon
        for resource in self.problem.resources:
            there = np.full(horizon, resource.capacity, dtype=np.int64)
            for start, end, capacity in resource.calendar:
                there[start:end] = capacity
            self.free[resource.id] = there
            self._all[resource.id] = there.copy()
            self.resources[resource.id] = resource
            self.versions[resource.id] = 0
            if resource.states:
                self.uses[resource.id] = {}

    def take(self, task: Task, way: Way, start: int, end: int) -> None:
        """Use what a task needs there."""
        self._change(task, way, start, end, -1)

    def give_back(self, task: Task, way: Way, start: int, end: int) -> None:
        """Undo ``take``."""
        self._change(task, way, start, end, 1)

    def _change(self, task: Task, way: Way, start: int, end: int, sign: int) -> None:
        for number, demand in enumerate(way.mode.demands):
            first, last = covered(demand.part, start, end)
            if first >= last or demand.amount == 0:
                continue
            name = demand.resource
            self.free[name][first:last] += sign * demand.amount
            self.versions[name] += 1
            state = way.state_on(name)
            if state is not None:
                if sign < 0:
                    self.uses[name][(task.id, number)] = (first, last, state)
                else:
                    del self.uses[name][(task.id, number)]

    def fits(self, way: Way, start: int, end: int) -> bool:
        """Whether what the task needs is free there (its own demands are looked at together)."""
        wanted: dict[str, list[tuple[int, int, int]]] = {}
        for demand in way.mode.demands:
            first, last = covered(demand.part, start, end)
            if first < last:
                state = way.state_on(demand.resource)
                if state is not None and self.until(demand.resource, 0, state)[first] < last:
                    return False
                wanted.setdefault(demand.resource, []).append((first, last, demand.amount))
        for name, stretches in wanted.items():
            free = self.free[name]
            if len(stretches) == 1:
                first, last, amount = stretches[0]
                if free[first:last].min() < amount:
                    return False
                continue
            low, high = min(s[0] for s in stretches), max(s[1] for s in stretches)
            left = free[low:high].copy()
            for first, last, amount in stretches:
                left[first - low : last - low] -= amount
            if any(left[first - low : last - low].min() < 0 for first, last, _ in stretches):
                return False
        return True

    def until(self, name: str, amount: int, state: str | None = None) -> Ticks:
        """For each instant the last one up to which so much is free without a break."""
        return self._run(name, amount, state, "until")

    def since(self, name: str, amount: int, state: str | None = None) -> Ticks:
        """For each instant the first one from which so much is free without a break."""
        return self._run(name, amount, state, "since")

    def _run(self, name: str, amount: int, state: str | None, which: str) -> Ticks:
        key = (name, amount, state, which)
        kept = self._kept.get(key)
        if kept is not None and kept[0] == self.versions[name]:
            return kept[1]
        lacking = self.free[name] < amount
        if state is not None:
            for start, end in self._barred(name, state):
                lacking[max(start, 0) : max(end, 0)] = True
        horizon = self.problem.horizon
        ticks = instants(horizon)
        if which == "until":
            ends = np.where(lacking, ticks, horizon)
            run = np.append(np.minimum.accumulate(ends[::-1])[::-1], horizon)
        else:
            starts = np.where(lacking, ticks + 1, 0)
            run = np.concatenate([[0], np.maximum.accumulate(starts)])
        self._kept[key] = (self.versions[name], run)
        return run

    def _barred(self, name: str, state: str) -> Iterator[tuple[int, int]]:
        """Ticks at which a resource cannot stand in ``state``, for what it stands in around them."""
        resource = self.resources[name]
        if resource.initial_state is not None:
            yield 0, resource.change.get((resource.initial_state, state), 0)
        else:
            yield 0, resource.initial_change.get(state, 0)
        for start, end, other in self.uses[name].values():
            if other != state:
                to, back = resource.change.get((state, other), 0), resource.change.get((other, state), 0)
                # where a change needs something, none is made here: what comes first then settles what may follow
                never = self.problem.horizon if resource.change_demands else 0
                yield start - max(to, never * (to > 0)), end + max(back, never * (back > 0))

    def stands(self, name: str) -> list[tuple[int, int]]:
        """The stretches in which a resource stands in some state: its uses, and what is too short to end it between."""
        found: list[tuple[int, int, str]] = []
        change = self.resources[name].change
        for start, end, state in sorted(self.uses[name].values()):
            if found and found[-1][2] == state and start - found[-1][1] < max(change.get((state, state), 0), 1):
                found[-1] = (found[-1][0], max(found[-1][1], end), state)
            else:
                found.append((start, end, state))
        return [(start, end) for start, end, _ in found]

    def attends(self) -> bool:
        """Whether each change of state that needs something finds it beside the tasks, looked at by itself."""
        for name, uses in self.uses.items():
            resource = self.resources[name]
            if not resource.change_demands:
                continue
            before, free = resource.initial_state, resource.changes_from
            for start, end, state in sorted(uses.values()):
                ticks = 0 if before == state else resource.change_ticks(before, state)
                if ticks and not self._has_room(resource, max(free, resource.changes_from), start, ticks):
                    return False
                before, free = state, max(free, end)
        return True

    def _has_room(self, resource: Resource, start: int, end: int, ticks: int) -> bool:
        if end - start < ticks:
            return False
        fits = np.ones(end - ticks - start + 1, dtype=bool)
        for demand in resource.change_demands:
            until = self.until(demand.resource, demand.amount)[start : end - ticks + 1]
            fits &= until >= instants(len(until)) + start + ticks
        return bool(fits.any())

    def shifts(self, name: str) -> list[tuple[int, int]]:
        """The shifts a resource's capacity is made of."""
        return shifts_of(self.resources[name], self.problem.horizon)

    def presence(self, name: str) -> list[tuple[int, int]]:
        """From when to when each shift of a resource is needed."""
        return presence(self.shifts(name), self._all[name] - self.free[name])

    def ways_to_be_there(self, name: str) -> tuple[Costs, Costs, Costs]:
        """What one more use of a resource adds to how long its units are there (see the function of that name).

        As things stood when ``look_again`` was last called: it is a price, and need not be exact.
        """
        if name not in self._there:
            self._there[name] = ways_to_be_there(self.shifts(name), self._all[name] - self.free[name])
        return self._there[name]

    def look_again(self) -> None:
        """Forget how long units are there."""
        self._there.clear()
        self.there_prices.clear()

    def unheld(self, name: str) -> Costs:
        """For each instant how many ticks before it the resource stands in no state."""
        standing = np.ones(self.problem.horizon)
        for start, end in self.stands(name):
            standing[start:end] = 0.0
        return np.concatenate([[0.0], np.cumsum(standing)])


def ways_of(task: Task, resources: dict[str, Resource]) -> list[Way]:
    """Every mode of a task with every state it could use its resources in."""
    forced = task.fixed[2] if task.fixed is not None else task.started[1] if task.started is not None else None
    found = []
    for mode in task.modes:
        if forced is not None and mode.id != forced:
            continue
        wanted = mode.lo if mode.preferred is None else mode.preferred
        lo = _without_overlap(mode)
        choices: list[tuple[tuple[str, str], ...]] = [()]
        for demand in mode.demands:
            if resources[demand.resource].states and not any(demand.resource == name for name, _ in choices[0]):
                allowed = _allowed(mode, demand.resource, resources[demand.resource])
                choices = [(*chosen, (demand.resource, state)) for chosen in choices for state in allowed]
        found += [Way(mode, lo, mode.hi, wanted, chosen) for chosen in choices]
    return found


def _allowed(mode: Mode, name: str, resource: Resource) -> list[str]:
    """The states that all demands of a mode on a resource allow."""
    sets = [demand.states for demand in mode.demands if demand.resource == name and demand.states is not None]
    return [state for state in resource.states if all(state in allowed for allowed in sets)]


def _without_overlap(mode: Mode) -> int:
    """The least length at which the demands at both ends do not need the same resource twice at once."""
    lo = mode.lo
    for demand in mode.demands:
        if demand.part.kind == "first":
            for other in mode.demands:
                if other.resource == demand.resource and other.part.kind == "last":
                    lo = max(lo, min(demand.part.ticks + other.part.ticks, mode.hi))
    return lo


def end_limits(ground: Ground, way: Way, starts: Costs, ends: Costs) -> Ticks:
    """The latest end for each start of a task done that way; starts and ends that cannot be are set to inf."""
    horizon = ground.problem.horizon
    limit = np.full(horizon + 1, horizon, dtype=np.int64)
    for demand in way.mode.demands:
        if demand.amount and way.hi:
            _limit(ground, way, demand, starts, ends, limit)
    return limit


def _limit(ground: Ground, way: Way, demand: Demand, starts: Costs, ends: Costs, limit: Ticks) -> None:
    state = way.state_on(demand.resource)
    until = ground.until(demand.resource, demand.amount, state)
    ticks = demand.part.ticks
    horizon = ground.problem.horizon
    ticks_on = instants(horizon + 1)
    if demand.part.kind == "whole" or (demand.part.kind in ("first", "last") and ticks >= way.hi):
        np.minimum(limit, until, out=limit)
    elif demand.part.kind == "but_last":
        np.minimum(limit, np.minimum(until + ticks, horizon), out=limit)
    elif demand.part.kind == "and_after":
        np.minimum(limit, np.maximum(until - ticks, 0), out=limit)
    elif demand.part.kind == "but_first":
        np.minimum(limit, until[np.minimum(ticks_on + ticks, horizon)], out=limit)
    elif demand.part.kind in ("first", "from_start"):
        starts[until < np.minimum(ticks_on + ticks, horizon)] = np.inf
    elif demand.part.kind == "from_end":
        out = ticks_on - demand.part.lead
        ends[until[np.maximum(out, 0)] < np.clip(out + ticks, 0, horizon)] = np.inf
    else:
        since = ground.since(demand.resource, demand.amount, state)
        ends[since > np.maximum(ticks_on - ticks, 0)] = np.inf
