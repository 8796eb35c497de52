"""Why a task is late: the walk back from it through what holds it up, to the resource it waits on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from smallhours.planning.engine.lags import Instant, arcs
from smallhours.planning.engine.parts import covered
from smallhours.planning.engine.problem import Demand, Placed, Problem, Resource, Solution, StateChange, Task

WaitKind = Literal["capacity", "calendar", "state", "window", "room"]


@dataclass(frozen=True)
class Reason:
    """One thing a late task waits for.

    ``late_by``: ticks late. ``waiting``: the task on the way to it that could not come earlier, which waits for
    ``resource`` between ``start`` and ``end`` (None and 0, 0 where no resource holds it). ``kind``: ``capacity``
    (``blocked_by`` are the tasks using it then), ``calendar`` (it has too little capacity then, used or not),
    ``state`` (it has to change from the state that ``blocked_by`` needed; where that change waits for something else, a
    reason of its own says for what), ``window`` (the earliest start of
    ``waiting``: the time from there to the due is too short), ``room`` (nothing holds it: a better plan was not
    found in the time given).
    """

    task: str
    late_by: int
    kind: WaitKind
    waiting: str
    resource: str | None
    start: int
    end: int
    blocked_by: tuple[str, ...]


@dataclass(frozen=True)
class Load:
    """How much of a resource is used between ``start`` and ``end``: ``used`` of ``available`` (amount x ticks)."""

    resource: str
    start: int
    end: int
    used: int
    available: int


@dataclass(frozen=True)
class _Use:
    task: str
    demand: Demand
    start: int
    end: int


def lateness_reasons(problem: Problem, solution: Solution) -> list[Reason]:
    """For every late task, what it waits for, the latest wait first; late tasks in order of their due.

    From the late task the walk goes back over every limit that is tight (a lag, a length at its shortest) to
    instants that could not come a tick earlier, and at each asks which resource would be overrun, or would stand
    in a wrong state, if the task there began a tick earlier.
    """
    if not solution.placed:
        return []
    scene = _Scene(problem, solution)
    found: list[Reason] = []
    for due in sorted(problem.dues, key=lambda due: (due.at, due.task)):
        late_by = solution.placed[due.task].end - due.at
        if late_by > 0:
            found.extend(_reasons(scene, due.task, late_by))
    return found


def loads(problem: Problem, placed: Mapping[str, Placed], window: int) -> list[Load]:
    """How full each resource is in every ``window`` ticks of the horizon."""
    found = []
    for resource in problem.resources:
        uses = [use for use in _all_uses(problem, placed) if use.demand.resource == resource.id]
        for start in range(0, problem.horizon, window):
            end = min(start + window, problem.horizon)
            used = sum(use.demand.amount * max(min(use.end, end) - max(use.start, start), 0) for use in uses)
            found.append(Load(resource.id, start, end, used, _available(resource, start, end)))
    return found


def _available(resource: Resource, start: int, end: int) -> int:
    total = resource.capacity * (end - start)
    for a, b, capacity in resource.calendar:
        total += (capacity - resource.capacity) * max(min(b, end) - max(a, start), 0)
    return total


def _all_uses(problem: Problem, placed: Mapping[str, Placed]) -> Iterator[_Use]:
    for task in problem.tasks:
        yield from _uses_of(task, placed[task.id])


def _uses_of(task: Task, where: Placed) -> Iterator[_Use]:
    for demand in next(mode for mode in task.modes if mode.id == where.mode).demands:
        start, end = covered(demand.part, where.start, where.end)
        if start < end and demand.amount > 0:
            yield _Use(task.id, demand, start, end)


class _Scene:
    """A plan with what the walk looks up again and again."""

    def __init__(self, problem: Problem, solution: Solution) -> None:
        self.problem = problem
        self.solution = solution
        self.placed = solution.placed
        self.tasks = {task.id: task for task in problem.tasks}
        self.resources = {resource.id: resource for resource in problem.resources}
        self.uses: dict[str, list[_Use]] = {}
        for use in _all_uses(problem, self.placed):
            self.uses.setdefault(use.demand.resource, []).append(use)
        for use in (use for change in solution.changes for use in self.uses_of_change(change)):
            self.uses.setdefault(use.demand.resource, []).append(use)
        as_placed = [
            _only_mode(task, self.placed[task.id].mode) for task in problem.tasks
        ]  # lengths of the chosen modes
        self.into: dict[Instant, list[tuple[Instant, int]]] = {}
        for arc in arcs(as_placed, problem.lags):
            self.into.setdefault(arc.head, []).append((arc.tail, arc.gap))

    def at(self, instant: Instant) -> int:
        """When an instant happens."""
        where = self.placed[instant[0]]
        return where.start if instant[1] == "start" else where.end

    def uses_of_change(self, change: StateChange) -> Iterator[_Use]:
        """What a change needs, as if it were a task of its own."""
        for demand in self.resources[change.resource].change_demands:
            if demand.amount:
                yield _Use(name_of_change(change.resource), demand, change.start, change.end)

    def tight(self, instant: Instant) -> list[Instant]:
        """The instants that would have to come earlier too, if this one did."""
        now = self.at(instant)
        return [tail for tail, gap in self.into.get(instant, []) if self.at(tail) + gap == now]


def name_of_change(resource: str) -> str:
    """What a change of a resource is called where tasks are named."""
    return f"change of {resource}"


def _only_mode(task: Task, mode_id: str) -> Task:
    return Task(task.id, tuple(mode for mode in task.modes if mode.id == mode_id))


def _reasons(scene: _Scene, late: str, late_by: int) -> list[Reason]:
    end: Instant = (late, "end")
    moved: list[Instant] = [end]  # the instants that come a tick earlier together with the late end
    for instant in moved:
        moved.extend(tail for tail in scene.tight(instant) if tail not in moved)
    together = set(moved)
    found: list[Reason] = []
    for name in dict.fromkeys(name for name, _ in moved):
        where = scene.placed[name]
        earlier = Placed(
            where.start - ((name, "start") in together), where.end - ((name, "end") in together), where.mode
        )
        for kind, resource, start, stop, others in _held_up(scene, name, earlier, together):
            found.append(Reason(late, late_by, kind, name, resource, start, stop, others))
    found = _joined(found)
    if not found:
        found = [Reason(late, late_by, "room", late, None, 0, 0, ())]
    return sorted(found, key=lambda reason: (-reason.end, reason.kind != "state"))


def _held_up(
    scene: _Scene, name: str, earlier: Placed, together: set[Instant]
) -> Iterator[tuple[WaitKind, str | None, int, int, tuple[str, ...]]]:
    task = scene.tasks[name]
    held = task.fixed is not None or (task.started is not None and (name, "start") in together)
    if earlier.start < task.earliest or held:
        yield "window", None, scene.placed[name].start, scene.placed[name].start, ()
        return
    now = {use.demand: use for use in _uses_of(task, scene.placed[name])}
    for use in _uses_of(task, earlier):
        was = now.get(use.demand)
        if was is None or use.start == was.start:
            continue
        yield from _overrun(scene, use, together)
        yield from _wrong_state(scene, use, together)


def _overrun(
    scene: _Scene, use: _Use, together: set[Instant]
) -> Iterator[tuple[WaitKind, str | None, int, int, tuple[str, ...]]]:
    resource = scene.resources[use.demand.resource]
    tick = use.start
    there = next((c for a, b, c in resource.calendar if a <= tick < b), resource.capacity)
    if use.demand.amount > there:
        piece = next((a, b) for a, b, _ in resource.calendar if a <= tick < b)
        yield "calendar", resource.id, piece[0], piece[1], ()
        return
    users = [
        other
        for other in scene.uses.get(resource.id, [])
        if other.task != use.task and other.start <= tick < other.end and not _leaves(scene, other, tick, together)
    ]
    if sum(other.demand.amount for other in users) + use.demand.amount > there:
        names = tuple(sorted({other.task for other in users}))
        yield "capacity", resource.id, min(other.start for other in users), tick + 1, names


def _leaves(scene: _Scene, use: _Use, tick: int, together: set[Instant]) -> bool:
    """Whether a use that ends with ``tick`` would end a tick earlier, too."""
    if use.end != tick + 1 or use.task not in scene.placed:
        return False
    where = scene.placed[use.task]
    start = where.start - ((use.task, "start") in together)
    end = where.end - ((use.task, "end") in together)
    return covered(use.demand.part, start, end)[1] <= tick


def _wrong_state(
    scene: _Scene, use: _Use, together: set[Instant]
) -> Iterator[tuple[WaitKind, str | None, int, int, tuple[str, ...]]]:
    resource = scene.resources[use.demand.resource]
    if not resource.states:
        return
    mine = sorted((s for s in scene.solution.stretches if s.resource == resource.id), key=lambda s: (s.start, s.end))
    number = next(i for i, s in enumerate(mine) if s.start <= use.start + 1 < s.end)
    stretch = mine[number]
    if use.start >= stretch.start:
        return
    before = mine[number - 1] if number else None
    state, free = (before.state, before.end) if before else (resource.initial_state, 0)
    ticks = resource.change_ticks(state, stretch.state)
    own = (c for c in scene.solution.changes if c.resource == resource.id)
    made = next((c for c in own if free <= c.start and c.end <= stretch.start), None)
    waits = list(_change_waits(scene, made, together)) if made is not None and made.end > use.start else []
    if free + ticks > use.start or waits:
        inside = (o for o in scene.uses[resource.id] if before and before.start <= o.start and o.end <= before.end)
        yield "state", resource.id, free, stretch.start, tuple(sorted({o.task for o in inside}))
    yield from waits


def _change_waits(
    scene: _Scene, change: StateChange, together: set[Instant]
) -> Iterator[tuple[WaitKind, str | None, int, int, tuple[str, ...]]]:
    """What a change waits for before it can begin."""
    for use in scene.uses_of_change(change):
        if change.start > 0:
            yield from _overrun(scene, _Use(use.task, use.demand, use.start - 1, use.end - 1), together)


def _joined(reasons: list[Reason]) -> list[Reason]:
    """Each wait once: the same resource blocked by the same tasks at the same time is one reason."""
    seen: dict[tuple[WaitKind, str | None, tuple[str, ...], int], Reason] = {}
    for reason in reasons:
        seen.setdefault((reason.kind, reason.resource, reason.blocked_by, reason.end), reason)
    return list(seen.values())
