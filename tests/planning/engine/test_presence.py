"""From when to when people are needed: by hand, and against every way to cut their shifts."""

from __future__ import annotations

import itertools
import random

import numpy as np
import pytest

from planning.engine.cases import task
from smallhours.planning.engine.presence import presence
from smallhours.planning.engine.problem import Demand, Objective, Problem, Resource
from smallhours.planning.engine.solve import solve
from smallhours.planning.engine.verify import verify


def test_nobody_waits_for_the_first_work() -> None:
    """Hand: two are there 0 to 20. One is used 5 to 8 and 12 to 15, two 6 to 7: one comes 5 to 15, the other 6 to 7."""
    used = np.zeros(20, dtype=np.int64)
    used[5:8] += 1
    used[12:15] += 1
    used[6:7] += 1
    assert sorted(presence([(0, 20), (0, 20)], used)) == [(5, 15), (6, 7)]


def test_who_is_not_needed_does_not_come() -> None:
    """Hand: two shifts, 0 to 10 and 8 to 20; work from 9 to 12: the second can do it all."""
    used = np.zeros(20, dtype=np.int64)
    used[9:12] = 1
    assert presence([(0, 10), (8, 20)], used) == [(10, 10), (9, 12)]


@pytest.mark.parametrize("seed", range(20))
def test_enough_are_there_at_every_tick(seed: int) -> None:
    """Limit: what is cut away is never needed, and never less is left than the work itself."""
    draw = random.Random(seed)
    shifts = [(a, a + draw.randint(3, 9)) for a in (draw.randint(0, 10) for _ in range(3))]
    there = np.zeros(20, dtype=np.int64)
    for a, b in shifts:
        there[a:b] += 1
    used = np.array([draw.randint(0, n) if draw.random() < 0.5 else 0 for n in there.tolist()], dtype=np.int64)
    found = presence(shifts, used)
    left = np.zeros(20, dtype=np.int64)
    for (a, b), (first, last) in zip(shifts, found, strict=True):
        assert a <= first <= last <= b
        left[first:last] += 1
    assert (left >= used).all()
    assert int(used.sum()) <= sum(last - first for first, last in found)


def _least_hours(problem: Problem, shifts: list[tuple[int, int]]) -> int:
    """Every start of every task and every cut of every shift."""
    best = 10**6
    cuts = [[(a, b) for a in range(s, e + 1) for b in range(a, e + 1)] for s, e in shifts]
    for starts in itertools.product(range(12), repeat=len(problem.tasks)):
        used = np.zeros(12, dtype=np.int64)
        inside = True
        for start, each in zip(starts, problem.tasks, strict=True):
            end_by = each.latest if each.latest is not None else 12
            inside = inside and each.earliest <= start and start + each.modes[0].lo <= end_by
            used[start : start + each.modes[0].lo] += 1
        if not inside:
            continue
        for chosen in itertools.product(*cuts):
            hours = sum(b - a for a, b in chosen)
            if hours < best:
                there = np.zeros(12, dtype=np.int64)
                for a, b in chosen:
                    there[a:b] += 1
                best = hours if (there >= used).all() else best
    return best


@pytest.mark.parametrize("seed", range(6))
def test_the_fewest_hours_are_found(seed: int) -> None:
    """Limit: two tasks and two shifts, against every start and every cut there is."""
    draw = random.Random(seed)
    shifts = sorted([(draw.randint(0, 3), draw.randint(5, 8)), (draw.randint(3, 6), draw.randint(8, 12))])
    count = [sum(a <= t < b for a, b in shifts) for t in range(12)]
    calendar = tuple((t, t + 1, n) for t, n in enumerate(count))
    crew = Resource("crew", 2, calendar, shifts=tuple(shifts))
    tasks = (
        task("a", draw.randint(1, 3), Demand("crew"), latest=draw.randint(5, 8)),
        task("b", draw.randint(1, 3), Demand("crew"), earliest=draw.randint(4, 7)),
    )
    problem = Problem(12, tasks, (crew,), objective=Objective((("hours:crew",),)))
    solution = solve(problem, time_limit_s=10)
    least = _least_hours(problem, shifts)
    if least == 10**6:
        assert solution.status == "infeasible"
        return
    assert verify(problem, solution) == []
    assert (solution.status, solution.levels[0].value) == ("optimal", least)
    when = [stretch for _, stretch in solution.there["crew"]]
    assert sum(b - a for a, b in when) == least


def test_a_late_start_is_worth_something() -> None:
    """Hand: 4 ticks of work in a shift of 0 to 20, to be done by 15: from 11 to 15. From the coming to the end of the
    shift that is 9."""
    crew = Resource("crew", 1, shifts=((0, 20),))
    problem = Problem(20, (task("a", 4, Demand("crew"), latest=15),), (crew,), objective=Objective((("begins:crew",),)))
    solution = solve(problem, time_limit_s=5)
    assert solution.levels[0].value == 9
    assert solution.there["crew"] == (((0, 20), (11, 15)),)
