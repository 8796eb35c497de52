"""Questions the engine tests share: readers of public instances and builders of small cases."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from smallhours.planning.engine.problem import Demand, Lag, Mode, Objective, Problem, Resource, Task

DATA = Path(__file__).parents[2] / "data"


def job_shop(name: str, *, no_wait: bool = False) -> tuple[Problem, int]:
    """A job shop of ``tests/data/job_shop.json`` and its published least makespan (with waiting allowed)."""
    given: Mapping[str, Any] = json.loads((DATA / "job_shop.json").read_text(encoding="utf-8"))["instances"][name]
    durations, machines = given["durations"], given["machines"]
    tasks, lags = [], []
    for j, (row, route) in enumerate(zip(durations, machines, strict=True)):
        for k, (ticks, machine) in enumerate(zip(row, route, strict=True)):
            tasks.append(task(f"{j}.{k}", ticks, Demand(f"m{machine}")))
            if k:
                lags.append(Lag(f"{j}.{k - 1}", f"{j}.{k}", 0, 0 if no_wait else None))
    resources = tuple(Resource(f"m{m}") for m in range(len(machines[0])))
    horizon = sum(map(sum, durations))
    return Problem(horizon, tuple(tasks), resources, tuple(lags), (), MAKESPAN), given["optimum"]


MAKESPAN = Objective((("makespan",),))


def task(name: str, ticks: int, *demands: Demand, earliest: int = 0, latest: int | None = None) -> Task:
    """A task of one length in one mode."""
    return Task(name, (Mode("only", ticks, ticks, None, demands),), earliest, latest)
