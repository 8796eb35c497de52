"""Doors: a cold place is opened no more often in any hour than the kitchen wants it."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator

from smallhours.planning.check.case import Case
from smallhours.planning.check.violation import Violation

KIND = "door"
_HOUR = dt.timedelta(hours=1)


def openings(case: Case) -> Iterator[Violation]:
    """In no hour does more go in and come out than so many times, other nights' doughs counted too."""
    for place in case.plan.resources:
        if place.most_openings_per_h is None:
            continue
        own = [use for task in case.plan.tasks for use in task.uses if use.resource == place.id]
        mine = [instant for use in own for instant in (use.start, use.end)]
        taken = (other for other in case.plan.taken if other.resource == place.id and other.amount)
        at = sorted([*mine, *(instant for other in taken for instant in (other.start, other.end))])
        for number, first in enumerate(at):
            within = [each for each in at[number:] if each < first + _HOUR]
            if len(within) > place.most_openings_per_h and set(mine) & set(within):
                what = f"{len(within)} times in the hour from {case.clock(first)} on"
                yield Violation(KIND, place.id, f"is opened {what}, at most {place.most_openings_per_h} are wanted")
                break


def limits(case: Case) -> Iterator[Violation]:
    """The plan has the limits that the kitchen has."""
    kitchen = case.documents.kitchen
    for cold in kitchen.cold if kitchen is not None else ():
        place = case.resources.get(cold.id)
        if place is not None and place.most_openings_per_h != cold.most_openings_per_h:
            said = place.most_openings_per_h or "any number"
            wanted = cold.most_openings_per_h or "any number"
            yield Violation(KIND, cold.id, f"may be opened {said} times an hour, the kitchen says {wanted}")
