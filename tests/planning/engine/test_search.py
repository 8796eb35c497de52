"""How a search behaves: hints, repeatability, progress, stopping, and what an import pulls in."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time
from dataclasses import replace
from itertools import pairwise

import pytest

from planning.engine.cases import MAKESPAN, job_shop, task
from smallhours.planning.engine.build import build
from smallhours.planning.engine.campaigns import standing_for
from smallhours.planning.engine.construct import construct, waves
from smallhours.planning.engine.problem import (
    Demand,
    Due,
    Lag,
    Mode,
    Objective,
    Part,
    Placed,
    Problem,
    Resource,
    Task,
)
from smallhours.planning.engine.progress import Progress, Stopper
from smallhours.planning.engine.search import Budget, Settings, run
from smallhours.planning.engine.solve import solve
from smallhours.planning.engine.verify import lateness, verify


def workshop(jobs: int = 12) -> Problem:
    """Jobs of six tied tasks, some elastic, with hands, a kiln with states and two waves of dues."""
    tasks, lags, dues = [], [], []
    for j in range(jobs):
        hands = (Demand("hands", 1, Part("first", 3)), Demand("hands", 1, Part("last", 2)))
        state = frozenset({("low", "mid", "high")[j % 3], "mid"})
        kilns = tuple(Mode(kiln, 20, 22, 20, (Demand(kiln, 2, Part(), state), *hands)) for kiln in ("kiln1", "kiln2"))
        shelf = Mode("shelf", 60, 90, 75, (Demand("shelf", 2),))
        store = Mode("store", 120, 300, 200, (Demand("store", 2),), 5)
        steps = [
            Task(f"{j}.make", (Mode("only", 15, 15, None, (Demand("mill"), *hands)),)),
            Task(f"{j}.rest", (Mode("only", 30, 60, 40),)),
            Task(f"{j}.form", (Mode("only", 10, 14, None, (Demand("hands"),)),)),
            Task(f"{j}.wait", (shelf, store)),
            Task(f"{j}.fire", kilns),
            Task(f"{j}.pack", (Mode("only", 5, 5, None, (Demand("hands"),)),)),
        ]
        tasks += steps
        lags += [Lag(a.id, b.id, 0, 0) for a, b in pairwise(steps[:-1])]
        lags.append(Lag(steps[-2].id, steps[-1].id, 20, 60))
        dues.append(Due(steps[-1].id, 360 if j % 2 else 540, 10, 1, 200))
    change = {(s, t): 15 for s in ("low", "mid", "high") for t in ("low", "mid", "high") if s != t}
    kiln = Resource("kiln1", 6, (), ("low", "mid", "high"), change, None, {"high": 30})
    resources = (
        kiln,
        replace(kiln, id="kiln2"),
        Resource("hands", 3, ((0, 30, 0), (200, 230, 1))),
        Resource("mill"),
        Resource("shelf", 10),
        Resource("store", 20),
    )
    objective = Objective((("late",), ("early", "deviation", "mode", "held:kiln1", "held:kiln2")))
    return Problem(700, tuple(tasks), resources, tuple(lags), tuple(dues), objective)


@pytest.fixture(scope="module")
def first_plan() -> tuple[Problem, dict[str, Placed]]:
    problem = workshop()
    placed = construct(problem, Budget(20), Settings(), Stopper())
    assert placed is not None
    return problem, placed


def test_construction_places_everything(first_plan: tuple[Problem, dict[str, Placed]]) -> None:
    """Behaviour: the plan made by inserting groups keeps every rule, and took more than one group."""
    problem, placed = first_plan
    standing = standing_for(problem, placed)
    assert standing is not None
    stretches = standing.stretches
    assert verify(problem, placed, stretches) == []
    assert len(waves(problem)) > 1
    assert sorted(name for group in waves(problem) for name in group) == sorted(placed)


def test_a_whole_hint_is_the_first_plan_found(first_plan: tuple[Problem, dict[str, Placed]]) -> None:
    """Behaviour: every variable gets a value from a plan, and the solver takes it: its first plan has exactly the
    value of the hint, on each level, whether it seeks bounds or only improves."""
    problem, placed = first_plan
    standing = standing_for(problem, placed)
    assert standing is not None
    stretches = standing.stretches
    compared = 0
    for improve_only in (False, True):
        for number in (0, 1):
            built = build(problem, least={"kiln1": len(stretches) + 1, "kiln2": len(stretches) + 1})
            assert built is not None
            model, levels = built
            values = model.values_of(placed, stretches)
            assert values is not None
            assert model.placed(values) == placed
            expected = levels[number].value(values)
            if expected == levels[number].least(model):
                continue
            model.cp.minimize(levels[number].expr)
            seen: list[int | None] = []
            compared += 1
            run(
                model,
                Budget(3),
                1.0,
                Settings(improve_only=improve_only, patience=0.2),
                hint=values,
                on_better=lambda value, bound, seen=seen: seen.append(value),  # type: ignore[misc]
            )
            assert seen[0] == expected
    assert compared >= 2


def test_a_hint_is_never_made_worse(first_plan: tuple[Problem, dict[str, Placed]]) -> None:
    """Behaviour: with a sound plan given and no time to search, the answer is that plan or a better one."""
    problem, placed = first_plan
    solution = solve(problem, time_limit_s=0.05, hint=placed)
    assert solution.status in ("feasible", "optimal")
    late = sum(10 * ticks for ticks in lateness(problem, placed).values())
    assert solution.levels[0].value <= late
    assert verify(problem, solution) == []


def test_a_broken_hint_is_not_believed(first_plan: tuple[Problem, dict[str, Placed]]) -> None:
    """Behaviour: a hint that breaks rules, names an unknown mode or misses tasks still leads to a sound plan."""
    problem, placed = first_plan
    name = problem.tasks[0].id
    torn = {**placed, name: Placed(690, 705, "only")}
    unknown = {**placed, name: Placed(100, 115, "nowhere")}
    part = dict(list(placed.items())[:10])
    for hint in (torn, unknown, part):
        assert verify(problem, solve(problem, time_limit_s=1.5, hint=hint)) == []


def test_values_of_levels_are_those_of_the_plan(first_plan: tuple[Problem, dict[str, Placed]]) -> None:
    """Hand: lateness, earliness, deviation and held time are added up again from the placements and stretches."""
    problem, placed = first_plan
    solution = solve(problem, time_limit_s=2, hint=placed)
    where = solution.placed
    late = sum(due.late * max(where[due.task].end - due.at, 0) for due in problem.dues)
    early = sum(due.early * max(due.at - where[due.task].end, 0) for due in problem.dues)
    deviation = mode_cost = 0
    for each in problem.tasks:
        mode = next(mode for mode in each.modes if mode.id == where[each.id].mode)
        wanted = mode.lo if mode.preferred is None else mode.preferred
        deviation += abs(where[each.id].end - where[each.id].start - wanted)
        mode_cost += mode.cost
    held = {kiln: sum(s.end - s.start for s in solution.stretches if s.resource == kiln) for kiln in ("kiln1", "kiln2")}
    assert solution.levels[0].terms == {"late": late}
    assert solution.levels[1].terms == {
        "early": early,
        "deviation": deviation,
        "mode": mode_cost,
        "held:kiln1": held["kiln1"],
        "held:kiln2": held["kiln2"],
    }
    assert solution.levels[1].bound <= solution.levels[1].value


def test_the_same_question_gives_the_same_answer() -> None:
    """Behaviour: with ``deterministic`` two runs agree in every placement, on a small question that is solved at once
    and on one large enough for construction and improvement."""
    small, _ = job_shop("la03")
    for problem, limit in ((small, 0.5), (workshop(11), 1)):
        first = solve(problem, time_limit_s=limit, deterministic=True, seed=7)
        second = solve(problem, time_limit_s=limit, deterministic=True, seed=7)
        assert verify(problem, first) == []
        assert first.placed == second.placed
        assert first.levels == second.levels


def test_another_thread_can_stop_it() -> None:
    """Behaviour: a search with a minute to go ends within a second of being stopped, with a sound plan."""
    problem, optimum = job_shop("ft10")
    stop = Stopper()
    first_seen = threading.Event()
    timer = threading.Thread(target=lambda: (first_seen.wait(20), stop.stop()))
    timer.start()
    began = time.monotonic()
    solution = solve(problem, time_limit_s=60, stop=stop, on_progress=lambda progress: first_seen.set())
    timer.join()
    assert time.monotonic() - began < 20
    assert solution.stopped
    assert solution.status == "feasible"
    assert verify(problem, solution) == []
    assert solution.levels[0].bound <= optimum <= solution.levels[0].value


def test_stopped_before_it_began() -> None:
    """Behaviour: a stopper that was already stopped gives an unknown answer at once."""
    stop = Stopper()
    stop.stop()
    solution = solve(job_shop("ft06")[0], time_limit_s=60, stop=stop)
    assert (solution.status, solution.stopped, solution.placed) == ("unknown", True, {})


def test_a_keyboard_interrupt_keeps_the_best_plan() -> None:
    """Behaviour: an interrupt signal to a process that is searching leaves it with a plan, marked as stopped."""
    script = (
        "import _thread, sys, threading\n"
        "sys.path.insert(0, 'tests')\n"
        "from planning.engine.cases import job_shop\n"
        "from smallhours.planning.engine.solve import solve\n"
        "seen = []\n"
        "def progress(p):\n"
        "    if p.value is not None and not seen:\n"
        "        seen.append(p)\n"
        "        threading.Timer(0.2, _thread.interrupt_main).start()\n"
        "s = solve(job_shop('ft10')[0], time_limit_s=60, on_progress=progress)\n"
        "print(s.status, s.stopped, len(s.placed))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, timeout=50, env=_environment(), check=False
    )
    assert done.stdout.split() == ["feasible", "True", "100"], done.stderr


def test_progress_is_told_in_order() -> None:
    """Behaviour: reported values of a level only fall and bounds only rise, and the last value is the answer's."""
    problem, optimum = job_shop("la02")
    told: list[Progress] = []
    solution = solve(problem, time_limit_s=20, on_progress=told.append)
    values = [progress.value for progress in told if progress.value is not None]
    bounds = [progress.bound for progress in told]
    assert values == sorted(values, reverse=True)
    assert bounds == sorted(bounds)
    assert values[-1] == solution.levels[0].value == optimum
    assert [value for _, _, value in solution.trace] == values


