"""Allergens: what has to be free from one meets none, in the bowl, in what goes into it, or on what it is worked on.

A mixer or bench on which something that holds an allergen was made is clean of it only after a whole task of kind
``clean`` on that equipment that names the allergen. This is about the order of work only: crumbs, dust and hands are
the baker's to mind.
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Iterator, Sequence

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.kitchen.document import Bench, Mixer
from smallhours.bakery.pantry import Pantry
from smallhours.planning.check.case import Case, minutes, seconds
from smallhours.planning.check.kitchen import bench_place
from smallhours.planning.check.violation import Violation
from smallhours.planning.plan import PlanTask

KIND = "allergens"
ALL_BENCHES = "bench"
_KEEPS_TRACES = ("mixer", "bench")


def contents(case: Case) -> Iterator[Violation]:
    """Nothing holds what it has to be free from; what goes into a dough is in it, and is kept as free as the dough."""
    for task in case.plan.tasks:
        both = set(task.holds) & set(task.free_from)
        if both and task.kind != "clean":
            yield Violation(KIND, task.id, f"has to be free from {_list(both)} and holds it")
    for before, after in _flow(case):
        lost = set(before.holds) - set(after.holds)
        if lost:
            yield Violation(KIND, after.id, f"does not say that it holds {_list(lost)}, which {before.id} brings in")
        loose = set(after.free_from) - set(before.free_from)
        if loose:
            yield Violation(KIND, before.id, f"is not kept free from {_list(loose)}, though {after.id} has to be")


def _flow(case: Case) -> Iterator[tuple[PlanTask, PlanTask]]:
    """Pairs of tasks of which the second goes on with what the first made."""
    for tasks in case.strands.values():
        yield from itertools.pairwise(tasks)
    for batch in case.plan.batches:
        own = case.strands.get(batch.id, ())
        for lot in batch.lots:
            if own and case.strands.get(lot.id):
                yield own[-1], case.strands[lot.id][0]
        fed = {task.id for of in batch.feeds for task in _all_of(case, of)}
        for link in case.plan.links:
            if own and link.before == own[-1].id and link.after in fed:
                yield own[-1], case.tasks[link.after]


def _all_of(case: Case, batch_id: str) -> Iterator[PlanTask]:
    batch = case.batches.get(batch_id)
    for of in (batch_id, *(lot.id for lot in (batch.lots if batch else ()))):
        yield from case.strands.get(of, ())


def order(case: Case) -> Iterator[Violation]:
    """Between what holds an allergen and what has to be free from it, a mixer or bench is cleaned of it, as a whole."""
    benches = {r.id for r in case.plan.resources if r.kind == "bench"}
    named = frozenset(benches - {ALL_BENCHES})
    at: dict[str, list[PlanTask]] = defaultdict(list)
    for task in case.plan.tasks:
        for name in _touched(case, task, named):
            at[name].append(task)
    for name, tasks in at.items():
        cleans = [task for task in tasks if task.kind == "clean"]
        for clean in cleans:
            yield from _whole(case, name, clean)
        yield from _unclean(case, name, [task for task in tasks if task.kind != "clean"], cleans)


def _touched(case: Case, task: PlanTask, named: frozenset[str]) -> frozenset[str]:
    """The mixers and benches that a task comes to. Where benches are named, a task that names none may be at any."""
    found = {
        name
        for name in (task.place, *(use.resource for use in task.uses))
        if name in case.resources and case.resources[name].kind in _KEEPS_TRACES
    }
    if ALL_BENCHES in found and named:
        found.remove(ALL_BENCHES)
        found |= found & named or named
    return frozenset(found)


def _unclean(case: Case, name: str, tasks: Sequence[PlanTask], cleans: Sequence[PlanTask]) -> Iterator[Violation]:
    for free in tasks:
        for allergen in sorted(free.free_from):
            before = [task for task in tasks if allergen in task.holds and task.start < free.end and task is not free]
            for task in before:
                if task.end > free.start:
                    what = f"is on {name} together with {task.id}, which holds {allergen}"
                    yield Violation(KIND, free.id, what)
            last = max((task.end for task in before if task.end <= free.start), default=None)
            if last is not None and not any(
                allergen in clean.holds and last <= clean.start and clean.end <= free.start for clean in cleans
            ):
                what = f"has to be free from {allergen}, and {name} is not cleaned of it after {case.clock(last)}"
                yield Violation(KIND, free.id, what)


def _whole(case: Case, name: str, clean: PlanTask) -> Iterator[Violation]:
    """A cleaning takes all of the equipment, hands throughout, and as long as the kitchen says."""
    there = case.resources[name].capacity
    used = sum(use.amount for use in clean.uses if use.resource == name)
    if used < there:
        yield Violation(KIND, clean.id, f"cleans {name} while {there - used} of its {there} places are at work")
    if clean.attention != "throughout":
        yield Violation(KIND, clean.id, f"cleans {name} without hands on it throughout")
    kitchen = case.documents.kitchen
    if kitchen is None:
        return
    benches = [b for b in kitchen.benches if name in ("bench", bench_place(b, kitchen))]
    things: list[Bench | Mixer] = [*benches, *(m for m in kitchen.mixers if m.id == name)]
    needed_s = max((thing.clean_s for thing in things), default=0.0)
    if seconds(clean.start, clean.end) < needed_s:
        length = minutes(seconds(clean.start, clean.end))
        yield Violation(KIND, clean.id, f"cleans {name} in {length}, that takes {minutes(needed_s)}")


def truth(case: Case) -> Iterator[Violation]:
    """A plan says all that formulas and ingredients hold, and that formulas and orders have to be free from."""
    formulas, pantry = case.documents.formulas, case.documents.pantry
    if formulas is None:
        return
    apart = {allergen for task in case.plan.tasks for allergen in task.free_from}
    for batch in case.plan.batches:
        own = case.strands.get(batch.id, ())
        formula = formulas.get(batch.formula)
        if own and formula is not None and pantry is not None:
            yield from _says(own[-1], _held(formula, batch.part, pantry) & apart)
        for lot in batch.lots:
            product, stages = formulas.get(lot.product), case.strands.get(lot.id, ())
            if product is None or not stages:
                continue
            if pantry is not None:
                inside = {a for part in product.parts for a in _held(product, part.id, pantry)}
                yield from _says(stages[-1], inside & apart)
            takers = [o for o in case.plan.orders if any(share.lot == lot.id for share in o.lots)]
            wanted = {*product.free_from, *(allergen for order in takers for allergen in order.free_from)}
            for task in stages:
                if missing := wanted - set(task.free_from):
                    yield Violation(KIND, task.id, f"is not kept free from {_list(missing)}, which is asked of it")


def _says(task: PlanTask, held: set[str]) -> Iterator[Violation]:
    if missing := held - set(task.holds):
        yield Violation(KIND, task.id, f"does not say that it holds {_list(missing)}, which is in its formula")


def _held(formula: Formula, part_id: str, pantry: Pantry) -> set[str]:
    """The allergens in a part's ingredients, the parts inside it opened; unknown ingredients hold nothing known."""
    found: set[str] = set()
    for part in formula.parts:
        for line in part.lines if part.id == part_id else ():
            if not (line.percent or line.mass_g or line.flour_percent):
                continue
            if line.part is not None:
                found |= _held(formula, line.part, pantry)
            elif line.ingredient is not None and line.ingredient in pantry:
                found |= pantry.find(line.ingredient).allergens
    return found


def _list(allergens: set[str]) -> str:
    return ", ".join(sorted(allergens))
