"""What really happened in a night so far, as far as it differs from the plan, and what has become known since.

What nothing is said of went as planned. Instants carry their offset from UTC.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable

from pydantic import AwareDatetime, Field

from smallhours.bakery.document import Document, Slug, Words
from smallhours.bakery.orders.document import MOST_PIECES
from smallhours.bakery.quantity import Celsius, Seconds
from smallhours.errors import DocumentError, Fault


class TaskSaid(Document):
    """What is said of one stage of a batch or lot; ``task``: its id in the plan.

    ``start``, ``end``: when it really began and ended; ``waiting``: it has not begun, although it was planned to;
    ``running``: it has not ended, although it was planned to. ``place``: where it was done, if elsewhere than planned.
    ``longer_s``, ``shorter_s``: how much longer or shorter than forecast it needs. ``dough_temp_c``: measured in the
    dough when it ended.
    """

    task: Words
    start: AwareDatetime | None = None
    end: AwareDatetime | None = None
    waiting: bool = False
    running: bool = False
    place: Words | None = None
    longer_s: Seconds | None = None
    shorter_s: Seconds | None = None
    dough_temp_c: Celsius | None = None

    @property
    def more_s(self) -> float:
        """How much longer than forecast it needs, in all; below 0 if shorter."""
        return (self.longer_s or 0.0) - (self.shorter_s or 0.0)

    def faults(self) -> Iterable[Fault]:
        where = f"task {self.task!r}"
        if self.start is not None and self.end is not None and self.end < self.start:
            yield Fault(where, f"ended at {self.end:%H:%M}, before it began at {self.start:%H:%M}")
        if self.waiting and (self.start is not None or self.end is not None or self.running):
            yield Fault(where, "is said to wait and to have begun; say one of them")
        if self.running and self.end is not None:
            yield Fault(where, "is said to run and to have ended; say one of them")


class Down(Document):
    """Equipment that cannot be used until an instant (without one: for the rest of the night)."""

    equipment: Words
    until: AwareDatetime | None = None
    at: AwareDatetime | None = None


class Away(Document):
    """A person who is not there until an instant (without one: for the rest of the night)."""

    person: Slug
    until: AwareDatetime | None = None
    at: AwareDatetime | None = None


class Lost(Document):
    """A batch or a lot that is lost (dropped, burnt, broken off); ``remake``: whether it is to be made anew."""

    of: Words
    remake: bool = True
    at: AwareDatetime | None = None


class Extra(Document):
    """An order that came in after the plan was made; ``due`` is a time on the kitchen's clock."""

    customer: Words
    product: Slug
    date: dt.date
    due: dt.time
    pieces: int = Field(ge=1, lt=MOST_PIECES)
    at: AwareDatetime | None = None


class Happened(Document):
    """Everything that is to be known at the instant ``now``. ``room_c``: of the room from now on."""

    now: AwareDatetime
    tasks: tuple[TaskSaid, ...] = ()
    down: tuple[Down, ...] = ()
    away: tuple[Away, ...] = ()
    lost: tuple[Lost, ...] = ()
    orders: tuple[Extra, ...] = ()
    room_c: Celsius | None = None

    def faults(self) -> Iterable[Fault]:
        names = [said.task for said in self.tasks]
        for name in sorted({n for n in names if names.count(n) > 1}):
            yield Fault(f"task {name!r}", "is spoken of twice; say everything of it in one place")
        for said in self.tasks:
            yield from said.faults()
            for what, when in (("begun", said.start), ("ended", said.end)):
                if when is not None and when > self.now:
                    yield Fault(f"task {said.task!r}", f"is said to have {what} at {when:%H:%M}, after now")
        out = [(d.equipment, d.until) for d in self.down] + [(a.person, a.until) for a in self.away]
        for name, until in out:
            if until is not None and until <= self.now:
                yield Fault(repr(name), f"is out until {until:%H:%M}, which is not after now")


def together(before: Happened | None, now: Happened) -> Happened:
    """What was known before and what is known now, as one: of the same task what is said now counts, field by field.

    Raises: DocumentError if now lies before what was said last.
    """
    stamped = _stamped(now)
    if before is None:
        return stamped
    if now.now < before.now:
        raise _backwards(before.now, now.now)
    quiet = {"waiting": False, "running": False}  # only said for the moment; the plan made then knows it
    tasks = {said.task: said.model_copy(update=quiet) for said in before.tasks}
    for said in stamped.tasks:
        tasks[said.task] = _merged(tasks.get(said.task), said)
    return Happened(
        now=now.now,
        tasks=tuple(tasks.values()),
        down=(*(d for d in before.down if d.equipment not in {n.equipment for n in now.down}), *stamped.down),
        away=(*(a for a in before.away if a.person not in {n.person for n in now.away}), *stamped.away),
        lost=(*before.lost, *stamped.lost),
        orders=(*before.orders, *stamped.orders),
        room_c=before.room_c if now.room_c is None else now.room_c,
    )


def _stamped(now: Happened) -> Happened:
    at = {"at": now.now}
    return now.model_copy(
        update={
            name: tuple(each if each.at is not None else each.model_copy(update=at) for each in getattr(now, name))
            for name in ("down", "away", "lost", "orders")
        }
    )


def _merged(before: TaskSaid | None, now: TaskSaid) -> TaskSaid:
    """Later words count; how much longer it needs adds up."""
    if before is None:
        return now
    said = {name: getattr(now, name) for name in ("start", "end", "place", "dough_temp_c")}
    changed = {name: value for name, value in said.items() if value is not None}
    more_s = before.more_s + now.more_s
    return before.model_copy(
        update={
            **changed,
            "waiting": now.waiting,
            "running": now.running,
            "longer_s": more_s if more_s > 0 else None,
            "shorter_s": -more_s if more_s < 0 else None,
        }
    )


def _backwards(before: dt.datetime, now: dt.datetime) -> DocumentError:
    told = f"now is {now:%Y-%m-%d %H:%M}, before {before:%H:%M}, until which the night is already written down"
    return DocumentError("what happened", [Fault("now", told)])
