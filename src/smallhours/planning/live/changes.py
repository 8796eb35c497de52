"""What a new plan changes of the one before it, and why: what each moved task now waits for, or gives way to."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from smallhours.bakery.quantity import write_duration
from smallhours.planning import plan as p

_LEAST_S = 60.0
_MAKES_ROOM = "so that everything else fits"


def changes(before: p.Plan, after: p.Plan, now: dt.datetime) -> tuple[p.PlanChange, ...]:
    """Every task that has not begun and is now at another time, elsewhere, in other hands, new or gone; in order of
    time."""
    return tuple(_Comparison(before, after, now).found())


class _Comparison:
    """Two plans side by side."""

    def __init__(self, before: p.Plan, after: p.Plan, now: dt.datetime) -> None:
        self.before, self.after, self.now = before, after, now
        self.was = {task.id: task for task in before.tasks}
        self.tasks = {task.id: task for task in after.tasks}
        self.names = {r.id: r.name for r in after.resources} | {person.id: person.name for person in after.people}
        self.into: dict[str, list[p.PlanLink]] = defaultdict(list)
        for link in after.links:
            self.into[link.after].append(link)
        self.users: dict[str, list[tuple[p.PlanTask, p.Use]]] = defaultdict(list)
        for task in after.tasks:
            for use in task.uses:
                self.users[use.resource].append((task, use))
        self.next = _next_work(after.tasks, now)

    def found(self) -> Iterator[p.PlanChange]:
        for task in self.after.tasks:
            if task.kind in p.PANS or task.state != "planned":
                continue
            was = self.was.get(task.id)
            if was is None:
                yield self._change(task, "new", 0.0, "it was not planned before")
                continue
            by_s = (task.start - was.start).total_seconds()
            if by_s >= _LEAST_S:
                yield self._change(task, "later", by_s, self._why_later(task, was))
            elif by_s <= -_LEAST_S:
                yield self._change(task, "earlier", -by_s, self._why_earlier(task))
            elif task.place != was.place or _people(task) != _people(was):
                yield self._change(task, "elsewhere", 0.0, self._why_elsewhere(task, was))
        for task in self.before.tasks:
            there = self.tasks.get(task.id)
            gone = there is None or there.state == "lost"
            if gone and task.kind not in p.PANS and task.state in ("planned", "running") and task.end > self.now:
                yield p.PlanChange(task=task.id, kind="gone", why="it is lost, or nothing needs it any more")

    def _change(self, task: p.PlanTask, kind: str, by_s: float, why: str) -> p.PlanChange:
        person = task.hands[0].person if task.hands else None
        data = {"task": task.id, "kind": kind, "by_s": by_s, "why": why, "person": person}
        return p.PlanChange.model_validate({**data, "next": task.id in self.next})

    def _why_later(self, task: p.PlanTask, was: p.PlanTask) -> str:
        start = max(was.start, self.now)
        held = [(link, at) for link in self.into[task.id] if (at := self._not_before(link)) is not None and at > start]
        if held:
            link, _ = max(held, key=lambda pair: pair[1])
            return f"it waits for {self._named(link.before)}"
        for use in task.uses:
            shifted = was.start + (use.start - task.start)
            why = self._full(task, use, shifted)
            if why:
                return why
        hands = self._no_hands(task, start)
        if hands:
            return hands
        return _MAKES_ROOM if was.start >= self.now else "it had not begun by now"

    def _not_before(self, link: p.PlanLink) -> dt.datetime | None:
        before = self.tasks.get(link.before)
        if before is None or link.after_side != "start":
            return None
        at: dt.datetime = getattr(before, link.before_side)
        return at + dt.timedelta(seconds=link.min_s)

    def _full(self, task: p.PlanTask, use: p.Use, at: dt.datetime) -> str | None:
        """Why a resource cannot be had at an instant."""
        resource = next((r for r in self.after.resources if r.id == use.resource), None)
        if resource is None:
            return None
        for piece in resource.calendar:
            if piece.start <= at < piece.end and piece.capacity < use.amount:
                zone = self.after.zone()
                return f"{resource.name} is out of use until {piece.end.astimezone(zone):%H:%M}"
        others = [(t, u) for t, u in self.users[use.resource] if t.id != task.id and u.start <= at < u.end]
        if sum(u.amount for _, u in others) + use.amount > resource.capacity:
            names = ", ".join(dict.fromkeys(self._named(t.id) for t, _ in others[:2]))
            return f"{resource.name} is taken by {names}"
        for stretch in self.after.ovens:
            if stretch.deck == resource.id and stretch.heat_from <= at < stretch.start:
                return f"{resource.name} is not hot yet"
        return None

    def _no_hands(self, task: p.PlanTask, at: dt.datetime) -> str | None:
        if not task.hands:
            return None
        there = [q for q in self.after.people if any(h.start <= at < h.end for h in q.hours)]
        busy = {h.person: t for t in self.after.tasks for h in t.hands if t.id != task.id and h.start <= at < h.end}
        if all(person.id in busy for person in there):
            names = ", ".join(dict.fromkeys(self._named(t.id) for t in list(busy.values())[:2]))
            return f"no hands are free: they are at {names}" if names else "nobody is there"
        return None

    def _why_earlier(self, task: p.PlanTask) -> str:
        for link in self.into[task.id]:
            before, was = self.tasks.get(link.before), self.was.get(link.before)
            if before and was and link.before_side == "end" and before.end < was.end:
                return f"{self._named(before.id)} is done earlier"
        return _MAKES_ROOM

    def _why_elsewhere(self, task: p.PlanTask, was: p.PlanTask) -> str:
        if task.place != was.place:
            for use in was.uses:
                why = self._full(was, use, was.start) if use.resource == was.place else None
                if why:
                    return why
            return f"{self.names.get(was.place, was.place)} is needed for other work"
        gone = [name for name in _people(was) if name not in _people(task)]
        return f"{', '.join(self.names.get(name, name) for name in gone) or 'somebody'} has other work then"

    def _named(self, task_id: str) -> str:
        task = self.tasks[task_id]
        return f"{task.name} of {task.lot or task.batch}"


def _people(task: p.PlanTask) -> tuple[str, ...]:
    return tuple(dict.fromkeys(hands.person for hands in task.hands))


def _next_work(tasks: Sequence[p.PlanTask], now: dt.datetime) -> frozenset[str]:
    """The task with which each person's next work begins."""
    first: dict[str, tuple[dt.datetime, str]] = {}
    for task in tasks:
        for hands in task.hands:
            if hands.start >= now and (hands.person not in first or (hands.start, task.id) < first[hands.person]):
                first[hands.person] = (hands.start, task.id)
    return frozenset(name for _, name in first.values())


def sentence(change: p.PlanChange, after: p.Plan) -> str:
    """A change as people are told it.

    Source: none: words of our own.
    """
    tasks: Mapping[str, p.PlanTask] = {task.id: task for task in after.tasks}
    task = tasks.get(change.task)
    if task is None or change.kind == "gone":
        return f"{change.task}: not done any more; {change.why}"
    zone = after.zone()
    what, at = f"{task.name} of {task.lot or task.batch}", f"{task.start.astimezone(zone):%H:%M}"
    match change.kind:
        case "new":
            return f"{what}: new, at {at}"
        case "elsewhere":
            names = {r.id: r.name for r in after.resources} | {q.id: q.name for q in after.people}
            who = ", ".join(names.get(name, name) for name in _people(task))
            where = ", ".join(filter(None, (names.get(task.place, task.place), who)))
            return f"{what}: at {at} as before, now {where}; {change.why}"
        case _:
            return f"{what}: {write_duration(change.by_s)} {change.kind}, at {at}; {change.why}"
