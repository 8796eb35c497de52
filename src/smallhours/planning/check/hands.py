"""Hands: whoever has a task in hand is there, has no pause and nothing else in hand; and no task is left alone."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Sequence

from smallhours.planning.check.case import Case, minutes, seconds
from smallhours.planning.check.violation import Violation
from smallhours.planning.plan import PlanPerson, PlanTask

KIND = "hands"
Stretch = tuple[dt.datetime, dt.datetime]
Held = tuple[dt.datetime, dt.datetime, str]


def presence(case: Case) -> Iterator[Violation]:
    """People work within their hours, not in their pauses, at one thing at a time."""
    held: dict[str, list[Held]] = defaultdict(list)
    for task in case.plan.tasks:
        for hands in task.hands:
            held[hands.person].append((hands.start, hands.end, task.id))
    for person in case.plan.people:
        others = [(t.start, t.end, f"the night to {t.night}") for t in case.taken if t.person == person.id]
        yield from _one_thing_at_a_time(case, person.id, [*held[person.id], *others])
        yield from _in_their_hours(case, person, held[person.id])
    yield from _count_of_people(case)


def _in_their_hours(case: Case, person: PlanPerson, held: Sequence[Held]) -> Iterator[Violation]:
    for start, end, task_id in held:
        if not any(h.start <= start and end <= h.end for h in person.hours):
            yield Violation(KIND, person.id, f"is not there for all of {task_id} at {case.clock(start)}")
        if any(start < pause.end and pause.start < end for pause in person.breaks):
            yield Violation(KIND, person.id, f"has a pause during {task_id} at {case.clock(start)}")
    for pause in person.breaks:
        if not any(h.start <= pause.start and pause.end <= h.end for h in person.hours):
            yield Violation(KIND, person.id, f"has a pause outside the hours at {case.clock(pause.start)}")


def _one_thing_at_a_time(case: Case, person: str, held: Sequence[Held]) -> Iterator[Violation]:
    reached: Held | None = None
    for start, end, task_id in sorted(held):
        if reached is not None and start < reached[1]:
            yield Violation(KIND, person, f"is at {reached[2]} and at {task_id} at once at {case.clock(start)}")
        if reached is None or end > reached[1]:
            reached = (start, end, task_id)


def _count_of_people(case: Case) -> Iterator[Violation]:
    """What the plan says of the people together is no more than the people one by one."""
    pool = case.resources.get("people")
    for piece in pool.calendar if pool else ():
        for at in sorted({piece.start, *(h.start for p in case.plan.people for h in p.hours)}):
            if not piece.start <= at < piece.end:
                continue
            there = sum(any(h.start <= at < h.end for h in person.hours) for person in case.plan.people)
            if piece.capacity > there:
                yield Violation(KIND, "people", f"are said to be {piece.capacity} at {case.clock(at)}, of {there}")


def attention(case: Case) -> Iterator[Violation]:
    """``throughout``: hands on it without a gap; ``ends``: for its first and last seconds; ``none``: none."""
    for task in case.plan.tasks:
        if task.attention == "none" and task.hands:
            yield Violation(KIND, task.id, f"needs no hands and has {task.hands[0].person}'s")
        if task.attention == "ends" and task.hands_start_s + task.hands_end_s <= 0:
            yield Violation(KIND, task.id, "needs hands at its ends, but for no time")
        held = sorted((hands.start, hands.end) for hands in task.hands)
        for start, end in _wanted(task):
            alone_s = _alone_s(start, end, held)
            if alone_s > 0:
                what = f"is left alone for {minutes(alone_s)} of the {minutes(seconds(start, end))} from"
                yield Violation(KIND, task.id, f"{what} {case.clock(start)}")


def _wanted(task: PlanTask) -> tuple[Stretch, ...]:
    if task.attention == "throughout":
        return ((task.start, task.end),)
    if task.attention == "ends":
        length_s = seconds(task.start, task.end)
        first = task.start + dt.timedelta(seconds=min(length_s, task.hands_start_s))
        last = task.end - dt.timedelta(seconds=min(length_s, task.hands_end_s))
        return ((task.start, first), (last, task.end))
    return ()


def _alone_s(start: dt.datetime, end: dt.datetime, held: Sequence[Stretch]) -> float:
    alone, reached = 0.0, start
    for a, b in held:
        if b > reached and a < end:
            alone += max(0.0, seconds(reached, a))
            reached = b
    return alone + max(0.0, seconds(reached, end))
