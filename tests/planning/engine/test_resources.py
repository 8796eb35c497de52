"""Capacities that vary, demands on part of a task, and setup states, each worked by hand."""

from __future__ import annotations

from planning.engine.cases import MAKESPAN, task
from smallhours.planning.engine.problem import (
    Demand,
    Lag,
    Mode,
    Objective,
    Part,
    Problem,
    Resource,
    Solution,
    StateStretch,
    Task,
)
from smallhours.planning.engine.solve import solve
from smallhours.planning.engine.verify import verify

HEAT = {("low", "high"): 6, ("high", "low"): 9}


def _best(problem: Problem) -> Solution:
    solution = solve(problem, time_limit_s=10)
    assert verify(problem, solution) == []
    assert solution.status == "optimal"
    return solution


def test_work_goes_round_a_closed_stretch() -> None:
    """Hand: capacity 1, closed from 5 to 10. Tasks of 4 and 3: the 4 fits before 5, the 3 does not fit after it
    (4 + 3 = 7 > 5), so it starts at 10 and ends at 13. The other way round (3 first, 4 at 10) ends at 14."""
    shut = Resource("r", 1, ((5, 10, 0),))
    problem = Problem(30, (task("a", 4, Demand("r")), task("b", 3, Demand("r"))), (shut,), (), (), MAKESPAN)
    solution = _best(problem)
    assert solution.levels[0].value == 13
    assert solution.placed["b"].start == 10


def test_capacity_that_rises_and_falls() -> None:
    """Hand: capacity 1, but 3 from 6 to 9. Three tasks of 3 that each need 1 fit side by side at 6-9, or one
    after another at 0-9: both end at 9. With demand 2 each they only fit while there are 3, one at a time: the
    window of 3 ticks holds one of them, so three of them do not fit at all."""
    resource = Resource("r", 1, ((6, 9, 3),))

    def problem(amount: int, count: int) -> Problem:
        tasks = tuple(task(f"t{i}", 3, Demand("r", amount)) for i in range(count))
        return Problem(30, tasks, (resource,), (), (), MAKESPAN)

    assert _best(problem(1, 3)).levels[0].value == 6 + 3
    assert _best(problem(2, 1)).placed["t0"].start == 6
    assert solve(problem(2, 3), time_limit_s=5).status == "infeasible"


def test_hands_are_needed_only_at_start_and_end() -> None:
    """Hand: two tasks of 10, each needs the one pair of hands for its first 2 and last 3 ticks. Second starts
    at d: its first part [d, d+2) and last part [d+7, d+10) must miss [0, 2) and [7, 10). d = 2 fails (last part
    9-12 meets 7-10), d = 3 gives 3-5 and 10-13: free. So makespan 13. With hands throughout it would be 20."""
    ends = (Demand("hands", 1, Part("first", 2)), Demand("hands", 1, Part("last", 3)))
    tasks = (task("a", 10, *ends), task("b", 10, *ends))
    problem = Problem(40, tasks, (Resource("hands"),), (), (), MAKESPAN)
    assert _best(problem).levels[0].value == 13
    whole = Problem(
        40,
        (task("a", 10, Demand("hands")), task("b", 10, Demand("hands"))),
        (Resource("hands"),),
        (),
        (),
        MAKESPAN,
    )
    assert _best(whole).levels[0].value == 20


def test_all_but_an_end() -> None:
    """Hand: three tasks of 10 that hold a place except in their last 4 ticks: each blocks it for 6, so they
    start at 0, 6, 12 and the last ends at 22. Except in their first 4 ticks: places held 4-10, 10-16, 16-22,
    again 22. A part longer than the task leaves nothing, so all three run at once: 10."""

    def problem(part: Part) -> Problem:
        tasks = tuple(task(f"t{i}", 10, Demand("place", 1, part)) for i in range(3))
        return Problem(60, tasks, (Resource("place"),), (), (), MAKESPAN)

    assert _best(problem(Part("but_last", 4))).levels[0].value == 22
    assert _best(problem(Part("but_first", 4))).levels[0].value == 22
    assert _best(problem(Part("but_last", 12))).levels[0].value == 10


def test_a_part_longer_than_an_elastic_task() -> None:
    """Hand: a task may take 2 to 8; the hands are needed in its first 5 ticks, or all of it if it is shorter.
    The task must end together with a fixed 8-tick task, and the hands are away until 4. So it starts at 4 or
    later, takes at most 4, and with preferred length 8 is as long as it can be: 4 to 8, a deviation of 4."""
    stretchy = Task("s", (Mode("only", 2, 8, 8, (Demand("hands", 1, Part("first", 5)),)),))
    problem = Problem(
        20,
        (stretchy, task("f", 8, latest=8)),
        (Resource("hands", 1, ((0, 4, 0),)),),
        (Lag("f", "s", 0, 0, "end", "end"),),
        (),
        Objective((("deviation",),)),
    )
    solution = _best(problem)
    assert (solution.placed["s"].start, solution.placed["s"].end) == (4, 8)
    assert solution.levels[0].value == 4


def test_a_demand_that_shrinks_to_nothing() -> None:
    """Hand: a task of 3 to 9, preferred 9, holds a place except in its last 3 ticks; the place is never free
    before the horizon 12 except for ticks 0-2. Held length is length - 3 <= 2, so the length is at most 5
    (deviation 4), starting at 0. If the place is never free at all, the task takes 3 and needs nothing:
    deviation 6."""

    def problem(free: int) -> Problem:
        stretchy = Task("s", (Mode("only", 3, 9, 9, (Demand("place", 1, Part("but_last", 3)),)),))
        closed = Resource("place", 1, ((free, 12, 0),))
        return Problem(12, (stretchy,), (closed,), (), (), Objective((("deviation",),)))

    assert _best(problem(2)).levels[0].value == 4
    assert _best(problem(0)).levels[0].value == 6


