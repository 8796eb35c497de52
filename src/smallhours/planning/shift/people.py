"""Who is there when: the people of a night as one pool with a calendar, and names put to the work afterwards.

The engine sees a pool, because any baker may do any stage; names are given once the times stand. A piece of
work changes hands only where nobody can see it through (somebody's hours end, a pause begins).
"""

from __future__ import annotations

import datetime as dt
import itertools
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from zoneinfo import ZoneInfo

from smallhours.bakery.kitchen.clock import instant
from smallhours.bakery.kitchen.document import DAYS, Break, Kitchen, Person
from smallhours.errors import BadInput
from smallhours.planning.engine.problem import Demand, Mode, Resource, Task
from smallhours.planning.shift.clock import Clock

POOL = "people"


@dataclass(frozen=True)
class Presence:
    """A person's stretches of work in ticks."""

    person: Person
    stretches: tuple[tuple[int, int], ...]

    def there(self, start: int, end: int) -> bool:
        """Is the person there all the time from start to end?"""
        return any(a <= start and end <= b for a, b in self.stretches)


@dataclass(frozen=True)
class Pause:
    """A pause to be placed: whose, between which ticks, how long."""

    person: str
    task_id: str
    earliest: int
    latest: int
    ticks: int


def presences(kitchen: Kitchen, clock: Clock) -> tuple[Presence, ...]:
    """Everybody's working stretches inside the horizon."""
    zone = kitchen.zone()
    first = clock.start.astimezone(zone).date() - dt.timedelta(days=1)
    last = clock.instant(clock.ticks).astimezone(zone).date()
    found = []
    for person in kitchen.people:
        stretches = []
        for offset in range((last - first).days + 1):
            date = first + dt.timedelta(days=offset)
            for hours in person.hours:
                if DAYS[date.weekday()] not in hours.days:
                    continue
                end_date = date if hours.end > hours.start else date + dt.timedelta(days=1)
                start = clock.inside(clock.tick_after(instant(date, hours.start, zone)))
                end = clock.inside(clock.tick(instant(end_date, hours.end, zone)))
                if end > start:
                    stretches.append((start, end))
        found.append(Presence(person, merged(stretches)))
    return tuple(found)


def somebody_works(present: Sequence[Presence], clock: Clock, zone: ZoneInfo) -> None:
    """Raises BadInput when nobody is there between the start and the end of the plan."""
    if any(presence.stretches for presence in present):
        return
    start, end = (clock.instant(t).astimezone(zone) for t in (0, clock.ticks))
    names = ", ".join(presence.person.name for presence in present)
    raise BadInput(
        f"nobody works between {start:%Y-%m-%d %H:%M} and {end:%Y-%m-%d %H:%M}"
        + (f" ({names}: no hours then)" if names else " (the kitchen lists no people)")
        + ": give somebody hours in that time"
    )


def merged(stretches: Iterable[tuple[int, int]]) -> tuple[tuple[int, int], ...]:
    """Stretches in order, touching and overlapping ones joined."""
    joined: list[tuple[int, int]] = []
    for start, end in sorted(stretches):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        else:
            joined.append((start, end))
    return tuple(joined)


def pool(present: Sequence[Presence], clock: Clock) -> Resource:
    """The people as one resource: how many are there at each tick."""
    edges = sorted({0, clock.ticks} | {t for p in present for stretch in p.stretches for t in stretch})
    pieces: list[tuple[int, int, int]] = []
    for start, end in itertools.pairwise(edges):
        count = sum(p.there(start, end) for p in present)
        if pieces and pieces[-1][2] == count:
            pieces[-1] = (pieces[-1][0], end, count)
        else:
            pieces.append((start, end, count))
    shifts = tuple(sorted(stretch for presence in present for stretch in presence.stretches))
    return Resource(POOL, capacity=max([1, *(c for _, _, c in pieces)]), calendar=tuple(pieces), shifts=shifts)


def needed(
    present: Sequence[Presence], there: Sequence[tuple[tuple[int, int], tuple[int, int]]]
) -> tuple[Presence, ...]:
    """Everybody only from when to when they are needed. ``there``: shifts of the pool and what is needed of each.

    Somebody whose shift is not among them is there all of it.
    """
    left = list(there)
    found = []
    for presence in present:
        stretches = []
        for shift in presence.stretches:
            known = next((pair for pair in left if pair[0] == shift), None)
            if known is not None:
                left.remove(known)
            stretches.append(shift if known is None else known[1])
        found.append(Presence(presence.person, tuple((a, b) for a, b in stretches if a < b)))
    return tuple(found)


