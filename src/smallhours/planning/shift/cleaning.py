"""Cleanings that the answer places: of which mixer or bench, of what, before which stage of which dough or lot."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass

from smallhours.bakery.kitchen.document import Kitchen
from smallhours.planning import plan as p
from smallhours.planning.engine.problem import Resource, Solution, StateChange
from smallhours.planning.shift import people as staff
from smallhours.planning.shift.allergens import WATCHED, allergens_in, bench_of, bench_place
from smallhours.planning.shift.clock import Clock
from smallhours.planning.shift.equipment import DOOR, OPENINGS
from smallhours.planning.shift.loosen import way_of
from smallhours.planning.shift.rules import Night
from smallhours.planning.shift.steps import Step

KIND = "clean"


@dataclass(frozen=True)
class Cleaning:
    """One cleaning: ``change`` of the engine, ``before`` which step, of the allergens ``of``; ``amounts`` of what it
    takes."""

    id: str
    place: str
    change: StateChange
    before: Step
    of: frozenset[str]
    amounts: Mapping[str, int]

    def job(self) -> staff.Job:
        """The hands it takes."""
        return staff.Job(self.id, self.before.about, self.change.start, self.change.end)

    def task(self, clock: Clock, hands: tuple[p.Hands, ...]) -> p.PlanTask:
        """The cleaning as a task of the plan, with the dough or lot that it makes room for."""
        start, end = clock.instant(self.change.start), clock.instant(self.change.end)
        length_s = float((self.change.end - self.change.start) * clock.tick_s)
        step = self.before
        return p.PlanTask(
            id=self.id,
            kind=KIND,
            stage=KIND,
            name=KIND,
            batch=step.batch.id,
            lot=step.lot.id if step.lot else None,
            formula=step.lot.product if step.lot else step.batch.formula.id,
            part=step.batch.part_id,
            place=self.place,
            start=start,
            end=end,
            window=p.Window(min_s=length_s, preferred_s=length_s, max_s=length_s, rests_on="the kitchen's own number"),
            uses=tuple(p.Use(resource=r, amount=n, start=start, end=end) for r, n in self.amounts.items()),
            attention="throughout",
            hands=hands,
            holds=tuple(sorted(self.of)),
            free_from=tuple(sorted(step.free_from)),
        )


def cleanings(night: Night, solution: Solution, resources: Mapping[str, Resource], kitchen: Kitchen) -> list[Cleaning]:
    """Every cleaning of an answer, in order of time.

    Each is called after the step it makes room for; where one is cleaned for twice, the earlier ones get a number.
    """
    found: list[Cleaning] = []
    named: Counter[str] = Counter()
    for change in sorted(solution.changes, key=lambda change: (change.start, change.resource), reverse=True):
        resource = resources[change.resource]
        (all_of_it,) = (demand for demand in resource.change_demands if demand.resource != staff.POOL)
        place, amounts = all_of_it.resource, {all_of_it.resource: all_of_it.amount}
        bench = bench_of(resource.id, kitchen)
        if bench is not None:
            place = bench_place(bench, kitchen)
            amounts[place] = bench.places
        gone = allergens_in(change.before) - allergens_in(change.after)
        step = _before(night, solution, change, gone)
        name = f"{step.id}:{KIND}"
        named[name] += 1
        own = name if named[name] == 1 else f"{name}.{named[name]}"
        found.append(Cleaning(own, place, change, step, gone, amounts))
    return found[::-1]


def doc_resource(resource_id: str, kitchen: Kitchen) -> str | None:
    """What a plan calls a resource of the engine; None for the states of a mixer or of the only bench, which show in
    what is done there, and for the doors of decks and cold places."""
    if resource_id.endswith((DOOR, OPENINGS)):
        return None
    if not resource_id.endswith(WATCHED):
        return resource_id
    bench = bench_of(resource_id, kitchen)
    return None if bench is None else bench_place(bench, kitchen)


def assumed(night: Night) -> tuple[str, ...]:
    """What a plan takes for granted where something has to be free from an allergen."""
    claimed = sorted({allergen for step in night.steps() for allergen in step.free_from})
    if not claimed:
        return ()
    return (
        f"mixers and benches are taken to be clean of {', '.join(claimed)} when the plan begins; ovens, trays, racks, "
        "hands and the air are not looked at: the order of work keeps traces few, it makes nothing safe for somebody "
        "with an allergy",
    )


def _before(night: Night, solution: Solution, change: StateChange, gone: frozenset[str]) -> Step:
    """The first step after a cleaning, on the same equipment, that has to be free from what is cleaned off."""
    there = []
    for step in night.steps():
        placed = solution.placed[step.id]
        on_it = any(demand.resource == change.resource for demand in way_of(step, placed.mode).demands)
        if on_it and placed.start >= change.end and placed.end > placed.start:
            there.append((not step.free_from & gone, placed.start, step.id, step))
    return min(there, key=lambda found: found[:3])[3]
