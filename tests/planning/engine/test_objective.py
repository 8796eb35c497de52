"""Each term of the objective and the order of levels, worked by hand."""

from __future__ import annotations

import pytest

from planning.engine.cases import task
from smallhours.planning.engine.problem import (
    Demand,
    Due,
    Lag,
    Mode,
    Objective,
    Placed,
    Problem,
    Resource,
    Solution,
    Task,
)
from smallhours.planning.engine.solve import solve
from smallhours.planning.engine.verify import lateness, verify


def _best(problem: Problem, stay: dict[str, Placed] | None = None) -> Solution:
    solution = solve(problem, time_limit_s=10, stay=stay)
    assert verify(problem, solution) == []
    assert solution.status == "optimal"
    return solution


def test_lateness_is_settled_before_earliness() -> None:
    """Hand: one machine, a (4) due 10, b (6) due 10, one tick late costs 5 for a and 1 for b, and the machine opens
    at 2. Work ends at 12 at the earliest. b last: 2 late, cost 2. a last: 2 late, cost 10. So b 6-12, a by 6: a is
    2-6, 4 early at cost 1 each = 4. Weighing early 100 times does not change the first level."""
    problem = Problem(
        30,
        (task("a", 4, Demand("m")), task("b", 6, Demand("m"))),
        (Resource("m", 1, ((0, 2, 0),)),),
        (),
        (Due("a", 10, 5, 1), Due("b", 10, 1, 1)),
        Objective((("late",), ("early",)), {"early": 100}),
    )
    solution = _best(problem)
    assert [level.terms for level in solution.levels] == [{"late": 2}, {"early": 4}]
    assert [level.value for level in solution.levels] == [2, 400]
    assert all(level.proven for level in solution.levels)
    assert lateness(problem, solution.placed) == {"b": 2}


def test_freshness_is_a_limit() -> None:
    """Hand: a task of 5 with latest 12 and due 30: it would have to end 18 early. max_early 18 allows exactly
    that end, 12; max_early 17 allows nothing."""

    def problem(max_early: int) -> Problem:
        return Problem(40, (task("a", 5, latest=12),), (), (), (Due("a", 30, max_early=max_early),))

    assert _best(problem(18)).placed["a"].end == 12
    assert solve(problem(17), time_limit_s=5).status == "infeasible"


def test_preferred_lengths_give_way_to_dues() -> None:
    """Hand: a chain of two tasks, each 4 to 10, preferred 8, due at 13 from start 0: 16 wanted, 13 there, so 3
    ticks are cut in all. Without the due nothing is cut."""
    stretchy = [Task(name, (Mode("only", 4, 10, 8),)) for name in "ab"]
    lag = Lag("a", "b", 0, 0)
    due = Problem(40, tuple(stretchy), (), (lag,), (Due("b", 13),), Objective((("late",), ("deviation",))))
    solution = _best(due)
    assert [level.value for level in solution.levels] == [0, 3]
    free = Problem(40, tuple(stretchy), (), (lag,), (), Objective((("deviation",),)))
    assert _best(free).levels[0].value == 0


def test_each_mode_has_its_own_preferred_length() -> None:
    """Hand: quick mode 2 to 6, preferred 4, cost 3; slow mode 8 to 20, preferred 10. Latest 9 leaves slow 8 or
    9: deviation 1, against cost 3 of quick with no deviation: slow of 9, total 1. With latest 7 slow does not
    fit: 3."""

    def problem(latest: int) -> Problem:
        modes = (Mode("quick", 2, 6, 4, (), 3), Mode("slow", 8, 20, 10))
        return Problem(40, (Task("a", modes, 0, latest),), objective=Objective((("deviation", "mode"),)))

    assert _best(problem(9)).placed["a"] == Placed(0, 9, "slow")
    assert _best(problem(7)).levels[0].terms == {"deviation": 0, "mode": 3}


def test_span_counts_from_first_start_to_last_end() -> None:
    """Hand: a (3) must end by 5, b (4) must start at 20 or later, both on m: the least span is from the latest
    start of a, 2, to the earliest end of b, 24: 22. A mode of c on m or on n costs nothing, so c stays inside
    or away."""
    choice = Task("c", (Mode("m", 6, 6, None, (Demand("m"),)), Mode("n", 6, 6, None, (Demand("n"),))), 30)
    problem = Problem(
        60,
        (task("a", 3, Demand("m"), latest=5), task("b", 4, Demand("m"), earliest=20), choice),
        (Resource("m"), Resource("n")),
        objective=Objective((("span:m",),)),
    )
    solution = _best(problem)
    assert solution.levels[0].value == 22
    assert solution.placed["c"].mode == "n"


