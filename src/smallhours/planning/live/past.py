"""What happened, written into the new plan: states, whose hands it had, what is lost, how the ovens stood."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence

from smallhours.bakery.shift.happened import Happened
from smallhours.planning import plan as p
from smallhours.planning.engine.parts import covered
from smallhours.planning.live.facts import Facts
from smallhours.planning.shift import people as staff
from smallhours.planning.shift.ask import Question


def past_hands(plan: p.Plan, question: Question, facts: Facts) -> dict[str, tuple[p.Hands, ...]]:
    """Whose hands each task that has begun had until now: those that were planned, at the times that were."""
    planned = {task.id: task.hands for task in plan.tasks}
    modes = {(task.id, mode.id): mode for task in question.problem.tasks for mode in task.modes}
    found = {}
    for name, fact in facts.known.items():
        people = [hands.person for hands in planned.get(name, ())]
        if not people or (name, fact.mode) not in modes:
            continue
        end = facts.now if fact.end is None else fact.end
        pieces = [covered(d.part, fact.start, end) for d in modes[name, fact.mode].demands
                  if d.resource == staff.POOL and (fact.end is not None or d.part.kind != "last")]  # fmt: skip
        instant = facts.clock.instant
        found[name] = tuple(
            p.Hands(person=people[min(n, len(people) - 1)], start=instant(a), end=instant(min(b, facts.now)))
            for n, (a, b) in enumerate(pieces)
            if min(b, facts.now) > a
        )
    return found


def with_past(made: p.Plan, before: p.Plan, facts: Facts, lost: frozenset[str], happened: Happened) -> p.Plan:
    """The new plan with what has begun marked as such, and what is lost kept in sight."""
    was, now = {task.id: task for task in before.tasks}, happened.now
    more_s = {said.task: said.more_s for said in happened.tasks if said.more_s}
    tasks = [_marked(_longer(task, more_s.get(task.id, 0.0)), was.get(task.id), facts) for task in made.tasks]
    there = {task.id for task in tasks}
    tasks += [_gone(task, now) for task in before.tasks if task.id not in there and task.start < now]
    return made.model_copy(
        update={
            "tasks": tuple(sorted(tasks, key=lambda task: (task.start, task.end, task.id))),
            "batches": tuple(_batches(made, before, lost)),
            "ovens": _ovens(made, before, tasks, now),
        }
    )


def _longer(task: p.PlanTask, more_s: float) -> p.PlanTask:
    """A stage that needs longer or shorter than forecast, and what its window is for that."""
    if not more_s:
        return task
    window = task.window
    lengths = {name: max(0.0, getattr(window, name) + more_s) for name in ("min_s", "preferred_s", "max_s")}
    spread = {name: value + more_s for name in ("low_s", "high_s") if (value := getattr(window, name)) is not None}
    changed = window.model_copy(update={**lengths, **spread, "rests_on": f"{window.rests_on}; moved as was said"})
    return task.model_copy(update={"window": changed})


def _marked(task: p.PlanTask, was: p.PlanTask | None, facts: Facts) -> p.PlanTask:
    if task.id not in facts.known:
        return task
    update: dict[str, object] = {"state": "done" if facts.done(task.id) else "running"}
    if was is not None and task.kind == "bake":
        update["set_temp_c"] = was.set_temp_c
    return task.model_copy(update=update)


def _gone(task: p.PlanTask, now: dt.datetime) -> p.PlanTask:
    """A task of a dough that is lost: cut off where it was. A cleaning is kept as it was."""
    if task.kind == "clean":
        return task.model_copy(update={"state": "done" if task.end <= now else "running"})
    uses = tuple(u.model_copy(update={"end": min(u.end, now)}) for u in task.uses if u.start < now)
    hands = tuple(h.model_copy(update={"end": min(h.end, now)}) for h in task.hands if h.start < now)
    return task.model_copy(update={"state": "lost", "end": min(task.end, now), "uses": uses, "hands": hands})


def _batches(made: p.Plan, before: p.Plan, lost: frozenset[str]) -> Iterator[p.PlanBatch]:
    was = {batch.id: batch for batch in before.batches}
    for batch in made.batches:
        old = was.get(batch.id)
        gone = () if old is None else tuple(lot for lot in old.lots if lot.id in lost)
        yield batch.model_copy(update={"lots": (*batch.lots, *(_lost(lot) for lot in gone))}) if gone else batch
    there = {batch.id for batch in made.batches}
    for batch in before.batches:
        if batch.id not in there:
            yield batch.model_copy(update={"lost": True, "feeds": (), "lots": tuple(_lost(lot) for lot in batch.lots)})


def _lost(lot: p.PlanLot) -> p.PlanLot:
    return lot.model_copy(update={"lost": True, "ready": None})


def _ovens(made: p.Plan, before: p.Plan, tasks: Sequence[p.PlanTask], now: dt.datetime) -> tuple[p.OvenStretch, ...]:
    """How the decks stood until now, and how they stand from now on: a temperature that is kept is one stretch."""
    found: list[p.OvenStretch] = []
    for deck in sorted({s.deck for s in (*made.ovens, *before.ovens)}):
        past = [s for s in before.ovens if s.deck == deck and s.heat_from < now]
        past = [_as_it_was(stretch, tasks, now) for stretch in past]
        coming = [s for s in made.ovens if s.deck == deck]
        if past and coming and past[-1].set_temp_c == coming[0].set_temp_c:
            first = coming.pop(0)
            start = first.start if past[-1].start >= now else past[-1].start
            past[-1] = past[-1].model_copy(update={"start": start, "end": first.end})
        elif coming:
            coming[0] = coming[0].model_copy(update={"heat_from": min(max(coming[0].heat_from, now), coming[0].start)})
        found += [*(s for s in past if s.start < s.end), *coming]
    return tuple(found)


def _as_it_was(stretch: p.OvenStretch, tasks: Sequence[p.PlanTask], now: dt.datetime) -> p.OvenStretch:
    """A stretch until now, as long as the bakes in it really took."""
    bakes = (t for t in tasks if t.kind == "bake" and t.place == stretch.deck and t.state in ("done", "lost"))
    same = (t for t in bakes if t.set_temp_c == stretch.set_temp_c)
    inside = [t for t in same if t.end > stretch.heat_from and t.start < stretch.end]
    end = max([min(stretch.end, now), *(t.end for t in inside)])
    start = min([stretch.start, *(t.start for t in inside)])
    return stretch.model_copy(update={"start": start, "end": end, "heat_from": min(stretch.heat_from, start)})
