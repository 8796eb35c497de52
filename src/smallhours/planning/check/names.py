"""Names: of tasks, batches, lots, resources and people, and wherever one of them is named."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from smallhours.planning.check.case import Case
from smallhours.planning.check.violation import Violation

KIND = "names"
_NO_EQUIPMENT = frozenset({"room", "rack", "bench", "by-hand"})


def names(case: Case) -> Iterator[Violation]:
    """Everything has a name of its own, and every name that is used is there."""
    plan = case.plan
    yield from _once("task", (task.id for task in plan.tasks))
    yield from _once("batch", (batch.id for batch in plan.batches))
    yield from _once("lot", (lot.id for batch in plan.batches for lot in batch.lots))
    yield from _once("resource", (resource.id for resource in plan.resources))
    yield from _once("person", (person.id for person in plan.people))
    yield from _of_tasks(case)
    yield from _of_the_rest(case)


def _once(what: str, ids: Iterable[str]) -> Iterator[Violation]:
    for name, count in Counter(ids).items():
        if count > 1:
            yield Violation(KIND, name, f"is the name of {count} {what}s; a name is there once")


def _of_tasks(case: Case) -> Iterator[Violation]:
    people = {person.id for person in case.plan.people}
    for task in case.plan.tasks:
        batch = case.batches.get(task.batch)
        if batch is None:
            yield Violation(KIND, task.id, f"belongs to batch {task.batch!r}, which the plan does not list")
        elif task.lot is not None and task.lot not in {lot.id for lot in batch.lots}:
            yield Violation(KIND, task.id, f"belongs to lot {task.lot!r}, which is no lot of {batch.id}")
        if task.place not in case.resources and task.place not in _NO_EQUIPMENT:
            yield Violation(KIND, task.id, f"is done in {task.place!r}, which the plan does not list")
        for use in task.uses:
            if use.resource not in case.resources:
                yield Violation(KIND, task.id, f"uses {use.resource!r}, which the plan does not list")
        for hands in task.hands:
            if hands.person not in people:
                yield Violation(KIND, task.id, f"is in the hands of {hands.person!r}, who is nobody of this plan")


def _of_the_rest(case: Case) -> Iterator[Violation]:
    plan = case.plan
    for link in plan.links:
        for side in (link.before, link.after):
            if side not in case.tasks:
                yield Violation(KIND, f"link {link.before} > {link.after}", f"{side!r} is no task of the plan")
    for stretch in plan.ovens:
        if stretch.deck not in case.decks:
            yield Violation(KIND, stretch.deck, "is set to a temperature but is no deck of the plan")
    for order in plan.orders:
        for share in order.lots:
            if share.lot not in case.lots:
                yield Violation(
                    KIND, f"{order.customer}'s {order.product}", f"comes from {share.lot!r}, which is no lot"
                )
    for batch in plan.batches:
        for fed in batch.feeds:
            if fed not in case.batches:
                yield Violation(KIND, batch.id, f"goes into {fed!r}, which is no batch of the plan")
    for course in plan.courses:
        if course.of not in case.batches and course.of not in case.lots:
            yield Violation(KIND, course.of, "has a course but is no batch or lot of the plan")
    for reason in plan.late:
        if reason.resource is not None and reason.resource not in case.resources:
            yield Violation(KIND, reason.product, f"is late for {reason.resource!r}, which the plan does not list")
