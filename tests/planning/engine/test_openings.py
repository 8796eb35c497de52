"""Demands that reach beyond their task: so many ticks from its start, or from some ticks before its end."""

from __future__ import annotations

import random

import pytest

from smallhours.errors import ProblemError
from smallhours.planning.engine.parts import covered
from smallhours.planning.engine.problem import Demand, Mode, Objective, Part, Placed, Problem, Resource, Task
from smallhours.planning.engine.solve import solve
from smallhours.planning.engine.verify import verify

HOUR = 60


def shelf(name: str, length: int, lead: int = 0, most: int | None = None) -> Task:
    """Something that goes in and comes out (``lead`` before its end), each counted for an hour."""
    opened = (Demand("door", 1, Part("from_start", HOUR)), Demand("door", 1, Part("from_end", HOUR, lead=lead)))
    return Task(name, (Mode("in", length, length if most is None else most, length, opened),))


def planned(tasks: list[Task], capacity: int, horizon: int = 1000) -> dict[str, Placed]:
    """The plan that is over first; empty if there is none."""
    problem = Problem(horizon, tuple(tasks), (Resource("door", capacity),), objective=Objective((("makespan",),)))
    found = solve(problem, time_limit_s=5.0, workers=1, deterministic=True)
    if found.placed:
        assert verify(problem, found.placed, found.stretches, found.changes) == []
        assert found.status == "optimal"
    return found.placed


def busiest(tasks: list[Task], placed: dict[str, Placed], lead: int = 0) -> int:
    """The most openings in any hour, counted from instants alone."""
    at = sorted(t for task in tasks for t in (placed[task.id].start, placed[task.id].end - lead))
    return max(sum(first <= t < first + HOUR for t in at) for first in at)


def test_what_a_demand_beyond_its_task_covers() -> None:
    """Hand: a task from 10 to 30; 50 ticks from its start end at 60, from 5 before its end at 75."""
    assert covered(Part("from_start", 50), 10, 30) == (10, 60)
    assert covered(Part("from_end", 50, lead=5), 10, 30) == (25, 75)


def test_one_opening_an_hour() -> None:
    """Hand: two tasks of 90 with one opening an hour: in at 0, out at 90; the second could go in at 0 + 60 only if it
    came out at 150, an hour after the first came out at 90. In at 0, 60, out at 90 is half an hour after 60: too soon.

    So 0, 90, 150, 240: the second goes in an hour after the first came out.
    """
    placed = planned([shelf("a", 90), shelf("b", 90)], 1)
    assert sorted((at.start, at.end) for at in placed.values()) == [(0, 90), (150, 240)]


def test_two_openings_an_hour() -> None:
    """Hand: two tasks of 20 with two openings an hour: each is in and out within one, so they are an hour apart."""
    placed = planned([shelf("a", 20), shelf("b", 20)], 2)
    assert sorted((at.start, at.end) for at in placed.values()) == [(0, 20), (60, 80)]


def test_too_short_for_its_own_openings() -> None:
    """Hand: in and out within 20 ticks is twice in an hour; where it may stay longer it stays an hour."""
    assert planned([shelf("a", 20)], 1) == {}
    assert planned([shelf("a", 20, most=100)], 1)["a"] == Placed(0, 60, "in")


def test_what_is_taken_out_before_its_end() -> None:
    """Hand: out 15 before its end at 45: with one opening an hour that is too soon, at 75 it is not."""
    assert planned([shelf("a", 60, lead=15)], 1) == {}
    assert planned([shelf("a", 75, lead=15)], 1)["a"] == Placed(0, 75, "in")


@pytest.mark.parametrize("seed", range(12))
def test_no_hour_has_more_openings_than_wanted(seed: int) -> None:
    """Hand: counted in every hour from the instants alone; one opening less is not kept by the same plan."""
    dice = random.Random(seed)
    lead = dice.choice([0, 10])
    tasks = [shelf(f"t{n}", dice.choice([20, 45, 90, 200]), lead, most=400) for n in range(dice.randint(2, 5))]
    capacity = dice.randint(2, 3)
    placed = planned(tasks, capacity, 2000)
    assert busiest(tasks, placed, lead) <= capacity
    problem = Problem(2000, tuple(tasks), (Resource("door", busiest(tasks, placed, lead) - 1),))
    assert {fault.rule for fault in verify(problem, placed, ())} == {"capacity"}


def test_larger_questions_keep_the_limit_from_their_first_plan_on() -> None:
    """Behaviour: 70 tasks, which are placed before the solver has its turn, two openings an hour."""
    tasks = [shelf(f"t{n}", 100, most=200) for n in range(70)]
    problem = Problem(6000, tuple(tasks), (Resource("door", 2),), objective=Objective((("makespan",),)))
    found = solve(problem, time_limit_s=4.0, workers=1, deterministic=True)
    assert verify(problem, found.placed, found.stretches, found.changes) == []
    assert busiest(tasks, found.placed) <= 2


def test_a_lead_below_zero_is_refused() -> None:
    """Bad input: a demand that begins after the end of its task by a negative lead."""
    task = Task("a", (Mode("in", 10, 10, 10, (Demand("door", 1, Part("from_end", 5, lead=-3)),)),))
    with pytest.raises(ProblemError, match="leads its end by -3"):
        solve(Problem(100, (task,), (Resource("door"),)), time_limit_s=1.0)