def _states_problem(objective: Objective, *tasks: Task, **how: object) -> Problem:
    resource = Resource("kiln", 2, (), ("low", "high"), HEAT, **how)  # type: ignore[arg-type]
    return Problem(80, tasks, (resource,), (), (), objective)


def _firing(name: str, ticks: int, *states: str, latest: int | None = None) -> Task:
    return task(name, ticks, Demand("kiln", 1, Part(), frozenset(states)), latest=latest)


def test_one_state_at_a_time() -> None:
    """Hand: capacity 2, low then high takes 6, high then low 9. Two low tasks of 10 run together 0-10, then the
    change to 16, then a high task of 5 until 21. High first: 5, change to 14, low until 24. So 21, with two
    stretches."""
    problem = _states_problem(MAKESPAN, _firing("a", 10, "low"), _firing("b", 10, "low"), _firing("c", 5, "high"))
    solution = _best(problem)
    assert solution.levels[0].value == 21
    assert solution.stretches == (StateStretch("kiln", "low", 0, 10), StateStretch("kiln", "high", 16, 21))


def test_a_task_that_takes_either_state_joins_another() -> None:
    """Hand: a (10) needs low, c (5) needs high, b (10) takes either. b beside a: 10 + 6 + 5 = 21. b beside c
    after the change would end at 26. So 21."""
    problem = _states_problem(
        MAKESPAN, _firing("a", 10, "low"), _firing("b", 10, "low", "high"), _firing("c", 5, "high")
    )
    assert _best(problem).levels[0].value == 21


def test_overlapping_demands_share_one_common_state() -> None:
    """Hand: x takes low or mid, y takes mid or high, z takes low or high: each two have a common state, all
    three have none. With room for three and equal lengths of 10, two run together and the third after a change
    of 4: 10 + 4 + 10 = 24. Pairs alone would allow 10."""
    states = ("low", "mid", "high")
    change = {(s, t): 4 for s in states for t in states if s != t}
    tasks = (_firing("x", 10, "low", "mid"), _firing("y", 10, "mid", "high"), _firing("z", 10, "low", "high"))
    problem = Problem(80, tasks, (Resource("kiln", 3, (), states, change),), (), (), MAKESPAN)
    assert _best(problem).levels[0].value == 24


def test_the_state_it_stands_in_at_the_start() -> None:
    """Hand: a low task of 10. Standing in high: change 9, so it ends at 19. Standing in low: 10. Standing in
    none, with 12 ticks to reach low: 22."""
    task_low = _firing("a", 10, "low")
    assert _best(_states_problem(MAKESPAN, task_low, initial_state="high")).levels[0].value == 19
    assert _best(_states_problem(MAKESPAN, task_low, initial_state="low")).levels[0].value == 10
    assert _best(_states_problem(MAKESPAN, task_low, initial_change={"low": 12})).levels[0].value == 22


def test_held_time_counts_the_stretches() -> None:
    """Hand: two low tasks of 10 must end by 10 and start at 40 or later: one stretch 0-50 holds 50, two
    stretches of 10 hold 20 (from a state to itself takes no time). A high task of 10 can join neither: held 30
    in all. If all may go together (three of low, capacity 2, windows open): two side by side and one more,
    20."""
    held = Objective((("held:kiln",),))
    late = task("b", 10, Demand("kiln", 1, Part(), frozenset({"low"})), earliest=40)
    apart = _states_problem(held, _firing("a", 10, "low", latest=10), late)
    solution = _best(apart)
    assert solution.levels[0].value == 20
    assert len(solution.stretches) == 2
    with_high = _states_problem(held, _firing("a", 10, "low", latest=10), late, _firing("c", 10, "high"))
    assert _best(with_high).levels[0].value == 30
    together = _states_problem(held, *(_firing(f"t{i}", 10, "low") for i in range(3)))
    assert _best(together).levels[0].value == 20


def test_the_same_demand_twice_counts_twice() -> None:
    """Hand: a task that lists a demand of 1 twice uses 2. With capacity 2 it fits alone, next to nothing else: two such
    tasks of 10 take 20. With a demand of 2 listed twice it needs 4 and never fits."""
    firing = Demand("kiln", 1, Part(), frozenset({"low"}))
    two = _states_problem(MAKESPAN, task("a", 10, firing, firing), task("b", 10, firing, firing))
    assert _best(two).levels[0].value == 20
    double = Demand("kiln", 2, Part(), frozenset({"low"}))
    assert solve(_states_problem(MAKESPAN, task("a", 10, double, double)), time_limit_s=5).status == "infeasible"


def test_alternatives_on_several_machines() -> None:
    """Hand: a slow machine takes 7 and a fast one 4 (cost 3 each time). Three tasks: on the fast one alone 12,
    on both fast 8 with slow 7: makespan 8. Then least cost at makespan 8: two on the fast one = 6."""
    tasks = tuple(
        Task(
            f"t{i}",
            (
                Mode("slow", 7, 7, None, (Demand("slow"),)),
                Mode("fast", 4, 4, None, (Demand("fast"),), 3),
            ),
        )
        for i in range(3)
    )
    objective = Objective((("makespan",), ("mode",)))
    problem = Problem(40, tasks, (Resource("slow"), Resource("fast")), (), (), objective)
    solution = _best(problem)
    assert [level.value for level in solution.levels] == [8, 6]
    assert sorted(where.mode for where in solution.placed.values()) == ["fast", "fast", "slow"]
