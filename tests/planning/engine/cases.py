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


def flexible_job_shop(name: str) -> Problem:
    """A flexible job shop of ``tests/data``: a line a job; for each step how many machines, then machine and ticks."""
    rows = [[int(word) for word in line.split()] for line in (DATA / name).read_text(encoding="ascii").splitlines()]
    tasks, lags = [], []
    for job, row in enumerate(rows[1:]):
        at = 1
        for step in range(row[0]):
            pairs = [(row[at + 1 + 2 * n], row[at + 2 + 2 * n]) for n in range(row[at])]
            at += 1 + 2 * row[at]
            modes = tuple(Mode(f"m{m}", ticks, ticks, None, (Demand(f"m{m}"),)) for m, ticks in pairs)
            tasks.append(Task(f"{job}.{step}", modes))
            if step:
                lags.append(Lag(f"{job}.{step - 1}", f"{job}.{step}"))
    horizon = sum(max(mode.hi for mode in each.modes) for each in tasks)
    resources = tuple(Resource(f"m{m}") for m in range(rows[0][1]))
    return Problem(horizon, tuple(tasks), resources, tuple(lags), (), MAKESPAN)


def project(name: str) -> Problem:
    """A project of ``tests/data`` in PSPLIB's .sm form: start-to-end order and renewable resources."""
    lines = (DATA / name).read_text(encoding="ascii").splitlines()

    def block(title: str, skip: int) -> list[list[int]]:
        start = next(i for i, line in enumerate(lines) if line.startswith(title)) + skip
        rows = []
        for line in lines[start:]:
            if line.startswith("*"):
                break
            rows.append([int(word) for word in line.split()])
        return rows

    lags = [Lag(str(row[0]), str(after)) for row in block("PRECEDENCE RELATIONS", 2) for after in row[3 : 3 + row[2]]]
    capacities = block("RESOURCEAVAILABILITIES", 2)[0]
    tasks = []
    for job, _, ticks, *amounts in block("REQUESTS/DURATIONS", 3):
        demands = [Demand(f"R{i}", amount) for i, amount in enumerate(amounts) if amount]
        tasks.append(task(str(job), ticks, *demands))
    resources = tuple(Resource(f"R{i}", capacity) for i, capacity in enumerate(capacities))
    return Problem(158, tuple(tasks), resources, tuple(lags), (), MAKESPAN)


def project_with_max_lags(text: str) -> Problem:
    """A project in the ProGen/max .sch form: start-to-start lags of either sign, renewable resources."""
    rows = [line.replace("[", " ").replace("]", " ").split() for line in text.splitlines() if line.strip()]
    count = int(rows[0][0]) + 2
    lags = []
    for row in rows[1 : 1 + count]:
        successors = int(row[2])
        afters, gaps = row[3 : 3 + successors], row[3 + successors : 3 + 2 * successors]
        for after, gap in zip(afters, gaps, strict=True):
            lags.append(Lag(row[0], after, int(gap), None, "start", "start"))
    tasks = []
    for row in rows[1 + count : 1 + 2 * count]:
        demands = [Demand(f"R{i}", int(amount)) for i, amount in enumerate(row[3:]) if int(amount)]
        tasks.append(task(row[0], int(row[2]), *demands))
    resources = tuple(Resource(f"R{i}", int(capacity)) for i, capacity in enumerate(rows[1 + 2 * count]))
    horizon = sum(t.modes[0].hi for t in tasks) + sum(max(lag.lo, 0) for lag in lags)
    return Problem(horizon, tuple(tasks), resources, tuple(lags), (), MAKESPAN)
