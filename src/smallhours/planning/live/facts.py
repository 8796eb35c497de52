"""What is done and what runs at an instant of the night: as planned, unless something else was said."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from smallhours.bakery.shift.happened import Happened, TaskSaid
from smallhours.errors import BadInput
from smallhours.planning import plan as p
from smallhours.planning.shift.ask import Question
from smallhours.planning.shift.clock import Clock


@dataclass(frozen=True)
class Fact:
    """A task that has begun: ticks of the night's clock, the engine's mode; ``end`` is None while it runs."""

    start: int
    end: int | None
    mode: str


@dataclass
class Facts:
    """Everything that has begun by the tick ``now``, by task."""

    clock: Clock
    now: int
    known: dict[str, Fact] = field(default_factory=dict)

    def done(self, task: str) -> bool:
        """Whether it has ended."""
        fact = self.known.get(task)
        return fact is not None and fact.end is not None

    def runs(self, task: str) -> bool:
        """Whether it has begun and not ended."""
        fact = self.known.get(task)
        return fact is not None and fact.end is None


def facts_of(plan: p.Plan, happened: Happened, fresh: frozenset[str], question: Question, clock: Clock) -> Facts:
    """What has begun by ``happened.now``. ``question``: of the whole night as it is now structured, on ``clock``;
    ``fresh``: the tasks that something was said of just now.

    Raises: BadInput for a task that the plan does not have, a place where it cannot be done, or words that contradict
    one another (a stage that waits although the one after it has begun).
    """
    return _Reading(plan, happened, fresh, question, clock).facts


class _Reading:
    """One reading of a plan against what was said."""

    def __init__(
        self, plan: p.Plan, happened: Happened, fresh: frozenset[str], question: Question, clock: Clock
    ) -> None:
        self.clock, self.fresh = clock, fresh
        self.tasks = {task.id: task for task in question.problem.tasks}
        self.planned = {task.id: task for task in plan.tasks if task.id in self.tasks}
        self.said = {said.task: said for said in happened.tasks}
        self.facts = Facts(clock, clock.tick_after(happened.now))
        self._check_names(plan)
        self.before = _before(question)
        self.forced = dict(self._forced())
        for name in sorted(self.planned, key=lambda n: (self.planned[n].start, self.planned[n].end, n)):
            if name not in self.facts.known:
                self._read(name)
        self._pauses(plan, question)

    def _check_names(self, plan: p.Plan) -> None:
        there = {task.id for task in plan.tasks}
        for name in self.said:
            if name not in there:
                raise BadInput(
                    f"the plan of the night to {plan.night} has no task {name!r}; tasks are called like "
                    f"{next(iter(sorted(there)), 'dough.1:dough:mix')!r}"
                )

    def _forced(self) -> Iterator[tuple[str, int]]:
        """The latest end of every task whose successor is said to have begun, however far back."""
        reach: dict[str, int] = {}
        waiting = [(n, self._tick(s.start or s.end)) for n, s in self.said.items() if s.start or s.end]
        while waiting:
            name, at = waiting.pop()
            for earlier in self.before[name]:
                if earlier in self.said and self.said[earlier].waiting:
                    raise BadInput(
                        f"task {earlier!r} is said to wait, but {name!r}, which comes after it, is said to have begun"
                    )
                own = self.said.get(earlier)
                end = self._tick(own.end) if own is not None and own.end is not None else at
                if end < reach.get(earlier, end + 1):
                    reach[earlier] = end
                    waiting.append((earlier, end))
        yield from reach.items()

    def _tick(self, instant: dt.datetime | None) -> int:
        assert instant is not None
        near = round((instant - self.clock.start).total_seconds() / self.clock.tick_s)
        return min(max(near, 0), self.facts.now)

    def _read(self, name: str) -> None:
        task, said = self.planned[name], self.said.get(name, TaskSaid(task=name))
        now = self.facts.now
        planned_start, planned_end = self.clock.tick(task.start), self.clock.tick(task.end)
        ends = [self._end_of(earlier) for earlier in self.before[name] if earlier in self.planned]
        spoken = said.start is not None or said.end is not None or said.running or name in self.forced
        if said.waiting or (not spoken and (planned_start >= now or any(end is None for end in ends))):
            return
        start = max([planned_start, *(end for end in ends if end is not None)])
        if said.start is not None:
            start = self._tick(said.start)
        end: int | None = start + (planned_end - planned_start)
        if said.end is not None:
            end = self._tick(said.end)
        elif name in self.forced:
            end = min(end or now, self.forced[name])
        elif said.running or (name in self.fresh and said.more_s > 0):
            end = None
        start = min(start, now if end is None else end)
        if end is not None and end > now:
            end = None
        self.facts.known[name] = Fact(start, end, self._mode(name, task, said))

    def _end_of(self, name: str) -> int | None:
        fact = self.facts.known.get(name)
        return None if fact is None else fact.end

    def _mode(self, name: str, task: p.PlanTask, said: TaskSaid) -> str:
        modes = self.tasks[name].modes
        if len(modes) == 1 and said.place is None:
            return modes[0].id
        place = task.place if said.place is None else said.place
        fits = [mode.id for mode in modes if place_of(mode.id) == place]
        if not fits:
            there = ", ".join(dict.fromkeys(place_of(mode.id) for mode in modes))
            raise BadInput(f"task {name!r} is not done in {place!r} (it can be: {there})")
        return next((mode for mode in fits if is_mode(mode, place, task.way)), fits[0])

    def _pauses(self, plan: p.Plan, question: Question) -> None:
        taken = {person.id: sorted(person.breaks, key=lambda piece: piece.start) for person in plan.people}
        for pause in sorted(question.pauses, key=lambda pause: pause.earliest):
            pieces = taken.get(pause.person, [])
            if not pieces:
                continue
            piece = pieces.pop(0)
            start, end = self.clock.tick(piece.start), self.clock.tick(piece.end)
            if start < self.facts.now:
                self.facts.known[pause.task_id] = Fact(start, end if end <= self.facts.now else None, "pause")


def place_of(mode_id: str) -> str:
    """The place in the id of a mode, which is made of the number of the way and the place."""
    return mode_id.split(":", 1)[-1]


def is_mode(mode_id: str, place: str, way: str) -> bool:
    """Whether a mode's id stands for this way at this place."""
    return place_of(mode_id) == place and mode_id.startswith("0:") == (way == "main")


def _before(question: Question) -> Mapping[str, Sequence[str]]:
    """For every task, those that must have ended when it begins."""
    found: dict[str, list[str]] = defaultdict(list)
    for link in question.links:
        lag = link.lag
        if (lag.before_side, lag.after_side) == ("end", "start") and lag.lo >= 0:
            found[lag.after].append(lag.before)
    return found