def test_late_starts() -> None:
    """Hand: a (5) and b (5) on one machine, horizon 20: starts at 15 and 10 leave 5 and 10 ticks: 15."""
    problem = Problem(
        20,
        (task("a", 5, Demand("m")), task("b", 5, Demand("m"))),
        (Resource("m"),),
        objective=Objective((("starts",),)),
    )
    assert _best(problem).levels[0].value == 15


def test_a_published_plan_moves_as_little_as_it_must() -> None:
    """Hand: three tasks of 5 were planned at 0, 5, 10. The machine turns out to be closed until 2: each must
    move by 2, 6 in all, if none jumps; letting the first jump to the end would move it by 15 or more. So 6."""
    problem = Problem(
        40,
        tuple(task(name, 5, Demand("m")) for name in "abc"),
        (Resource("m", 1, ((0, 2, 0),)),),
        objective=Objective((("move",),)),
    )
    stay = {name: Placed(5 * i, 5 * i + 5, "only") for i, name in enumerate("abc")}
    assert _best(problem, stay).levels[0].value == 6
    assert _best(problem).levels[0].value == 0


def test_what_happened_stays_and_what_runs_may_end_later() -> None:
    """Hand: a happened 0-7 on m. b started at 7 in mode slow (10 to 14) and now runs on m; c (5) follows it there,
    due 20: b takes its least, 10, ends at 17, c ends at 22: 2 late."""
    modes = (Mode("quick", 3, 3, None, (Demand("m"),)), Mode("slow", 10, 14, None, (Demand("m"),)))
    problem = Problem(
        60,
        (
            Task("a", (Mode("only", 5, 9, None, (Demand("m"),)),), fixed=(0, 7, "only")),
            Task("b", modes, started=(7, "slow")),
            task("c", 5, Demand("m"), earliest=8),
        ),
        (Resource("m"),),
        (),
        (Due("c", 20, 1),),
    )
    solution = _best(problem)
    assert solution.levels[0].value == 2
    assert solution.placed["a"] == Placed(0, 7, "only")
    assert (solution.placed["b"].start, solution.placed["b"].mode) == (7, "slow")


def test_too_old_counts_like_late() -> None:
    """Hand: a (5) must end by 12 and is due 30, fresh for 10: ended at 12 it is 8 ticks too old, at cost 3 each. b (5),
    with nothing in its way, is late by nothing and old by nothing."""
    problem = Problem(
        40,
        (task("a", 5, latest=12), task("b", 5)),
        dues=(Due("a", 30, 3, 1, fresh=10), Due("b", 30, 3, 1, fresh=10)),
        objective=Objective((("late", "stale"), ("early",))),
    )
    solution = _best(problem)
    assert solution.levels[0].terms == {"late": 0, "stale": 24}
    assert solution.placed["a"].end == 12
    assert solution.levels[1].terms == {"early": 18}


@pytest.mark.parametrize(("first", "then"), [(0, 3), (3, 0)])
def test_the_terms_are_those_of_the_plan_that_is_given(first: int, then: int) -> None:
    """Hand: two ticks long, none in tick 2, due at 3: it ends at 2, one early at a price of 2, or at 5, two late:
    both come to 2. It begins with one of them and is moved to the other, at which it was: that one's terms are said."""
    once = Task("a", (Mode("m", 2, 2, demands=(Demand("r"),)),))
    gap = Resource("r", 1, ((2, 3, 0),))
    objective = Objective((("late", "early"), ("move",)), {"early": 2})
    problem = Problem(5, (once,), (gap,), (), (Due("a", 3, late=1, early=1),), objective)
    places = {start: {"a": Placed(start, start + 2, "m")} for start in (0, 3)}
    solution = solve(problem, hint=places[first], stay=places[then], time_limit_s=5)
    assert solution.placed == places[then]
    assert solution.levels[0].terms == ({"late": 2, "early": 0} if then else {"late": 0, "early": 1})
    assert [level.value for level in solution.levels] == [2, 0]
