"""The lag graph: how far apart instants of tasks must lie, which lags contradict, which tasks hang together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from smallhours.planning.engine.problem import Lag, Problem, Side, Task

Instant = tuple[str, Side]


@dataclass(frozen=True)
class Arc:
    """``head`` comes at least ``gap`` ticks after ``tail`` (a negative gap is an upper limit the other way)."""

    tail: Instant
    head: Instant
    gap: int
    why: str


def length_range(task: Task) -> tuple[int, int]:
    """The shortest and longest a task can be over its modes."""
    return min(mode.lo for mode in task.modes), max(mode.hi for mode in task.modes)


def arcs(tasks: Iterable[Task], lags: Iterable[Lag]) -> list[Arc]:
    """Every lower and upper limit between two instants, from lengths and lags."""
    found = []
    for task in tasks:
        lo, hi = length_range(task)
        start, end = (task.id, "start"), (task.id, "end")
        found.append(Arc(start, end, lo, f"'{task.id}' takes at least {lo}"))  # type: ignore[arg-type]
        found.append(Arc(end, start, -hi, f"'{task.id}' takes at most {hi}"))  # type: ignore[arg-type]
    for lag in lags:
        before, after = (lag.before, lag.before_side), (lag.after, lag.after_side)
        says = f"{lag.after_side} of '{lag.after}'"
        base = f"{lag.before_side} of '{lag.before}'"
        found.append(Arc(before, after, lag.lo, f"{says} is at least {lag.lo} after {base}"))
        if lag.hi is not None:
            found.append(Arc(after, before, -lag.hi, f"{says} is at most {lag.hi} after {base}"))
    return found


def positive_cycle(given: Sequence[Arc]) -> list[Arc] | None:
    """A ring of arcs whose gaps add up to more than zero (so that none can hold), or None.

    Longest paths by repeated relaxation (Bellman-Ford): a value still growing after as many rounds as there are
    instants has come round a ring.
    """
    reach: dict[Instant, int] = {}
    came_by: dict[Instant, Arc] = {}
    for arc in given:
        reach.setdefault(arc.tail, 0)
        reach.setdefault(arc.head, 0)
    grown: Instant | None = None
    for _ in range(len(reach) + 1):
        grown = None
        for arc in given:
            if reach[arc.tail] + arc.gap > reach[arc.head]:
                reach[arc.head] = reach[arc.tail] + arc.gap
                came_by[arc.head] = arc
                grown = arc.head
        if grown is None:
            return None
    assert grown is not None
    for _ in range(len(reach)):
        grown = came_by[grown].tail
    ring = [came_by[grown]]
    while ring[-1].tail != grown:
        ring.append(came_by[ring[-1].tail])
    return ring[::-1]


def components(problem: Problem) -> list[tuple[str, ...]]:
    """Groups of tasks tied to one another by lags, directly or through others, in the order of the tasks."""
    parent = {task.id: task.id for task in problem.tasks}

    def root(name: str) -> str:
        while parent[name] != name:
            parent[name] = parent[parent[name]]
            name = parent[name]
        return name

    for lag in problem.lags:
        parent[root(lag.after)] = root(lag.before)
    groups: dict[str, list[str]] = {}
    for task in problem.tasks:
        groups.setdefault(root(task.id), []).append(task.id)
    return [tuple(names) for names in groups.values()]


def windows(problem: Problem) -> dict[Instant, tuple[int, int]] | None:
    """The earliest and latest tick of every instant, from windows, lengths and lags alone (capacity ignored).

    None when some instant has no tick left.
    """
    earliest: dict[Instant, int] = {}
    latest: dict[Instant, int] = {}
    for task in problem.tasks:
        end_by = problem.horizon if task.latest is None else min(task.latest, problem.horizon)
        start: Instant = (task.id, "start")
        end: Instant = (task.id, "end")
        earliest[start], latest[start] = task.earliest, end_by
        earliest[end], latest[end] = task.earliest, end_by
        if task.fixed is not None:
            earliest[start] = latest[start] = task.fixed[0]
            earliest[end] = latest[end] = task.fixed[1]
        if task.started is not None:
            earliest[start] = latest[start] = task.started[0]
    for due in problem.dues:
        if due.max_early is not None:
            earliest[(due.task, "end")] = max(earliest[(due.task, "end")], due.at - due.max_early)
    limits = arcs(problem.tasks, problem.lags)
    changed = True
    while changed:
        changed = False
        for arc in limits:
            if earliest[arc.tail] + arc.gap > earliest[arc.head]:
                earliest[arc.head] = earliest[arc.tail] + arc.gap
                if earliest[arc.head] > latest[arc.head]:
                    return None
                changed = True
            if latest[arc.head] - arc.gap < latest[arc.tail]:
                latest[arc.tail] = latest[arc.head] - arc.gap
                if earliest[arc.tail] > latest[arc.tail]:
                    return None
                changed = True
    if any(earliest[instant] > latest[instant] for instant in earliest):
        return None
    return {instant: (earliest[instant], latest[instant]) for instant in earliest}
