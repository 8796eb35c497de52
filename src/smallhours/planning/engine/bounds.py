"""What no plan can be under, term by term: bounds that need no solver."""

from __future__ import annotations

from collections.abc import Mapping

from smallhours.planning.engine.lags import Instant
from smallhours.planning.engine.problem import Problem

Windows = Mapping[Instant, tuple[int, int]]


def least_terms(problem: Problem, reach: Windows) -> dict[str, int]:
    """The least each term of the objective can be; ``reach``: the windows of all instants, from lags and lengths."""
    found = {}
    for term in {name for level in problem.objective.levels for name in level}:
        kind, _, _ = term.partition(":")
        found[term] = 0
        if kind == "late":
            found[term] = sum(due.late * max(reach[(due.task, "end")][0] - due.at, 0) for due in problem.dues)
        elif kind == "early":
            found[term] = sum(due.early * max(due.at - reach[(due.task, "end")][1], 0) for due in problem.dues)
        elif kind == "mode":
            found[term] = sum(min(mode.cost for mode in task.modes) for task in problem.tasks)
        elif kind == "makespan":
            found[term] = max((reach[(task.id, "end")][0] for task in problem.tasks), default=0)
        elif kind == "starts":
            found[term] = sum(problem.horizon - reach[(task.id, "start")][1] for task in problem.tasks)
    return found


def least_levels(problem: Problem, least: Mapping[str, int]) -> list[int]:
    """The least each level can be, from the least of its terms."""
    weights = problem.objective.weights
    return [sum(least[name] * weights.get(name, 1) for name in level) for level in problem.objective.levels]
