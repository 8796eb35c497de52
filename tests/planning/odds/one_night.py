"""One night gone through instant by instant in plain Python: what the odds do with arrays, by their written policy.

It shares nothing with them but the plan document. Every instant is a function that asks for what it waits for.
"""

from __future__ import annotations

import datetime as dt
import functools
from collections.abc import Callable, Mapping

from smallhours.planning.plan import Plan, PlanTask

Stretch = tuple[float, float, int]
BREAKS_OFF = ("mix", "bake")


def first_fit(taken: list[Stretch], spare: int, wanted: float, until: Callable[[float], float]) -> float:
    """The first of all instants worth trying at which no more than ``spare`` is taken until the work is over."""
    for start in sorted({wanted, *(end for _, end, _ in taken if end > wanted)}):
        end = until(start)
        checks = {start, *(a for a, _, _ in taken if start < a < end)}
        if all(sum(n for a, b, n in taken if a <= t < b) <= spare for t in checks if t < end):
            return start
    raise AssertionError("after everything is over there is room")


class OneNight:
    """Start, ready, and gone of every task, in seconds from the horizon.

    ``needed``: task id -> its length over the length wanted; ``slow``: the same for hands; ``wanted``: no dough is
    taken early.
    """

    def __init__(self, plan: Plan, needed: Mapping[str, float], slow: Mapping[str, float], wanted: bool) -> None:
        self.plan, self.needed, self.slow, self.wanted = plan, needed, slow, wanted
        self.tasks = {task.id: task for task in plan.tasks}
        self.start = functools.cache(self._start)
        self.ready = functools.cache(self._ready)
        self.gone = functools.cache(self._gone)
        self.work = functools.cache(self._work)
        self.capacity = {resource.id: resource.capacity for resource in plan.resources}

    def s(self, instant: dt.datetime) -> float:
        """Seconds from the horizon."""
        return (instant - self.plan.horizon_start).total_seconds()

    def people(self, who: str) -> list[tuple[float, float, str, str]]:
        """(from, until, task or pause, which end) of a person's stretches as planned, in order."""
        mine = [(self.s(h.start), self.s(h.end), t.id, self.end_of(t, self.s(h.start)))
                for t in self.plan.tasks for h in t.hands if h.person == who]  # fmt: skip
        rests = [
            (self.s(b.start), self.s(b.end), "pause", "all") for p in self.plan.people if p.id == who for b in p.breaks
        ]
        return sorted(mine + rests, key=lambda m: (m[0], m[1] - m[0]))

    def end_of(self, task: PlanTask, start: float) -> str:
        if task.attention == "throughout":
            return "all"
        return "first" if start == self.s(task.start) else "last"

    def length(self, task: PlanTask) -> float:
        """How long the task takes once begun."""
        planned = self.s(task.end) - self.s(task.start)
        meant = min(planned, max(task.window.preferred_s, task.window.min_s))
        least = min(task.window.min_s, meant) if task.attention == "none" and not self.wanted else meant
        slow = self.slow.get(task.id, 1.0)
        if task.attention == "throughout":
            return least * slow
        last = sum(
            (h.end - h.start).total_seconds() for h in task.hands if self.end_of(task, self.s(h.start)) == "last"
        )
        return least * self.needed.get(task.id, 1.0) + (slow - 1.0) * last

    def _start(self, name: str) -> float:
        task = self.tasks[name]
        at = max([self.s(task.start), *(self.ready(x.before) + x.min_s for x in self.plan.links if x.after == name)])
        brief = task.attention == "throughout" or task.kind in BREAKS_OFF
        for use in task.uses:
            if not brief:
                at = self.place(task, use.resource, use.amount, at, lambda t: float("inf"))
        while True:
            before = at
            for use in task.uses:
                if brief:
                    at = self.place(task, use.resource, use.amount, at,
                                    lambda t: max(t + self.length(task), self.s(task.end)))  # fmt: skip
            for hands in task.hands:
                if self.end_of(task, self.s(hands.start)) != "last":
                    long = (hands.end - hands.start).total_seconds() * self.slow.get(name, 1.0)
                    long = self.length(task) if task.attention == "throughout" else long
                    at = self.free(hands.person, self.s(hands.start), at, long)
            if at == before:
                return at

    def place(
        self, task: PlanTask, resource: str, amount: int, at: float, until: Callable[[float], float]
    ) -> float:  # fmt: skip
        """When there is room for it: those planned to be there stay, those planned to be gone may still be there."""
        mine = {x.before for x in self.plan.links if x.after == task.id}
        spare, taken = self.capacity[resource] - amount, []
        for other in self.plan.tasks:
            for use in other.uses:
                if other is task or use.resource != resource or use.start > task.start:
                    continue
                if use.end > task.start:
                    spare -= use.amount
                elif other.id not in mine:
                    taken.append((self.start(other.id), self.gone(other.id), use.amount))
        return first_fit(taken if until(0.0) < float("inf") else [(0.0, b, n) for _, b, n in taken], spare, at, until)

    def free(self, who: str, planned: float, wanted: float, long: float) -> float:
        """When that person has time in one go, before or after what is planned earlier."""
        taken = []
        for start, end, name, which in self.people(who):
            if (start, end) >= (planned, planned) and start >= planned:
                break
            a, b = self.work((who, start, end, name, which))
            taken.append((a, b, 1))
        return first_fit(taken, 0, wanted, lambda t: t + long)

    def _work(self, piece: tuple[str, float, float, str, str]) -> tuple[float, float]:
        who, start, end, name, which = piece
        if name == "pause":
            at = self.free(who, start, start, end - start)
            return at, at + end - start
        long = (end - start) * self.slow.get(name, 1.0)
        if which == "last":
            return self.ready(name) - long, self.ready(name)
        long = self.length(self.tasks[name]) if which == "all" else long
        return self.start(name), self.start(name) + long

    def _ready(self, name: str) -> float:
        task = self.tasks[name]
        at = max(self.s(task.end), self.start(name) + self.length(task))
        for hands in task.hands:
            if self.end_of(task, self.s(hands.start)) == "last" and task.kind not in BREAKS_OFF:
                long = (hands.end - hands.start).total_seconds() * self.slow.get(name, 1.0)
                at = max(at, self.free(hands.person, self.s(hands.start), at - long, long) + long)
        return at

    def _gone(self, name: str) -> float:
        if self.tasks[name].attention == "throughout" or self.tasks[name].kind in BREAKS_OFF:
            return self.ready(name)
        held = [self.start(x.after) - x.max_s for x in self.plan.links if x.before == name and x.max_s is not None]
        return max([self.ready(name), *held])
