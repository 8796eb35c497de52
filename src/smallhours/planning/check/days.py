"""Several nights side by side: together they use no more than there is, and nobody is in two nights at once."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence

from smallhours.planning.check import capacity, doors, hands, oven
from smallhours.planning.check.case import Case, Documents
from smallhours.planning.check.violation import Violation
from smallhours.planning.plan import Plan, Taken


def between(plans: Sequence[Plan], documents: Documents | None = None) -> tuple[Violation, ...]:
    """What is wrong between plans of different nights, each of which may be sound by itself; each thing once."""
    found: dict[Violation, None] = {}
    for plan in plans:
        others = tuple(t for other in plans if other.night != plan.night for t in _of(other))
        case = Case(plan.model_copy(update={"taken": others}), documents or Documents())
        for check in (capacity.capacity, hands.presence, oven.changes, doors.openings):
            found |= dict.fromkeys(check(case))
    return tuple(found)


def _of(plan: Plan) -> Iterator[Taken]:
    """Everything that a plan uses."""
    for task in plan.tasks:
        for use in task.uses:
            yield Taken(night=plan.night, resource=use.resource, amount=use.amount, start=use.start, end=use.end)
        for held in task.hands:
            yield _person(plan, held.person, held.start, held.end, pause=False)
    for person in plan.people:
        for pause in person.breaks:
            yield _person(plan, person.id, pause.start, pause.end, pause=True)
    for s in plan.ovens:
        setting = {"set_temp_c": s.set_temp_c, "start": s.heat_from, "ready": s.start, "end": s.end}
        yield Taken.model_validate({"night": plan.night, "resource": s.deck, "amount": 0, **setting})


def _person(plan: Plan, person: str, start: dt.datetime, end: dt.datetime, pause: bool) -> Taken:
    return Taken(night=plan.night, resource="people", amount=1, start=start, end=end, person=person, pause=pause)
