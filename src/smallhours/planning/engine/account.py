"""What a whole plan comes to, level by level, without a solver: for questions too large for one."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from smallhours.planning.engine.bounds import least_levels, least_terms
from smallhours.planning.engine.campaigns import Standing, standing_for
from smallhours.planning.engine.presence import presence, shifts_of
from smallhours.planning.engine.problem import LevelResult, Problem, Resource, Solution
from smallhours.planning.engine.refit import Refit
from smallhours.planning.engine.worth import uses, worth

There = dict[str, tuple[tuple[tuple[int, int], tuple[int, int]], ...]]


def account(problem: Problem, refit: Refit) -> Solution | None:
    """The plan that stands as an answer; None if states cannot be found for it."""
    inserter = refit.inserter
    standing = standing_for(problem, inserter.placed)
    if standing is None:
        return None
    names = [name for level in problem.objective.levels for name in level]
    terms = dict(worth(inserter, names).terms)
    there = _there(refit, standing, names)
    for name in names:
        kind, _, resource = name.partition(":")
        if kind == "held":
            terms[name] = sum(s.end - s.start for s in standing.stretches if s.resource == resource)
        elif kind == "changed":
            terms[name] = sum(c.end - c.start for c in standing.changes if c.resource == resource)
        elif kind == "hours":
            terms[name] = sum(end - start for _, (start, end) in there[resource])
        elif kind == "begins":
            terms[name] = sum(end - start for (_, end), (start, _) in there[resource])
    levels = _levels(problem, terms, least_terms(problem, inserter.reach))
    status = "optimal" if all(level.proven for level in levels) else "feasible"
    placed = dict(inserter.placed)
    return Solution(status, placed, standing.stretches, standing.changes, there, levels)  # type: ignore[arg-type]


def _levels(problem: Problem, terms: Mapping[str, int], least: Mapping[str, int]) -> tuple[LevelResult, ...]:
    found = []
    proven = True
    for names, floor in zip(problem.objective.levels, least_levels(problem, least), strict=True):
        value = sum(terms[name] * problem.objective.weights.get(name, 1) for name in names)
        proven = proven and value <= floor
        mine = {name: least[name] for name in names}
        found.append(LevelResult({name: terms[name] for name in names}, value, min(floor, value), proven, mine))
    return tuple(found)


def _there(refit: Refit, standing: Standing, names: list[str]) -> There:
    """From when to when each shift is needed, of the resources whose hours count."""
    found: There = {}
    resources = refit.inserter.ground.resources
    for name in {name.partition(":")[2] for name in names if name.partition(":")[0] in ("hours", "begins")}:
        shifts = shifts_of(resources[name], refit.problem.horizon)
        used = _used(refit, standing, resources[name])
        found[name] = tuple(zip(shifts, presence(shifts, used), strict=True))
    return found


def _used(refit: Refit, standing: Standing, resource: Resource) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    used = np.zeros(refit.problem.horizon, dtype=np.int64)
    for start, end, amount in uses(refit.inserter, resource.id):
        used[start:end] += amount
    demands = {other.id: other.change_demands for other in refit.problem.resources}
    for change in standing.changes:
        for demand in demands[change.resource]:
            if demand.resource == resource.id:
                used[change.start : change.end] += demand.amount
    return used