def pauses(kitchen: Kitchen, present: Sequence[Presence], clock: Clock) -> tuple[Pause, ...]:
    """The pauses that fall into somebody's working stretches this night."""
    zone = kitchen.zone()
    found = []
    for presence in present:
        for number, stretch in enumerate(presence.stretches, 1):
            for index, rest in enumerate(presence.person.breaks, 1):
                ticks = clock.length(rest.duration_s)
                for day, (start, end) in enumerate(_pause_windows(zone, clock, stretch, rest, ticks)):
                    task_id = f"pause:{presence.person.id}:{number}.{index}" + (f".{day}" if day else "")
                    found.append(Pause(presence.person.id, task_id, start, end, ticks))
    return tuple(found)


def _pause_windows(
    zone: ZoneInfo, clock: Clock, stretch: tuple[int, int], rest: Break, ticks: int
) -> Iterator[tuple[int, int]]:
    """Where a pause may lie in a stretch of work: never twice within twelve hours."""
    day = clock.instant(stretch[0]).astimezone(zone).date()
    reached, whole_day = stretch[0], clock.length(24 * 3600.0)
    for offset in range(-1, (stretch[1] - stretch[0]) // whole_day + 2):
        date = day + dt.timedelta(days=offset)
        later = date if rest.latest > rest.earliest else date + dt.timedelta(days=1)
        low = max(clock.tick_after(instant(date, rest.earliest, zone)), reached)
        high = min(clock.tick(instant(later, rest.latest, zone)), stretch[1])
        if ticks and high - low >= ticks:
            yield low, high
            reached = low + whole_day // 2


def pause_tasks(found: Iterable[Pause]) -> tuple[Task, ...]:
    """Pauses as tasks that take one of the pool."""
    return tuple(
        Task(p.task_id, (Mode("pause", p.ticks, p.ticks, demands=(Demand(POOL),)),), p.earliest, p.latest)
        for p in found
    )


@dataclass(frozen=True)
class Job:
    """Hands wanted on a task from start to end; ``about`` is what the work belongs to (a batch or lot); ``told``: who
    has been told to do it."""

    task_id: str
    about: str
    start: int
    end: int
    told: str | None = None


def give_names(
    jobs: Iterable[Job], present: Sequence[Presence], taken: Iterable[tuple[str, int, int]]
) -> dict[str, list[tuple[str, int, int]]]:
    """Names for every job: task id -> (person, start, end), in order.

    Each job goes to somebody who is free for all of it, first to whoever was told to do it, then to whoever last had
    this batch or lot in hand, then to whoever has worked least. If nobody is free for all of it, it is handed over at
    the moment that is latest.
    ``taken``: (person, start, end) of pauses. At every tick as many people must be there as are wanted.
    """
    busy: dict[str, list[tuple[int, int]]] = {p.person.id: [] for p in present}
    for person, start, end in taken:
        busy[person].append((start, end))
    worked = dict.fromkeys(busy, 0)
    last_hand: dict[str, str] = {}
    named: dict[str, list[tuple[str, int, int]]] = {}
    for job in sorted(jobs, key=lambda j: (j.start, -(j.end - j.start), j.task_id)):
        at = job.start
        while at < job.end:
            favourite = job.told or last_hand.get(job.about)
            person, until = _hand(present, busy, worked, favourite, at, job.end)
            busy[person].append((at, until))
            worked[person] += until - at
            last_hand[job.about] = person
            named.setdefault(job.task_id, []).append((person, at, until))
            at = until
    return named


def _hand(
    present: Sequence[Presence],
    busy: dict[str, list[tuple[int, int]]],
    worked: dict[str, int],
    favourite: str | None,
    start: int,
    end: int,
) -> tuple[str, int]:
    best: tuple[int, bool, int, str] | None = None
    for presence in present:
        person = presence.person.id
        until = _free_until(presence, busy[person], start, end)
        if until > start:
            candidate = (-until, person != favourite, worked[person], person)
            best = candidate if best is None or candidate < best else best
    if best is None:
        raise AssertionError(f"nobody is free at tick {start}: the pool was over-booked")
    return best[3], -best[0]


def _free_until(presence: Presence, busy: Iterable[tuple[int, int]], start: int, end: int) -> int:
    until = max((min(b, end) for a, b in presence.stretches if a <= start < b), default=start)
    for a, b in busy:
        if a <= start < b:
            return start
        if start < a < until:
            until = a
    return until
