"""Demands that go on after their task: what was used rests before it is used again."""

from __future__ import annotations

import pytest

from planning.engine.cases import MAKESPAN, task
from smallhours.planning.engine.problem import (
    Demand,
    Mode,
    Objective,
    Part,
    Placed,
    Problem,
    Resource,
    StateStretch,
    Task,
)
from smallhours.planning.engine.solve import solve
from smallhours.planning.engine.verify import verify

REST = Part("and_after", 2)


def question(count: int, capacity: int = 1, resource: Resource | None = None, horizon: int = 100) -> Problem:
    """So many tasks of 3 ticks that need one of a resource, and 2 ticks after."""
    states = frozenset(("hot",)) if resource is not None else None
    tasks = tuple(task(f"t{n}", 3, Demand("r", 1, REST, states)) for n in range(count))
    return Problem(horizon, tasks, (resource or Resource("r", capacity),), (), (), MAKESPAN)


def test_one_after_the_other_with_a_rest_between() -> None:
    """Hand: 3 + 2 + 3 + 2 + 3 = 13 ticks for three on one place; 3 + 2 + 3 = 8 on two places."""
    for places, least in ((1, 13), (2, 8)):
        found = solve(question(3, places), time_limit_s=5, workers=1, deterministic=True)
        assert found.status == "optimal"
        assert found.levels[0].value == least
        assert verify(question(3, places), found) == []


def test_many_are_constructed_with_their_rest() -> None:
    """Hand: 80 on ten places are 8 in a row on each: 8 x 3 + 7 x 2 = 38 ticks; found without the solver, too."""
    asked = question(80, 10, horizon=60)
    found = solve(asked, time_limit_s=5, workers=1, deterministic=True)
    assert verify(asked, found) == []
    assert found.levels[0].value == 38


def test_the_rest_lies_in_the_same_state() -> None:
    """Hand: the oven is hot for 3 + 2 ticks for one load, for 3 + 2 + 3 + 2 for two."""
    oven = Resource("r", 1, states=("hot",))
    asked = question(2, resource=oven)
    held = Problem(asked.horizon, asked.tasks, asked.resources, objective=Objective((("makespan",), ("held:r",))))
    found = solve(held, time_limit_s=5, workers=1, deterministic=True)
    assert [level.value for level in found.levels] == [8, 10]


@pytest.mark.parametrize(("second", "wrong"), [(3, True), (4, True), (5, False)])
def test_a_rest_cut_short_is_found(second: int, wrong: bool) -> None:
    """Hand: after 0 to 3 the place is free again at 5; a state left before 10 does not cover the rest either."""
    placed = {"t0": Placed(0, 3, "only"), "t1": Placed(second, second + 3, "only")}
    assert bool(verify(question(2), placed)) is wrong
    hot = Resource("r", 2, states=("hot",))
    stretch = StateStretch("r", "hot", 0, 9)
    assert [v.rule for v in verify(question(2, resource=hot), placed, [stretch])] == (["state"] if second == 5 else [])


def test_a_rest_does_not_reach_beyond_the_night() -> None:
    """Limit: where the place is there until 5, the one task of 3 + 2 ticks begins at 0; until 4 it does not fit."""
    mode = Mode("only", 3, 3, demands=(Demand("r", 1, REST),))
    closes = Resource("r", 1, calendar=((5, 50, 0),))
    found = solve(Problem(50, (Task("t", (mode,)),), (closes,), objective=MAKESPAN), time_limit_s=5)
    assert found.placed["t"].start == 0
    shut = Resource("r", 1, calendar=((4, 50, 0),))
    assert solve(Problem(50, (Task("t", (mode,)),), (shut,), objective=MAKESPAN), time_limit_s=5).status == "infeasible"