def test_a_level_at_its_least_takes_no_search() -> None:
    """Behaviour: lateness 0 is proven as soon as it is found, and the search goes on to the next level."""
    problem = Problem(50, (task("a", 5, Demand("m")),), (Resource("m"),), (), (Due("a", 20),))
    solution = solve(problem, time_limit_s=10)
    assert solution.status == "optimal"
    assert [(level.value, level.bound) for level in solution.levels] == [(0, 0), (0, 0)]


def test_polishing_ends_when_it_was_told_to() -> None:
    """Behaviour: once lateness is proven to be nothing, the second level gets the seconds of ``polish_s``, not the
    whole limit: the same question with a long limit and next to no polish ends long before the limit."""
    began = time.monotonic()
    answer = solve(workshop(), time_limit_s=300, polish_s=0.5)
    assert answer.levels[0].value == 0
    assert answer.levels[0].proven
    assert answer.status == "feasible"
    assert time.monotonic() - began < 150


def test_nothing_to_do_and_nothing_to_judge() -> None:
    """Limit: no tasks at all, or no objective at all, are answered."""
    assert solve(Problem(10, ()), time_limit_s=5).status == "optimal"
    unjudged = solve(Problem(10, (task("a", 3),), objective=Objective(())), time_limit_s=5)
    assert (unjudged.status, unjudged.levels) == ("optimal", ())
    assert solve(Problem(10, (), objective=MAKESPAN), time_limit_s=5).levels[0].value == 0


