"""The kitchen: a plan has no more of anything than the kitchen, and people only in their hours, with their pauses."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence

from smallhours.bakery.kitchen.clock import instant
from smallhours.bakery.kitchen.document import DAYS, Bench, Break, Kitchen, Person
from smallhours.planning.check.case import Case, minutes, seconds
from smallhours.planning.check.violation import Violation
from smallhours.planning.plan import PlanPerson

KIND = "kitchen"
Stretch = tuple[dt.datetime, dt.datetime]
_HALF_A_DAY_S = 12 * 3600.0
_NIGHT = dt.timedelta(days=1)


def equipment(case: Case) -> Iterator[Violation]:
    """Of every resource a plan counts at most as much as the kitchen has."""
    kitchen = case.documents.kitchen
    if kitchen is None:
        return
    if kitchen.timezone != case.plan.timezone:
        yield Violation(KIND, "timezone", f"is {case.plan.timezone}, the kitchen's is {kitchen.timezone}")
    there = _counts(kitchen)
    for resource in case.plan.resources:
        if resource.kind == "people":
            continue
        if resource.id not in there:
            yield Violation(KIND, resource.id, "is not in the kitchen")
            continue
        kind, count = there[resource.id]
        most = max((resource.capacity, *(piece.capacity for piece in resource.calendar)))
        if most > count:
            yield Violation(KIND, resource.id, f"is counted {most} times, the kitchen has {count}")
        if resource.kind != kind:
            yield Violation(KIND, resource.id, f"is called a {resource.kind}, in the kitchen it is a {kind}")


def _counts(kitchen: Kitchen) -> dict[str, tuple[str, int]]:
    """What a plan calls each thing of the kitchen -> its kind and how much of it there is."""
    found: dict[str, tuple[str, int]] = {mixer.id: ("mixer", 1) for mixer in kitchen.mixers}
    found |= {bench_place(bench, kitchen): ("bench", bench.places) for bench in kitchen.benches}
    found["bench"] = ("bench", sum(bench.places for bench in kitchen.benches))
    found["rack"] = ("rack", sum(rack.count * rack.tray_places for rack in kitchen.racks))
    found |= {cold.id: (cold.kind, cold.tray_places) for cold in kitchen.cold}
    found |= {proofer.id: ("proofer", proofer.tray_places) for proofer in kitchen.proofers}
    found |= {pan.id: ("pan", pan.count) for pan in kitchen.pans}
    found |= {f"{o.id}.{d.id}": ("deck", d.tray_places) for o in kitchen.ovens for d in o.decks}
    return found


def bench_place(bench: Bench, kitchen: Kitchen) -> str:
    """What a plan calls one of several benches: all of them together are ``bench``."""
    return "bench-1" if bench.id == "bench" and len(kitchen.benches) > 1 else bench.id


def people(case: Case) -> Iterator[Violation]:
    """People are planned within the hours the kitchen gives them, and have the pauses it gives them."""
    kitchen = case.documents.kitchen
    if kitchen is None:
        return
    known = {person.id: person for person in kitchen.people}
    for person in case.plan.people:
        if person.id not in known:
            yield Violation(KIND, person.id, "is nobody of this kitchen")
            continue
        written = known[person.id]
        own = _hours(case, kitchen, written)
        for piece in person.hours:
            if not any(a <= piece.start and piece.end <= b for a, b in own):
                yield Violation(KIND, person.id, f"has no hours at {case.clock(piece.start)} in the kitchen")
        for pause in person.breaks:
            if not any(_is_of(case, kitchen, pause.start, pause.end, rest) for rest in written.breaks):
                yield Violation(KIND, person.id, f"has no such pause at {case.clock(pause.start)} in the kitchen")
        for rest in written.breaks:
            yield from _missed(case, kitchen, person, rest)


def _hours(case: Case, kitchen: Kitchen, person: Person) -> list[Stretch]:
    """When the kitchen says that somebody is there around this plan; what touches is one stretch."""
    found: list[Stretch] = []
    for date in _dates(case, kitchen):
        for hours in person.hours:
            if DAYS[date.weekday()] in hours.days:
                found.append(_between(kitchen, date, hours.start, hours.end))
    joined: list[Stretch] = []
    for start, end in sorted(found):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return joined


def _dates(case: Case, kitchen: Kitchen) -> list[dt.date]:
    first = case.plan.horizon_start.astimezone(kitchen.zone()).date() - _NIGHT
    last = case.plan.horizon_end.astimezone(kitchen.zone()).date()
    return [first + _NIGHT * n for n in range((last - first).days + 1)]


def _between(kitchen: Kitchen, date: dt.date, start: dt.time, end: dt.time) -> Stretch:
    """From a time on the wall to another, which is on the next day if it is not later."""
    zone = kitchen.zone()
    return instant(date, start, zone), instant(date if end > start else date + _NIGHT, end, zone)


def _is_of(case: Case, kitchen: Kitchen, start: dt.datetime, end: dt.datetime, rest: Break) -> bool:
    if seconds(start, end) < rest.duration_s:
        return False
    windows = [_between(kitchen, date, rest.earliest, rest.latest) for date in _dates(case, kitchen)]
    return any(a <= start and end <= b for a, b in windows)


def _missed(case: Case, kitchen: Kitchen, person: PlanPerson, rest: Break) -> Iterator[Violation]:
    """A pause that has room in somebody's hours is taken there, unless one was taken half a day before or after."""
    taken = [(p.start, p.end) for p in person.breaks if _is_of(case, kitchen, p.start, p.end, rest)]
    for date in _dates(case, kitchen):
        window = _between(kitchen, date, rest.earliest, rest.latest)
        for hours in person.hours:
            start, end = max(window[0], hours.start), min(window[1], hours.end)
            room_s = seconds(start, end)
            # rounding to whole ticks may take a tick at either side
            if not rest.duration_s or room_s < rest.duration_s + 2 * case.plan.tick_s or _near(taken, start, end):
                continue
            what = f"misses a pause of {minutes(rest.duration_s)} between {case.clock(start)} and {case.clock(end)}"
            yield Violation(KIND, person.id, what)


def _near(taken: Sequence[Stretch], start: dt.datetime, end: dt.datetime) -> bool:
    near = dt.timedelta(seconds=_HALF_A_DAY_S)
    return any(a < end + near and start - near < b for a, b in taken)
