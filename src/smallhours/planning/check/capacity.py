"""Capacity: at no instant is more of anything used than there is."""

from __future__ import annotations

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Sequence

from smallhours.planning.check.case import Case
from smallhours.planning.check.violation import Violation
from smallhours.planning.plan import PlanResource, Use

PEOPLE = "people"
Taken = tuple[dt.datetime, dt.datetime, int]


def capacity(case: Case) -> Iterator[Violation]:
    """Mixers, benches, tray places, decks, pans and people: used at most as much as there is of them, by this night and
    others together."""
    taken: dict[str, list[Taken]] = defaultdict(list)
    for task in case.plan.tasks:
        for use in task.uses:
            if use.amount < 1:
                yield Violation("capacity", task.id, f"uses {use.amount} of {use.resource}; it must use at least 1")
            lot = case.lots.get(task.lot or "")
            if lot is None or lot.pan != use.resource:
                taken[use.resource].append((use.start, use.end, use.amount))
        taken[PEOPLE] += [(hands.start, hands.end, 1) for hands in task.hands]
    for person in case.plan.people:
        taken[PEOPLE] += [(pause.start, pause.end, 1) for pause in person.breaks]
    for other in case.taken:
        taken[other.resource].append((other.start, other.end, other.amount))
    for pan, taking in _pans(case):
        taken[pan].append(taking)
    for resource in case.plan.resources:
        yield from _overfull(case, resource, taken[resource.id])


def _pans(case: Case) -> Iterator[tuple[str, Taken]]:
    """A lot stands in its pans from the first stage in them until they have cooled, also while it waits in between."""
    used: dict[str, list[Use]] = defaultdict(list)
    for task in case.plan.tasks:
        lot = case.lots.get(task.lot or "")
        if lot is not None:
            used[lot.id] += [use for use in task.uses if use.resource == lot.pan]
    for uses in used.values():
        if uses:
            amount = max(use.amount for use in uses)
            yield uses[0].resource, (min(use.start for use in uses), max(use.end for use in uses), amount)


def _overfull(case: Case, resource: PlanResource, taken: Sequence[Taken]) -> Iterator[Violation]:
    """One sentence for each stretch in which too much is used."""
    steps: dict[dt.datetime, int] = defaultdict(int)
    for start, end, amount in taken:
        if start < end:
            steps[start] += amount
            steps[end] -= amount
    pieces = sorted((p.start, p.end, p.capacity) for p in resource.calendar)
    edges = sorted({*steps, *(edge for a, b, _ in pieces for edge in (a, b))})
    used, piece, over = 0, 0, False
    for at in edges:
        used += steps.get(at, 0)
        while piece < len(pieces) and pieces[piece][1] <= at:
            piece += 1
        within = piece < len(pieces) and pieces[piece][0] <= at
        there = pieces[piece][2] if within else resource.capacity
        if used > there and not over:
            what = f"{used} ({resource.unit or 'of it'}) are used at {case.clock(at)}, there {_are(there)}"
            yield Violation("capacity", resource.id, what)
        over = used > there


def _are(count: int) -> str:
    return f"{'is' if count == 1 else 'are'} {count}"
