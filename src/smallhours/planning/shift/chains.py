"""How far back the work of a night reaches: the chains of stages before each due time, without a thought of capacity.

A plan begins at noon of the day before; or earlier, where a chain (a levain that is fed twice, a night in the fridge
after a day's rest) or the hours of the people ask for it.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator, Mapping, Sequence

from smallhours.bakery.kitchen.clock import instant
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.planning.engine.lags import Arc, Instant, length_range
from smallhours.planning.engine.problem import Problem, Task
from smallhours.planning.shift import people as staff
from smallhours.planning.shift.clock import Clock

SPARE_S = 2 * 3600.0
"""With less time than this from the start of a plan to the latest start of a chain, the plan begins a day earlier."""
MOST_DAYS = 21
NOON = dt.time(12)


def latest_starts(problem: Problem, due: Mapping[str, int], wanted: bool = False) -> dict[str, int]:
    """The latest tick at which each task may begin so that all that follows is ready when it is due; it may be below 0.

    ``due``: last task of a lot -> its due tick; tasks that nothing due hangs on are left out. Every stage takes its
    shortest way, or (``wanted``) its first way for as long as it is wanted; what is waited for may be waited for long.
    Source: longest paths in the graph of lengths and least waits, by repeated relaxation (Bellman-Ford).
    """
    limits = list(_limits(problem, wanted))
    latest: dict[Instant, int] = {(name, "end"): at for name, at in due.items()}
    for _ in range(2 * len(problem.tasks) + 1):
        if not _tightened(limits, latest):
            break
    return {name: at for (name, side), at in latest.items() if side == "start"}


def _tightened(limits: Sequence[Arc], latest: dict[Instant, int]) -> bool:
    """Whether some instant has to come earlier than was known."""
    changed = False
    for arc in reversed(limits):
        if arc.head in latest:
            at = latest[arc.head] - arc.gap
            if arc.tail not in latest or at < latest[arc.tail]:
                latest[arc.tail] = at
                changed = True
    return changed


def _limits(problem: Problem, wanted: bool) -> Iterator[Arc]:
    """The least from the start of each task to its end, and from one to the next."""
    for task in problem.tasks:
        yield Arc((task.id, "start"), (task.id, "end"), _wanted(task) if wanted else length_range(task)[0], "")
    for lag in problem.lags:
        yield Arc((lag.before, lag.before_side), (lag.after, lag.after_side), lag.lo, "")


def _wanted(task: Task) -> int:
    mode = task.modes[0]
    return mode.lo if mode.preferred is None else mode.preferred


def earlier_start(problem: Problem, clock: Clock, kitchen: Kitchen, night: dt.date) -> dt.datetime | None:
    """A start of the plan that its longest chain needs; None if the clock's own start (noon the day before) is enough.

    Some noon, at which the chains as they are wanted have not begun, and between which and the latest start of the
    longest chain somebody works.
    """
    due = {each.task: each.at for each in problem.dues}
    first = min(latest_starts(problem, due).values(), default=clock.ticks)
    if first * clock.tick_s >= SPARE_S and _somebody(staff.presences(kitchen, clock), first):
        return None
    begin = min(first, min(latest_starts(problem, due, wanted=True).values()))
    for days in range(2, MOST_DAYS + 1):
        noon = instant(night - dt.timedelta(days=days), NOON, kitchen.zone())
        ticks = clock.tick(noon)
        if ticks <= begin and _somebody(
            staff.presences(kitchen, Clock(noon, first - ticks, clock.tick_s)), first - ticks
        ):
            return noon
    return None


def _somebody(present: Iterable[staff.Presence], before: int) -> bool:
    return any(start < before for presence in present for start, _ in presence.stretches)
