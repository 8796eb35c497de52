"""The engine as planning a night asks it: quickly at first, for the plan itself, patiently, and for moving a plan."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

from smallhours.planning.engine.problem import Placed, Problem, Solution
from smallhours.planning.engine.progress import Progress
from smallhours.planning.shift.ahead import ahead
from smallhours.planning.shift.rounds import (
    LEAST_MOVE_S,
    LONGEST_SCOUT_S,
    MAIN_SHARE,
    MOVE_SHARE,
    NEAR_S,
    SCOUT_SHARE,
    near,
    steady,
)

PATIENCE_S = 30.0  # of searching for any plan at all, where none was found in the time given
MOVE_POLISH_S = 1.0  # after a moved plan is as little late as it can be
_JUST_COUNT_S = 0.01  # for what a plan comes to as it is: more would move it again

Solver = Callable[[Problem], Solution]


@dataclass(frozen=True)
class Solvers:
    """What answers a question. ``scout``: soon; ``main``: as well as the time allows; ``patient``: the same with more
    time for finding anything at all; ``moved``: as near to a plan as it can be."""

    scout: Solver
    main: Solver
    patient: Solver
    moved: Callable[[Problem, Mapping[str, Placed]], Solution]


def solvers_for(
    time_limit_s: float,
    polish_s: float | None,
    margin: int,
    tick_s: int,
    on_progress: Callable[[Progress], None] | None,
    **settings: Any,
) -> Solvers:
    """The engine with these limits; everything is wanted ``margin`` ticks before it is due."""
    from smallhours.planning.engine.solve import solve  # takes a moment to load

    scout_s = min(LONGEST_SCOUT_S, SCOUT_SHARE * time_limit_s)
    near_ticks = round(NEAR_S / tick_s)
    main_s = MAIN_SHARE * time_limit_s
    moving_s = max(LEAST_MOVE_S, MOVE_SHARE * time_limit_s)
    searching = partial(solve, polish_s=polish_s, on_progress=on_progress, **settings)

    def moved(problem: Problem, placed: Mapping[str, Placed]) -> Solution:
        def moving(question: Problem) -> Solution:
            return solve(question, stay=placed, time_limit_s=moving_s, polish_s=MOVE_POLISH_S, **settings)

        def stayed(question: Problem) -> Solution:
            found = moving(near(question, placed, near_ticks))
            if not found.placed and not found.stopped:
                found = moving(steady(question))
            if not found.placed or found.stopped:
                return found
            return solve(question, hint=found.placed, time_limit_s=_JUST_COUNT_S, **settings)

        return ahead(stayed, margin)(problem)

    return Solvers(
        ahead(partial(solve, time_limit_s=scout_s, polish_s=0.0, **settings), margin),
        ahead(partial(searching, time_limit_s=main_s), margin),
        ahead(partial(searching, time_limit_s=main_s + PATIENCE_S), margin),
        moved,
    )