def test_many_changes_of_state_are_still_found() -> None:
    """Hand: twelve tasks of 5, alternately low and high, tied in order: twelve stretches with eleven changes of 2 are
    needed, more than are guessed at first: 12 x 5 + 11 x 2 = 82."""
    tasks = tuple(
        task(f"t{i:02}", 5, Demand("r", 1, Part(), frozenset({"low" if i % 2 else "high"}))) for i in range(12)
    )
    lags = tuple(Lag(a.id, b.id) for a, b in pairwise(tasks))
    change = {("low", "high"): 2, ("high", "low"): 2}
    problem = Problem(200, tasks, (Resource("r", 2, (), ("low", "high"), change),), lags, (), MAKESPAN)
    solution = solve(problem, time_limit_s=10)
    assert verify(problem, solution) == []
    assert solution.levels[0].value == 82
    assert len(solution.stretches) == 12


def test_importing_the_question_does_not_load_the_solver() -> None:
    """Behaviour: the data classes, the checker and the explanation come without OR-Tools."""
    script = (
        "import sys\n"
        "import smallhours.planning.engine.problem, smallhours.planning.engine.validate\n"
        "import smallhours.planning.engine.verify, smallhours.planning.engine.explain\n"
        "print('ortools' in sys.modules)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, timeout=60, env=_environment(), check=True
    )
    assert done.stdout.strip() == "False"


def _environment() -> dict[str, str]:
    return {**os.environ, "PYTHONPATH": "src"}
