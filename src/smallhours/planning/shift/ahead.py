"""A margin before every due time: the planner is asked for more than is needed, and told what was needed.

Only the question to the engine is moved; an order is late when it is after its true due time, whatever the margin.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from smallhours.planning.engine.problem import LevelResult, Problem, Solution

Solver = Callable[[Problem], Solution]


def ahead(solver: Solver, ticks: int) -> Solver:
    """A solver that wants everything ``ticks`` before it is due."""
    if not ticks:
        return solver

    def solve(problem: Problem) -> Solution:
        dues = tuple(replace(due, at=max(0, due.at - ticks)) for due in problem.dues)
        moved = replace(problem, dues=dues)
        solution = solver(moved)
        levels: list[LevelResult] = []
        for level in solution.levels:
            told = _true(level, problem, moved, solution)
            sure = told.proven and all(before.proven for before in levels)
            levels.append(replace(told, proven=sure))
        return replace(solution, levels=tuple(levels))

    return solve


def _true(level: LevelResult, problem: Problem, moved: Problem, solution: Solution) -> LevelResult:
    """A level with its lateness counted from the true due times.

    No plan's lateness shrinks by more than the margin of every due, so the bound less all margins is still one.
    """
    if "late" not in level.terms or not solution.placed:
        return level
    weight = problem.objective.weights.get("late", 1)
    late = sum(due.late * max(0, solution.placed[due.task].end - due.at) for due in problem.dues)
    value = level.value + weight * (late - level.terms["late"])
    most = sum(due.late * (due.at - before.at) for due, before in zip(problem.dues, moved.dues, strict=True))
    bound = max(0, level.bound - weight * most)
    least = dict(level.least)
    if "late" in least:
        least["late"] = max(0, least["late"] - most)
    terms = {**level.terms, "late": late}
    return replace(level, terms=terms, value=value, bound=bound, proven=value == bound, least=least)
