"""How quick and how good the planning engine is: ``python bench/engine.py``.

Two tables. Known: public instances with their published least makespan, the time to find it and the time to prove
it, and, if the general scheduling library pyjobshop is installed, that library's value and time on the same ones.
Made up: questions of a working size (``engine_cases.py``): when the first plan was there, how late it was, and lateness
and the rest after 2, 5, 10 and 30 seconds, with the bound.
"""

from __future__ import annotations

import argparse
import importlib.util
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests"), str(ROOT / "bench")]

from engine_cases import shop  # noqa: E402
from planning.engine.cases import flexible_job_shop, job_shop, project  # type: ignore[import-not-found, unused-ignore]  # noqa: E402
from smallhours.planning.engine.problem import Problem, Solution  # noqa: E402
from smallhours.planning.engine.solve import solve  # noqa: E402
from smallhours.planning.engine.verify import verify  # noqa: E402

MARKS = (2.0, 5.0, 10.0, 30.0)


@dataclass(frozen=True)
class Known:
    """A public instance and its published least makespan."""

    name: str
    problem: Problem
    optimum: int


def known_instances() -> list[Known]:
    """The instances in the tests' data."""
    shops = [Known(name, *job_shop(name)) for name in ("ft06", "la01", "la02", "la03", "la04", "la05", "ft20", "ft10")]
    shops.append(Known("mk01", flexible_job_shop("mk01.fjs"), 40))
    return [*shops, Known("j301_1", project("j301_1.sm"), 43)]


def bench_known(seconds: float, workers: int) -> None:
    """Print one line for each known instance."""
    peer = importlib.util.find_spec("pyjobshop") is not None
    if not peer:
        print("pyjobshop is not installed: no comparison with it.")
    print(f"{'instance':10}{'known':>7}{'value':>7}{'bound':>7}{'found s':>9}{'ended s':>9}{'peer':>7}{'peer s':>8}")
    for known in known_instances():
        ended: list[float] = []
        solution = solve(
            known.problem,
            time_limit_s=seconds,
            workers=workers,
            on_progress=lambda progress, ended=ended: ended.append(progress.seconds),  # type: ignore[misc]
        )
        _must_hold(known.problem, solution)
        level = solution.levels[0]
        found = next(at for at, _, value in solution.trace if value == level.value)
        row = f"{known.name:10}{known.optimum:7}{level.value:7}{level.bound:7}{found:9.2f}{max(ended):9.2f}"
        if peer:
            row += "{:7}{:8.2f}".format(*peer_makespan(known.problem, seconds, workers))
        print(row, flush=True)


def peer_makespan(problem: Problem, seconds: float, workers: int) -> tuple[int, float]:
    """The value and time of pyjobshop on a question with tasks of set lengths and lags without an upper limit."""
    import pyjobshop  # type: ignore[import-not-found, unused-ignore]

    model: Any = pyjobshop.Model()
    resources = {resource.id: model.add_renewable(resource.capacity) for resource in problem.resources}
    tasks = {task.id: model.add_task() for task in problem.tasks}
    for task in problem.tasks:
        for mode in task.modes:
            needed = [resources[demand.resource] for demand in mode.demands]
            model.add_mode(tasks[task.id], needed, mode.lo, [demand.amount for demand in mode.demands])
    for lag in problem.lags:
        model.add_end_before_start(tasks[lag.before], tasks[lag.after], lag.lo)
    result = model.solve(time_limit=seconds, display=False, num_workers=workers)
    return round(result.objective), result.runtime


def bench_shop(jobs: int, seed: int, tightness: float, seconds: float, workers: int) -> None:
    """Print how a made-up question of so many jobs is answered."""
    problem = shop(jobs, seed, tightness=tightness)
    solution = solve(problem, time_limit_s=seconds, workers=workers)
    _must_hold(problem, solution)
    if not solution.trace:
        print(f"{jobs:5}{len(problem.tasks):7}  {solution.status}")
        return
    first = solution.trace[0]
    row = f"{jobs:5}{len(problem.tasks):7}{first[0]:9.2f}{first[2]:9}"
    for mark in MARKS:
        row += f"{_at(solution, 0, mark):>9}{_at(solution, 1, mark):>8}" if mark <= seconds else ""
    print(f"{row}{solution.levels[0].bound:9}{solution.levels[1].bound:8}", flush=True)


def _at(solution: Solution, level: int, seconds: float) -> str:
    values = [value for at, number, value in solution.trace if at <= seconds and number == level]
    return str(min(values)) if values else "-"


def _must_hold(problem: Problem, solution: Solution) -> None:
    broken = verify(problem, solution) if solution.placed else []
    if broken:
        raise SystemExit(f"the plan breaks a rule: {broken[0].text}")


def main() -> None:
    """Read the options and print the tables."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--jobs", type=int, nargs="*", default=[8, 14, 25], help="sizes of the made-up questions")
    options.add_argument("--seeds", type=int, nargs="*", default=[1, 2], help="their random seeds")
    options.add_argument("--tightness", type=float, default=1.0, help="above 1: fewer machines and people")
    options.add_argument("--seconds", type=float, default=10.0, help="time limit of each run")
    options.add_argument("--workers", type=int, default=2, help="threads of the solver")
    options.add_argument("--no-known", action="store_true", help="leave out the public instances")
    given = options.parse_args()
    if not given.no_known:
        bench_known(given.seconds, given.workers)
    heads = "".join(f"{f'late@{mark:g}':>9}{f'rest@{mark:g}':>8}" for mark in MARKS if mark <= given.seconds)
    print(f"{'jobs':>5}{'tasks':>7}{'first s':>9}{'late':>9}{heads}{'bounds':>9}")
    for jobs in given.jobs:
        for seed in given.seeds:
            bench_shop(jobs, seed, given.tightness, given.seconds, given.workers)


if __name__ == "__main__":
    main()
