"""Instants and lengths: in UTC, in the right order, inside the horizon, and every stage within its window."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from collections.abc import Iterable, Iterator

from pydantic import BaseModel

from smallhours.planning.check.case import Case, minutes, seconds
from smallhours.planning.check.violation import Violation
from smallhours.planning.plan import CalendarPiece, PlanTask

_SLACK_S = 1e-6
_NO_OFFSET = dt.timedelta()
_YEARS = (1970, 9000)
_LONGEST = dt.timedelta(days=60)


def instants(case: Case) -> Iterator[Violation]:
    """Every instant is in UTC, time zone and tick are some, and the plan is not endless."""
    for where, instant in _odd_instants(case.plan):
        yield Violation("instant", where, f"{instant.isoformat()} is not in UTC, or in no year of a plan")
    try:
        zoneinfo.ZoneInfo(case.plan.timezone)
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        yield Violation("instant", "timezone", f"{case.plan.timezone!r} is no time zone")
    if case.plan.tick_s <= 0:
        yield Violation("instant", "tick_s", f"is {case.plan.tick_s}; it must be above 0")
    span = case.plan.horizon_end - case.plan.horizon_start
    if not dt.timedelta() < span <= _LONGEST:
        yield Violation("instant", "horizon_end", f"is {span} after horizon_start, at most {_LONGEST.days} days")


def _odd_instants(node: BaseModel) -> Iterator[tuple[str, dt.datetime]]:
    """Every instant that is not in UTC or in no year of a plan, with where it stands."""
    for name, value in vars(node).items():
        if isinstance(value, dt.datetime):
            if value.utcoffset() != _NO_OFFSET or not _YEARS[0] <= value.year < _YEARS[1]:
                yield name, value
        elif isinstance(value, BaseModel):
            yield from ((f"{name}.{where}", instant) for where, instant in _odd_instants(value))
        elif isinstance(value, tuple):
            for number, item in enumerate(value, 1):
                if isinstance(item, BaseModel):
                    yield from ((f"{name}[{number}].{where}", instant) for where, instant in _odd_instants(item))


def horizon(case: Case) -> Iterator[Violation]:
    """Nothing runs backwards or outside the time that was planned."""
    plan = case.plan
    first, last = plan.horizon_start, plan.horizon_end
    for task in plan.tasks:
        if not first <= task.start <= task.end <= last:
            yield Violation("horizon", task.id, f"runs from {task.start.isoformat()} to {task.end.isoformat()}")
        for use in task.uses:
            if not task.start <= use.start <= use.end <= task.end:
                yield Violation("horizon", task.id, f"uses {use.resource} outside its own time")
        for hands in task.hands:
            if not task.start <= hands.start < hands.end <= task.end:
                yield Violation("horizon", task.id, f"is in {hands.person}'s hands outside its own time")
    for stretch in plan.ovens:
        if not first <= stretch.heat_from <= stretch.start <= stretch.end <= last:
            yield Violation("horizon", stretch.deck, f"at {stretch.set_temp_c:g} °C runs backwards or outside the plan")
    for resource in plan.resources:
        yield from _calendar(case, resource.id, resource.calendar)
    for person in plan.people:
        yield from _calendar(case, person.id, person.hours)
        yield from _calendar(case, person.id, person.breaks)


def _calendar(case: Case, where: str, pieces: Iterable[CalendarPiece]) -> Iterator[Violation]:
    reached: dt.datetime | None = None
    for piece in sorted(pieces, key=lambda p: p.start):
        if piece.start >= piece.end:
            yield Violation("horizon", where, f"its calendar runs backwards at {case.clock(piece.start)}")
        if reached is not None and piece.start < reached:
            yield Violation("horizon", where, f"its calendar says two things at {case.clock(piece.start)}")
        reached = piece.end if reached is None else max(reached, piece.end)


def windows(case: Case) -> Iterator[Violation]:
    """Every stage lasts at least and at most as long as its window says, and the window is one."""
    for task in case.plan.tasks:
        yield from _window(task)


def _window(task: PlanTask) -> Iterator[Violation]:
    length_s, window = seconds(task.start, task.end), task.window
    if length_s < window.min_s - _SLACK_S:
        yield Violation("window", task.id, f"lasts {minutes(length_s)}, it needs {minutes(window.min_s)}")
    if length_s > window.max_s + _SLACK_S:
        yield Violation("window", task.id, f"lasts {minutes(length_s)}, it bears {minutes(window.max_s)}")
    if not 0 <= window.min_s <= window.preferred_s <= window.max_s + _SLACK_S:
        yield Violation("window", task.id, "its least, wanted and most length are not in that order")
    if (window.low_s is not None and window.high_s is not None) and window.low_s > window.high_s:
        yield Violation("window", task.id, "the interval of what it really needs runs backwards")
