"""Plans made while the night runs: what has happened breaks no rule, what is lost is not asked for.

Only what is still ahead can be planned well or badly. A stage that took longer than its window did so in the kitchen,
not in the plan.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Iterator

from smallhours.planning.check.violation import Violation
from smallhours.planning.plan import Plan, PlanBatch, PlanTask


def ahead(plan: Plan) -> Plan:
    """The plan without what is lost, and without what was used or held before now; a plan made beforehand as it is."""
    if plan.happened is None:
        return plan
    now = plan.happened.now
    batches = tuple(_left(batch) for batch in plan.batches if not batch.lost)
    tasks = tuple(_from_now(task, now) for task in plan.tasks if task.state != "lost")
    there = {task.id for task in tasks}
    links = tuple(link for link in plan.links if link.before in there and link.after in there)
    return plan.model_copy(update={"batches": batches, "tasks": tasks, "links": links})


def _left(batch: PlanBatch) -> PlanBatch:
    return batch.model_copy(update={"lots": tuple(lot for lot in batch.lots if not lot.lost)})


def _from_now(task: PlanTask, now: dt.datetime) -> PlanTask:
    """Hands and uses only from now on; a deck's use as a whole, as it must not change its temperature inside it."""
    if task.state == "planned":
        return task
    hands = tuple(h.model_copy(update={"start": max(h.start, now)}) for h in task.hands if h.end > now)
    uses = tuple(
        use if task.kind == "bake" else use.model_copy(update={"start": max(use.start, now)})
        for use in task.uses
        if use.end > now or task.kind == "bake"
    )
    return task.model_copy(update={"hands": hands, "uses": uses})


def not_facts(plan: Plan, found: Iterable[Violation]) -> Iterator[Violation]:
    """The violations that are not about something that has begun or is lost."""
    if plan.happened is None:
        yield from found
        return
    begun = {task.id for task in plan.tasks if task.state != "planned"}
    lost = {b.id for b in plan.batches if b.lost or (b.lots and all(lot.lost for lot in b.lots))}
    lost |= {lot.id for batch in plan.batches for lot in batch.lots if lot.lost}
    given_up = {f"{order.customer}'s {order.product}" for order in plan.orders if order.ready is None}
    for violation in found:
        if violation.kind == "pieces" and violation.where in given_up:
            continue  # its bread is lost and is not made again: the plan says that it will not be ready
        first = violation.where.split(" ", 1)[0]
        after = violation.where.split(" > ", 1)[-1].split(" ", 1)[0]
        if violation.where not in begun and first not in lost and not (violation.kind == "link" and after in begun):
            yield violation
