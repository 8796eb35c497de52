"""Why a task is late, and why nothing fits, on cases worked by hand."""

from __future__ import annotations

from dataclasses import replace

from planning.engine.cases import task
from smallhours.planning.engine.clash import Limit, clash, limits, loosened
from smallhours.planning.engine.explain import Load, Reason, lateness_reasons, loads
from smallhours.planning.engine.problem import (
    Demand,
    Due,
    Lag,
    Objective,
    Part,
    Placed,
    Problem,
    Resource,
    Solution,
    Task,
)
from smallhours.planning.engine.solve import solve

LATE_ONLY = Objective((("late",),))


def _solved(problem: Problem) -> Solution:
    solution = solve(problem, time_limit_s=5)
    assert solution.status == "optimal"
    return solution


def test_waiting_for_a_busy_machine() -> None:
    """Hand: a and b (10 each) share a machine; both are due at 10, a tick late costs 9 for a and 1 for b. So b comes
    second, at 10-20, 10 late, because a uses the machine from 0 to 10."""
    problem = Problem(
        50,
        (task("a", 10, Demand("m")), task("b", 10, Demand("m"))),
        (Resource("m"),),
        (),
        (Due("a", 10, 9), Due("b", 10, 1)),
        LATE_ONLY,
    )
    assert lateness_reasons(problem, _solved(problem)) == [
        Reason("b", 10, "capacity", "b", "m", 0, 10, ("a",)),
    ]


def test_the_wait_lies_far_back_in_the_chain() -> None:
    """Hand: x (5) on m, then y (10), then z (5) at once after one another; z is due at 25. m is taken by w until 12 (w
    is fixed there), so x is 12-17, y 17-27, z 27-32: 7 late. What waits is x, on m, blocked by w."""
    fixed = replace(task("w", 12, Demand("m")), fixed=(0, 12, "only"))
    problem = Problem(
        60,
        (fixed, task("x", 5, Demand("m")), task("y", 10), task("z", 5, Demand("other"))),
        (Resource("m"), Resource("other")),
        (Lag("x", "y", 0, 0), Lag("y", "z", 0, 0)),
        (Due("z", 25),),
        LATE_ONLY,
    )
    assert lateness_reasons(problem, _solved(problem)) == [
        Reason("z", 7, "capacity", "x", "m", 0, 12, ("w",)),
    ]


def test_waiting_for_opening_hours() -> None:
    """Hand: nobody is there until 30; a task of 5 is due at 20: it ends at 35, 15 late, and waits for the calendar."""
    problem = Problem(
        60,
        (task("a", 5, Demand("crew")),),
        (Resource("crew", 2, ((0, 30, 0),)),),
        (),
        (Due("a", 20),),
        LATE_ONLY,
    )
    assert lateness_reasons(problem, _solved(problem)) == [Reason("a", 15, "calendar", "a", "crew", 0, 30, ())]


def test_waiting_for_a_change_of_state() -> None:
    """Hand: low is in use until 10 (fixed), the change to high takes 6, a high task of 5 ends at 21, due 15: 6 late.
    Standing cold at the start with 8 ticks to high it would end at 13, due 10: 3 late."""
    change = {("low", "high"): 6, ("high", "low"): 9}
    kiln = Resource("kiln", 2, (), ("low", "high"), change)
    low = replace(task("a", 10, Demand("kiln", 1, Part(), frozenset({"low"}))), fixed=(0, 10, "only"))
    high = task("b", 5, Demand("kiln", 1, Part(), frozenset({"high"})))
    problem = Problem(60, (low, high), (kiln,), (), (Due("b", 15),), LATE_ONLY)
    assert lateness_reasons(problem, _solved(problem)) == [Reason("b", 6, "state", "b", "kiln", 10, 16, ("a",))]
    cold = replace(kiln, initial_change={"high": 8})
    alone = Problem(60, (high,), (cold,), (), (Due("b", 10),), LATE_ONLY)
    assert lateness_reasons(alone, _solved(alone)) == [Reason("b", 3, "state", "b", "kiln", 0, 8, ())]


def test_too_short_a_time_from_the_earliest_start() -> None:
    """Hand: a may start at 10, takes 8, then b takes 4 at once, due 20: 2 late, with no resource to blame."""
    problem = Problem(
        60,
        (task("a", 8, earliest=10), task("b", 4)),
        (),
        (Lag("a", "b", 0, 0),),
        (Due("b", 20),),
        LATE_ONLY,
    )
    assert lateness_reasons(problem, _solved(problem)) == [Reason("b", 2, "window", "a", None, 10, 10, ())]


def test_a_part_demand_blocks_only_where_it_is() -> None:
    """Hand: a (fixed 0-10) needs the hands in its last 4 ticks, 6-10. b (10) needs them in its first 3 and is due at
    10. Starting at 0 would do: hands 0-3. But b may not start before 4, and 4-7 meets 6-10: so it starts at 10 and is
    10 late, blocked by a from 6 to 10."""
    a = replace(task("a", 10, Demand("hands", 1, Part("last", 4))), fixed=(0, 10, "only"))
    b = task("b", 10, Demand("hands", 1, Part("first", 3)), earliest=4)
    problem = Problem(60, (a, b), (Resource("hands"),), (), (Due("b", 10),), LATE_ONLY)
    assert lateness_reasons(problem, _solved(problem)) == [Reason("b", 10, "capacity", "b", "hands", 6, 10, ("a",))]


