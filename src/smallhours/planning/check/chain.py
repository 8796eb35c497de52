"""The way of a dough: always somewhere, one stage after the other, lots after their dough, parts before their use.

How long a dough may stand between two stages without harm is common practice: what was weighed, half a day; what
hands have just done with, ten minutes; what ferments, chills, mixes or bakes, not at all.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from smallhours.planning.check.case import Case, minutes, seconds
from smallhours.planning.check.violation import Violation
from smallhours.planning.plan import PlanBatch, PlanTask

KIND = "chain"
_NO_WAIT = frozenset({"ferment", "rest", "chill", "proof", "retard", "temper", "cool", "mix", "bake"})
_WEIGHED_S, _HANDS_S = 12 * 3600.0, 600.0
_LOT_AFTER_LOT_S = 1200.0


def stages(case: Case) -> Iterator[Violation]:
    """The stages of one batch or lot are linked one to the next, never overlap, and follow on without harm."""
    linked = {(link.before, link.after) for link in case.plan.links}
    for of, tasks in case.strands.items():
        for before, after in itertools.pairwise(tasks):
            wait_s = seconds(before.end, after.start)
            most_s = _most_wait_s(before) + case.plan.tick_s * 0.999
            if wait_s < 0:
                yield Violation(KIND, of, f"is at {before.id} and at {after.id} at once")
            elif wait_s > most_s and not case.told(of):
                what = f"stands for {minutes(wait_s)} between {before.id} and {after.id}"
                yield Violation(KIND, of, f"{what}; {minutes(_most_wait_s(before))} do no harm")
            if (before.id, after.id) not in linked:
                yield Violation(KIND, after.id, f"nothing holds it to {before.id}")


def _most_wait_s(task: PlanTask) -> float:
    if task.kind == "weigh":
        return _WEIGHED_S
    return 0.0 if task.kind in _NO_WAIT else _HANDS_S


def lots(case: Case) -> Iterator[Violation]:
    """Every lot has stages; it is taken from its dough when the dough is there, and before it is too old."""
    linked = {(link.before, link.after) for link in case.plan.links if link.max_s is not None}
    for batch in case.plan.batches:
        dough = case.strands.get(batch.id, ())
        longest_s = _LOT_AFTER_LOT_S * len(batch.lots) + case.plan.tick_s * 0.999
        for lot in batch.lots:
            own = case.strands.get(lot.id)
            if not own:
                yield Violation(KIND, lot.id, "has no stages")
                continue
            if not dough:
                continue
            wait_s = seconds(dough[-1].end, own[0].start)
            if wait_s < 0:
                yield Violation(KIND, lot.id, f"begins {minutes(-wait_s)} before its dough is there")
            elif wait_s > longest_s and not (case.told(lot.id) or case.told(batch.id)):
                yield Violation(KIND, lot.id, f"is taken from its dough {minutes(wait_s)} after the dough's last stage")
            if (dough[-1].id, own[0].id) not in linked:
                yield Violation(KIND, lot.id, f"nothing holds it to its dough's {dough[-1].id}")


def parts(case: Case) -> Iterator[Violation]:
    """What goes into something else is ready before that is finished, and a link holds it to where it is used."""
    for batch in case.plan.batches:
        own = case.strands.get(batch.id, ())
        for fed in batch.feeds:
            target = case.batches.get(fed)
            if not own or target is None:
                continue
            yield from _fed(case, batch, own[-1], target)


def _fed(case: Case, batch: PlanBatch, last: PlanTask, target: PlanBatch) -> Iterator[Violation]:
    there = {task.id for task in _tasks_of(case, target)}
    held = [link for link in case.plan.links if link.before == last.id and link.after in there]
    if not any(link.before_side == "end" and link.after_side == "start" and link.min_s >= 0 for link in held):
        yield Violation(KIND, batch.id, f"nothing holds {target.id} until it is ready")
    ends = [task.end for task in _tasks_of(case, target)]
    if ends and max(ends) <= last.end:
        yield Violation(KIND, batch.id, f"is ready when {target.id}, into which it goes, is already finished")


def _tasks_of(case: Case, batch: PlanBatch) -> Sequence[PlanTask]:
    return [task for of in (batch.id, *(lot.id for lot in batch.lots)) for task in case.strands.get(of, ())]
