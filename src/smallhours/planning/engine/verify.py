"""An independent check of a plan: it looks at every rule again, from the question and the placements alone.

It shares no code with the search, so that a slip in one is caught by the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from smallhours.planning.engine.problem import (
    Demand,
    Due,
    Lag,
    Mode,
    Placed,
    Problem,
    Resource,
    Solution,
    StateChange,
    StateStretch,
    Task,
)

Rule = Literal[
    "placed", "window", "mode", "length", "fixed", "started", "lag", "capacity", "state", "change", "max_early"
]


@dataclass(frozen=True)
class Violation:
    """One rule broken: by which tasks, on which resource (if any), at which tick (if any), in a sentence."""

    rule: Rule
    tasks: tuple[str, ...]
    resource: str | None
    at: int | None
    text: str


def verify(
    problem: Problem,
    plan: Solution | Mapping[str, Placed],
    stretches: Iterable[StateStretch] = (),
    changes: Iterable[StateChange] = (),
) -> list[Violation]:
    """Every rule of ``problem`` that ``plan`` breaks; empty for a good plan.

    Give either a Solution (its stretches and changes are used) or placements with their ``stretches`` and
    ``changes``. Lateness is no violation; see ``lateness``.
    """
    if isinstance(plan, Solution):
        placed: Mapping[str, Placed] = plan.placed
        stretches, changes = plan.stretches, plan.changes
    else:
        placed = plan
    found: list[Violation] = []
    whole = True
    for task in problem.tasks:
        broken = list(_task(task, placed.get(task.id), problem.horizon))
        whole = whole and not any(violation.rule in ("placed", "mode") for violation in broken)
        found.extend(broken)
    known = {task.id for task in problem.tasks}
    for name in placed:
        if name not in known:
            found.append(Violation("placed", (name,), None, None, f"'{name}' is placed but is no task."))
    if not whole:
        return found
    for lag in problem.lags:
        found.extend(_lag(lag, placed))
    for due in problem.dues:
        found.extend(_max_early(due, placed))
    kept, made = tuple(stretches), tuple(changes)
    used = _uses(problem, placed)
    for resource in problem.resources:
        uses = used.get(resource.id, [])
        found.extend(_capacity(resource, uses + list(_uses_of_changes(resource, problem, made))))
        if resource.states:
            mine = [stretch for stretch in kept if stretch.resource == resource.id]
            found.extend(_changes(resource, mine, problem.horizon))
            found.extend(_states(resource, uses, mine))
            if resource.change_demands:
                own = [change for change in made if change.resource == resource.id]
                found.extend(_attended(resource, mine, own))
    return found


def lateness(problem: Problem, placed: Mapping[str, Placed]) -> dict[str, int]:
    """Ticks late of every task with a due that ends after it."""
    late = {due.task: placed[due.task].end - due.at for due in problem.dues}
    return {task: ticks for task, ticks in late.items() if ticks > 0}


def _task(task: Task, placed: Placed | None, horizon: int) -> Iterator[Violation]:
    def broken(rule: Rule, at: int | None, text: str) -> Violation:
        return Violation(rule, (task.id,), None, at, f"'{task.id}' {text}.")

    if placed is None:
        yield broken("placed", None, "is not placed")
        return
    chosen = [mode for mode in task.modes if mode.id == placed.mode]
    if not chosen:
        yield broken("mode", placed.start, f"is placed in mode '{placed.mode}', which it does not have")
        return
    length = placed.end - placed.start
    if length < chosen[0].lo or length > chosen[0].hi:
        window = f"{chosen[0].lo} to {chosen[0].hi}"
        yield broken("length", placed.start, f"takes {length}, but mode '{placed.mode}' takes {window}")
    last = horizon if task.latest is None else min(task.latest, horizon)
    if placed.start < task.earliest or placed.start < 0:
        yield broken("window", placed.start, f"starts at {placed.start}, before {max(task.earliest, 0)}")
    if placed.end > last:
        yield broken("window", placed.end, f"ends at {placed.end}, after {last}")
    if task.fixed is not None and (placed.start, placed.end, placed.mode) != task.fixed:
        yield broken("fixed", placed.start, f"is not where it was fixed, {task.fixed}")
    if task.started is not None and (placed.start, placed.mode) != task.started:
        yield broken("started", placed.start, f"does not start as it started, {task.started}")


def _lag(lag: Lag, placed: Mapping[str, Placed]) -> Iterator[Violation]:
    first, second = placed[lag.before], placed[lag.after]
    origin = first.start if lag.before_side == "start" else first.end
    reached = second.start if lag.after_side == "start" else second.end
    if reached < origin + lag.lo or (lag.hi is not None and reached > origin + lag.hi):
        allowed = f"{lag.lo} to {'any' if lag.hi is None else lag.hi}"
        yield Violation(
            "lag",
            (lag.before, lag.after),
            None,
            reached,
            f"{lag.after_side} of '{lag.after}' is {reached - origin} after {lag.before_side} of '{lag.before}', "
            f"allowed {allowed}.",
        )


def _max_early(due: Due, placed: Mapping[str, Placed]) -> Iterator[Violation]:
    end = placed[due.task].end
    if due.max_early is not None and due.at - end > due.max_early:
        yield Violation(
            "max_early",
            (due.task,),
            None,
            end,
            f"'{due.task}' ends {due.at - end} before it is due, allowed {due.max_early}.",
        )


@dataclass(frozen=True)
class _Use:
    task: str
    demand: Demand
    ticks: range


def _uses(problem: Problem, placed: Mapping[str, Placed]) -> dict[str, list[_Use]]:
    found: dict[str, list[_Use]] = {}
    for task in problem.tasks:
        where = placed[task.id]
        mode: Mode = next(mode for mode in task.modes if mode.id == where.mode)
        for demand in mode.demands:
            if demand.amount == 0:
                continue
            ticks = range(where.start, where.end)
            many = demand.part.ticks
            if demand.part.kind == "first":
                ticks = ticks[:many]
            elif demand.part.kind == "but_first":
                ticks = ticks[many:]
            elif demand.part.kind == "last":
                ticks = ticks[max(len(ticks) - many, 0) :]
            elif demand.part.kind == "but_last":
                ticks = ticks[: max(len(ticks) - many, 0)]
            elif demand.part.kind == "and_after":
                ticks = range(where.start, where.end + many)
            elif demand.part.kind == "from_start":
                ticks = range(where.start, where.start + many)
            elif demand.part.kind == "from_end":
                out = where.end - demand.part.lead
                ticks = range(max(out, 0), max(out + many, 0))
            if len(ticks):
                found.setdefault(demand.resource, []).append(_Use(task.id, demand, ticks))
    return found


def _uses_of_changes(resource: Resource, problem: Problem, changes: Iterable[StateChange]) -> Iterator[_Use]:
    needing = {other.id: other.change_demands for other in problem.resources}
    for change in changes:
        for demand in needing.get(change.resource, ()):
            if demand.resource == resource.id and demand.amount and change.start < change.end:
                yield _Use(f"change of {change.resource}", demand, range(change.start, change.end))


def _capacity(resource: Resource, uses: list[_Use]) -> Iterator[Violation]:
    instants = {use.ticks.start for use in uses}
    for start, end, _ in resource.calendar:  # capacity changes only here
        instants |= {start, end}
    for tick in sorted(instants):
        there = resource.capacity
        for start, end, capacity in resource.calendar:
            if start <= tick < end:
                there = capacity
        here = [use for use in uses if tick in use.ticks]
        amount = sum(use.demand.amount for use in here)
        if amount > there:
            yield Violation(
                "capacity",
                tuple(dict.fromkeys(use.task for use in here)),
                resource.id,
                tick,
                f"At {tick}, {amount} of '{resource.id}' are used, but there are {there}.",
            )


def _changes(resource: Resource, stretches: list[StateStretch], horizon: int) -> Iterator[Violation]:
    def broken(at: int, text: str) -> Violation:
        return Violation("change", (), resource.id, at, f"'{resource.id}' {text}.")

    before: StateStretch | None = None
    for stretch in sorted(stretches, key=lambda stretch: (stretch.start, stretch.end)):
        if stretch.state not in resource.states:
            yield broken(stretch.start, f"stands in '{stretch.state}', which is none of its states")
            continue
        if stretch.end < stretch.start or stretch.start < 0 or stretch.end > horizon:
            yield broken(stretch.start, f"stands in '{stretch.state}' from {stretch.start} to {stretch.end}")
        if before is not None:
            ready = before.end + resource.change.get((before.state, stretch.state), 0)
        elif resource.initial_state is not None:
            ready = resource.change.get((resource.initial_state, stretch.state), 0)
        else:
            ready = resource.initial_change.get(stretch.state, 0)
        if stretch.start < ready:
            yield broken(
                stretch.start, f"stands in '{stretch.state}' from {stretch.start}, but is only ready at {ready}"
            )
        before = stretch


def _attended(resource: Resource, stretches: list[StateStretch], changes: list[StateChange]) -> Iterator[Violation]:
    """Every change between two stretches is there, whole and in its gap, and there is no other."""

    def broken(at: int, text: str) -> Violation:
        return Violation("change", (), resource.id, at, f"'{resource.id}' {text}.")

    left = list(changes)
    state, free = resource.initial_state, 0
    for stretch in sorted(stretches, key=lambda stretch: (stretch.start, stretch.end)):
        table = (
            resource.initial_change if state is None else {t: n for (s, t), n in resource.change.items() if s == state}
        )
        ticks = table.get(stretch.state, 0)
        if ticks:
            fitting = [c for c in left if (c.before, c.after, c.end - c.start) == (state, stretch.state, ticks)
                       and max(free, resource.changes_from) <= c.start and c.end <= stretch.start]  # fmt: skip
            if fitting:
                left.remove(fitting[0])
            else:
                yield broken(stretch.start, f"is not changed from '{state}' to '{stretch.state}' in between")
        state, free = stretch.state, stretch.end
    for change in left:
        yield broken(change.start, f"is changed from '{change.before}' to '{change.after}', which nothing asks for")


def _states(resource: Resource, uses: list[_Use], stretches: list[StateStretch]) -> Iterator[Violation]:
    for use in uses:
        allowed = resource.states if use.demand.states is None else use.demand.states
        start, end = use.ticks.start, use.ticks.stop
        if not any(s.start <= start and end <= s.end and s.state in allowed for s in stretches):
            yield Violation(
                "state",
                (use.task,),
                resource.id,
                start,
                f"'{use.task}' uses '{resource.id}' from {start} to {end}, which lies in no stretch "
                f"of a state it allows.",
            )