def test_a_plan_with_slack_is_not_blamed_on_a_resource() -> None:
    """Hand: a task of 5 due at 10 was put at 20-25 although nothing holds it: the reason is room for a better plan."""
    problem = Problem(60, (task("a", 5),), (), (), (Due("a", 10),), LATE_ONLY)
    solution = Solution("feasible", {"a": Placed(20, 25, "only")})
    assert lateness_reasons(problem, solution) == [Reason("a", 15, "room", "a", None, 0, 0, ())]


def test_nothing_late_nothing_to_explain() -> None:
    """Limit: no late task, or no plan at all, gives no reasons."""
    problem = Problem(60, (task("a", 5),), (), (), (Due("a", 10),), LATE_ONLY)
    assert lateness_reasons(problem, _solved(problem)) == []
    assert lateness_reasons(problem, Solution("infeasible")) == []


def test_load_by_window() -> None:
    """Hand: capacity 2, but 1 from 15 to 25. a uses 2 during 0-10, b uses 1 during its first 5 ticks of 12-22. In
    windows of 10 over 30 ticks: used 20, 5, 0; available 20, 5 x 2 + 5 x 1 = 15, 5 x 1 + 5 x 2 = 15."""
    problem = Problem(
        30,
        (task("a", 10, Demand("r", 2)), task("b", 10, Demand("r", 1, Part("first", 5)))),
        (Resource("r", 2, ((15, 25, 1),)),),
    )
    placed = {"a": Placed(0, 10, "only"), "b": Placed(12, 22, "only")}
    assert loads(problem, placed, 10) == [
        Load("r", 0, 10, 20, 20),
        Load("r", 10, 20, 5, 15),
        Load("r", 20, 30, 0, 15),
    ]


def _ids(found: tuple[Limit, ...]) -> set[tuple[str, tuple[str, ...]]]:
    return {(limit.kind, limit.ids) for limit in found}


def test_a_clash_names_what_contradicts() -> None:
    """Hand: a and b (10 each) share machine m and both must end by 15: 20 ticks of work in 15. c and machine n have
    nothing to do with it. Any one of the three limits (m, end of a, end of b) given up lets the rest fit."""
    problem = Problem(
        60,
        (
            task("a", 10, Demand("m"), latest=15),
            task("b", 10, Demand("m"), latest=15),
            task("c", 10, Demand("n"), latest=40),
        ),
        (Resource("m"), Resource("n")),
    )
    found = clash(problem)
    assert found is not None
    assert _ids(found.limits) == {("capacity", ("m",)), ("latest", ("a",)), ("latest", ("b",))}
    assert found.minimal


def test_a_clash_of_freshness_and_a_maximum_lag() -> None:
    """Hand: a must end by 12 and b at most 5 after it, taking 4: b ends by 21. But b is due at 40 and may be at most 10
    early: 30 or later. The three limits clash; the machine, ample, does not."""
    problem = Problem(
        60,
        (task("a", 10, Demand("m"), latest=12), task("b", 4, Demand("m"))),
        (Resource("m", 3),),
        (Lag("a", "b", 0, 5),),
        (Due("b", 40, max_early=10),),
    )
    found = clash(problem)
    assert found is not None
    assert _ids(found.limits) == {("latest", ("a",)), ("lag", ("a", "b")), ("max_early", ("b",))}
    assert "at most 5 after" in " ".join(limit.text for limit in found.limits)


def test_a_clash_of_states() -> None:
    """Hand: a low and a high task of 10 each on a machine with room for both, both to end by 22: the change takes 6, so
    26 are needed. Without the states they run side by side."""
    change = {("low", "high"): 6, ("high", "low"): 6}
    tasks = tuple(task(state, 10, Demand("k", 1, Part(), frozenset({state})), latest=22) for state in ("low", "high"))
    problem = Problem(60, tasks, (Resource("k", 2, (), ("low", "high"), change),))
    found = clash(problem)
    assert found is not None
    assert _ids(found.limits) == {("states", ("k",)), ("latest", ("low",)), ("latest", ("high",))}


def test_a_clash_with_the_horizon_and_the_past() -> None:
    """Hand: a is fixed until 20; b (15) shares its machine, and the horizon is 30: machine and horizon clash."""
    past = Task("a", task("a", 20, Demand("m")).modes, fixed=(0, 20, "only"))
    problem = Problem(30, (past, task("b", 15, Demand("m"))), (Resource("m"),))
    found = clash(problem)
    assert found is not None
    assert _ids(found.limits) == {("capacity", ("m",)), ("horizon", ())}


def test_no_clash_where_a_plan_exists() -> None:
    """Limit: a question that has an answer has no clash; with all limits kept the loosened question is the same but
    for its objective."""
    problem = Problem(60, (task("a", 10, Demand("m"), latest=15),), (Resource("m"),), (), (Due("a", 5),))
    assert clash(problem) is None
    assert replace(loosened(problem, limits(problem)), objective=problem.objective) == problem
