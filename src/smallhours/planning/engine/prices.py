"""What the objective costs a single task: the terms of all levels as one sum, for placing tasks one after another."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

import numpy as np

from smallhours.planning.engine.ground import Ground, Way
from smallhours.planning.engine.lags import Instant
from smallhours.planning.engine.least import Costs, at_later
from smallhours.planning.engine.parts import edges
from smallhours.planning.engine.problem import Demand, Due, Placed, Problem

LEVEL_STEP = 1000.0  # how much more a term of an earlier level weighs
BUILD_STEP = 50.0  # the same while a first plan is built, where a tick late may be worth an hour elsewhere
NOT_BUILT_FOR = ("hours", "begins")  # terms that only mean something once most of a plan stands


@dataclass
class Prices:
    """The weight of each term over all levels, and what follows for a task.

    ``building``: for a first plan, of which little stands yet.
    """

    problem: Problem
    stay: Mapping[str, Placed] = field(default_factory=dict)
    building: bool = False
    weights: dict[str, float] = field(default_factory=dict)
    dues: dict[str, Due] = field(default_factory=dict)
    ticks: Costs = field(default_factory=lambda: np.zeros(0))

    def __post_init__(self) -> None:
        objective = self.problem.objective
        step = 1.0
        for names in reversed(objective.levels):
            for name in names:
                if self.building and name.partition(":")[0] in NOT_BUILT_FOR:
                    continue
                self.weights[name] = self.weights.get(name, 0.0) + step * objective.weights.get(name, 1)
            step *= BUILD_STEP if self.building else LEVEL_STEP
        self.dues = {due.task: due for due in self.problem.dues}
        self.ticks = np.arange(self.problem.horizon + 1, dtype=np.float64)

    def of_instant(self, instant: Instant, window: tuple[int, int]) -> Costs:
        """What an instant of a task costs at each tick; inf outside its window."""
        name, side = instant
        costs = np.full(len(self.ticks), np.inf)
        inside = slice(window[0], window[1] + 1)
        ticks = self.ticks[inside]
        costs[inside] = 0.0
        if side == "start":
            if "starts" in self.weights:
                costs[inside] += self.weights["starts"] * (self.problem.horizon - ticks)
            if "move" in self.weights and name in self.stay:
                costs[inside] += self.weights["move"] * np.abs(ticks - self.stay[name].start)
            return costs
        due = self.dues.get(name)
        if due is not None:
            costs[inside] += self.weights.get("late", 0.0) * due.late * np.maximum(ticks - due.at, 0.0)
            costs[inside] += self.weights.get("early", 0.0) * due.early * np.maximum(due.at - ticks, 0.0)
            if due.fresh is not None and "stale" in self.weights:
                costs[inside] += self.weights["stale"] * due.late * np.maximum(due.at - due.fresh - ticks, 0.0)
        if "makespan" in self.weights:
            costs[inside] += self.weights["makespan"] * ticks
        return costs

    def of_way(self, ground: Ground, way: Way, starts: Costs, ends: Costs) -> float:
        """Add what a way costs by its start and by its end; what it costs anyway is returned."""
        for demand in way.mode.demands:
            if demand.amount and f"hours:{demand.resource}" in self.weights:
                self._of_presence(ground, way, demand, starts, ends)
            weight = self.weights.get(f"held:{demand.resource}", 0.0)
            if weight and demand.part.kind in ("whole", "and_after"):
                unheld = weight * ground.unheld(demand.resource)
                starts -= unheld
                ends += unheld
        return self.weights.get("mode", 0.0) * way.mode.cost

    def _of_presence(self, ground: Ground, way: Way, demand: Demand, starts: Costs, ends: Costs) -> None:
        """Add how much longer somebody would have to be there."""
        from_start, first, to_start, last = edges(demand.part, way.lo)
        came = self._came(ground, demand.resource, first)
        went = self._went(ground, demand.resource, last)
        np.add(starts if from_start else ends, came, out=starts if from_start else ends)
        np.add(starts if to_start else ends, went, out=starts if to_start else ends)

    def _came(self, ground: Ground, name: str, by: int) -> Costs:
        """What a use costs by its start, ``by`` ticks later than each instant."""
        kept = ground.there_prices.get((name, "came", by))
        if kept is None:
            _, after, within = ground.ways_to_be_there(name)
            kept = at_later(self.weights[f"hours:{name}"] * (after - within), by)
            ground.there_prices[(name, "came", by)] = kept
        return kept

    def _went(self, ground: Ground, name: str, by: int) -> Costs:
        """What a use costs by its end, ``by`` ticks later than each instant."""
        kept = ground.there_prices.get((name, "went", by))
        if kept is None:
            before, _, within = ground.ways_to_be_there(name)
            weight = self.weights[f"hours:{name}"]
            earlier = weight + self.weights.get(f"begins:{name}", 0.0)
            kept = at_later(earlier * before + weight * within, by)
            ground.there_prices[(name, "went", by)] = kept
        return kept

    def deviation(self, way: Way) -> float:
        """What each tick off the length wanted costs."""
        return self.weights.get("deviation", 0.0)

    def terms_of(self, name: str, where: Placed, way: Way) -> dict[str, int]:
        """The terms of one placed task that do not hang on other tasks."""
        length = where.end - where.start
        terms = {"deviation": abs(length - way.wanted), "mode": way.mode.cost}
        due = self.dues.get(name)
        if due is not None:
            terms["late"] = due.late * max(where.end - due.at, 0)
            terms["early"] = due.early * max(due.at - where.end, 0)
            if due.fresh is not None:
                terms["stale"] = due.late * max(due.at - due.fresh - where.end, 0)
        if "starts" in self.weights:
            terms["starts"] = self.problem.horizon - where.start
        if "move" in self.weights and name in self.stay:
            terms["move"] = abs(where.start - self.stay[name].start)
        return terms

    def of_group(self, names: Iterable[str], placed: Mapping[str, Placed]) -> float:
        """What being late or early costs a group of tasks."""
        cost = 0.0
        for due in (self.dues[name] for name in names if name in self.dues):
            off = placed[due.task].end - due.at
            cost += self.weights.get("late", 0.0) * due.late * max(off, 0)
            cost += self.weights.get("early", 0.0) * due.early * max(-off, 0)
        return cost
