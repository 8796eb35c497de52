"""The stages of a night as the list of beginnings looks at them: from its plan, or reckoned back from its due times."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from smallhours.bakery.formula.document import Formula, Place
from smallhours.bakery.formula.join import joined
from smallhours.bakery.kitchen.clock import instant
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.batches import BatchPlan, batches
from smallhours.bakery.orders.document import Order
from smallhours.bakery.orders.products import finder
from smallhours.bakery.pantry import Pantry
from smallhours.bakery.process import habits
from smallhours.planning.plan import ASIDE, Plan
from smallhours.planning.shift.ask import Question
from smallhours.planning.shift.chains import earlier_start, latest_starts
from smallhours.planning.shift.clock import clock_for
from smallhours.planning.shift.equipment import equipment_of
from smallhours.planning.shift.plan_night import Asked, unstaffed
from smallhours.planning.shift.rules import Night

USED = "a_part_is_ready_before_it_is_used"


@dataclass(frozen=True)
class Begun:
    """One stage of a batch or lot, in time. ``name``: its own, if the formula gives one; ``place``: the kind of place;
    ``where``: what the plan calls it."""

    id: str
    kind: str
    name: str
    start: dt.datetime
    end: dt.datetime
    place: Place
    where: str


@dataclass(frozen=True)
class NightWork:
    """A night's batches with the stages of each batch and lot in order, and which stages use which batch.

    ``planned``: from a plan; else each stage begins as late as it may.
    """

    night: dt.date
    made: BatchPlan
    stages: Mapping[str, Sequence[Begun]]
    users: Mapping[str, Sequence[Begun]]
    planned: bool


@dataclass(frozen=True)
class Days:
    """What the days ahead are reckoned from. ``formulas``: by id, as written."""

    formulas: Mapping[str, Formula]
    kitchen: Kitchen
    pantry: Pantry

    @cached_property
    def whole(self) -> dict[str, Formula]:
        """Every formula joined to its base."""
        return {name: joined(formula, finder(self.formulas)) for name, formula in self.formulas.items()}

    def asked(self, orders: Sequence[Order], night: dt.date) -> tuple[BatchPlan, Night, Question] | None:
        """A night's batches, steps and question, from as early as its chains need; None where nothing is made.

        Raises: what making batches and steps raises.
        """
        made = batches(orders, self.formulas, self.kitchen, self.pantry)
        if not made.batches:
            return None
        zone = self.kitchen.zone()
        last = max(instant(order.date, order.due, zone) for order in orders)
        asked = Asked(self.whole, orders, self.kitchen, self.pantry, night)
        clock = clock_for(night, zone, last)
        found = unstaffed(asked, made, clock, equipment_of(self.kitchen))
        noon = earlier_start(found[1].problem, clock, self.kitchen, night)
        if noon is not None:
            found = unstaffed(asked, made, clock_for(night, zone, last, noon), equipment_of(self.kitchen))
        return made, *found

    def reckoned(self, orders: Sequence[Order], night: dt.date) -> NightWork | None:
        """A night's work, every stage as long as it is wanted and as late as it may be."""
        found = self.asked(orders, night)
        if found is None:
            return None
        made, steps, question = found
        latest = latest_starts(question.problem, {due.task: due.at for due in question.problem.dues}, wanted=True)
        stages: dict[str, list[Begun]] = {}
        by_id: dict[str, Begun] = {}
        for step in (step for step in steps.steps() if step.id in latest):
            way = step.ways[0]
            start = steps.clock.instant(latest[step.id])
            place = habits.main_way(step.stage, step.pieces).place
            end = start + dt.timedelta(seconds=way.window.preferred_s)
            by_id[step.id] = begun = Begun(step.id, step.kind, step.stage.name or "", start, end, place, place)
            stages.setdefault(step.about, []).append(begun)
        pairs = ((link.lag.before, link.lag.after) for link in question.links if link.rule == USED)
        return NightWork(night, made, stages, _users(pairs, by_id, stages), planned=False)

    def planned(self, plan: Plan, orders: Sequence[Order]) -> NightWork | None:
        """A night's work as its plan has it; None if the plan is not (any more) for these orders."""
        made = batches(orders, self.formulas, self.kitchen, self.pantry)
        ids = {batch.id for batch in made.batches}
        if not plan.tasks or not same_orders(plan, orders) or ids != {batch.id for batch in plan.batches}:
            return None
        kinds = {cold.id: "freezer" if cold.kind == "freezer" else "fridge" for cold in self.kitchen.cold}
        names = {resource.id: resource.name for resource in plan.resources}
        stages: dict[str, list[Begun]] = {}
        by_id: dict[str, Begun] = {}
        for task in plan.tasks:
            if task.kind in ASIDE or task.state == "lost":
                continue
            place: Place = kinds.get(task.place, "room")  # type: ignore[assignment]
            cold = [use.end for use in task.uses if use.resource == task.place]
            end = max(cold, default=task.end) if place in ("fridge", "freezer") else task.end
            where = names.get(task.place, task.place)
            own = "" if task.name == task.kind else task.name
            by_id[task.id] = begun = Begun(task.id, task.kind, own, task.start, end, place, where)
            stages.setdefault(task.lot or task.batch, []).append(begun)
        pairs = ((link.before, link.after) for link in plan.links if link.rule == USED)
        return NightWork(plan.night, made, stages, _users(pairs, by_id, stages), planned=True)


def _users(
    pairs: Iterator[tuple[str, str]], by_id: Mapping[str, Begun], stages: Mapping[str, Sequence[Begun]]
) -> dict[str, list[Begun]]:
    """For each batch the stages that use it, the earliest first."""
    owner = {begun.id: about for about, own in stages.items() for begun in own}
    found: dict[str, list[Begun]] = {}
    for before, after in pairs:
        if before in owner and after in by_id:
            found.setdefault(owner[before], []).append(by_id[after])
    return {about: sorted(used, key=lambda begun: (begun.start, begun.id)) for about, used in found.items()}


def same_orders(plan: Plan, orders: Sequence[Order]) -> bool:
    """Whether a plan is for exactly these orders."""
    zone = plan.zone()
    wanted = sorted((o.customer, o.product, instant(o.date, o.due, zone), o.pieces) for o in orders)
    return wanted == sorted((o.customer, o.product, o.due, o.pieces) for o in plan.orders)
