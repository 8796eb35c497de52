"""One try at a night: what the engine is asked for it, what it answers, who is late, and the plan if it is wanted."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, Literal

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.join import joined
from smallhours.bakery.kitchen.clock import instant
from smallhours.bakery.orders.batches import BatchPlan, batches
from smallhours.bakery.orders.document import Order
from smallhours.bakery.orders.products import finder
from smallhours.errors import BadInput
from smallhours.planning.engine.problem import Objective, Placed, Problem, Solution
from smallhours.planning.engine.progress import Stopper
from smallhours.planning.live.replan import placed_as_planned
from smallhours.planning.plan import Plan
from smallhours.planning.shift.ahead import ahead
from smallhours.planning.shift.ask import Question
from smallhours.planning.shift.clock import Clock, clock_for
from smallhours.planning.shift.equipment import equipment_of
from smallhours.planning.shift.plan_night import Asked, night_question, written
from smallhours.planning.shift.published import published
from smallhours.planning.shift.rules import Night
from smallhours.planning.shift.taken import at_work
from smallhours.planning.shift.windows import Windows
from smallhours.planning.shift.write_plan import Writer
from smallhours.planning.whatif.given import Given
from smallhours.planning.whatif.kept_decks import with_kept_decks

TOO_LONG = "because nothing fits otherwise"  # how notes end that tell of dough standing too long
ON_TIME_ONLY = Objective((("late",),))
Aim = Literal["on time", "best"]


@dataclass(frozen=True)
class Thinking:
    """How hard it is thought. ``try_s``: for finding out whether all is on time; ``polish_s``: for making a plan of
    it good in everything else. ``stop``: ends all tries."""

    try_s: float = 3.0
    polish_s: float = 2.0
    workers: int = 2
    seed: int = 1
    deterministic: bool = False
    stop: Stopper = field(default_factory=Stopper)


@dataclass(frozen=True)
class AskedNight:
    """A night as it is asked: its documents, its batches, its steps and the engine's question."""

    given: Given
    asked: Asked
    places: tuple[int, ...]
    made: BatchPlan
    night: Night
    question: Question


@dataclass(frozen=True)
class Attempt:
    """A night and what was found for it."""

    of: AskedNight
    solution: Solution
    margin: int = 0

    @property
    def fits(self) -> bool:
        """Whether there is a plan that keeps every rule."""
        return bool(self.solution.placed)

    @property
    def proven(self) -> bool:
        """Whether no plan at all can be less late (or whether there is none at all)."""
        levels = self.solution.levels
        return self.solution.status == "infeasible" or bool(levels and levels[0].proven)

    @cached_property
    def ready(self) -> dict[int, dt.datetime]:
        """When each order is ready, by its place among the orders given."""
        found: dict[int, dt.datetime] = {}
        if not self.fits:
            return found
        clock = self.of.night.clock
        for batch in self.of.made.batches:
            for lot, strand in zip(batch.lots, self.of.night.lots[batch.id], strict=True):
                at = clock.instant(self.solution.placed[strand.steps[-1].id].end)
                for index, _ in lot.orders:
                    place = self.of.places[index]
                    found[place] = max(at, found.get(place, at))
        return found

    @cached_property
    def late_s(self) -> dict[int, float]:
        """How late each order is, by its place among the orders given; infinite where nothing fits."""
        zone = self.of.given.kitchen.zone()
        found = {}
        for place, order in enumerate(self.of.given.orders):
            if order.pieces:
                due = instant(order.date, order.due, zone)
                at = self.ready.get(place)
                found[place] = float("inf") if at is None else max(0.0, (at - due).total_seconds())
        return found

    @property
    def all_late_s(self) -> float:
        """How late all orders are together."""
        return sum(self.late_s.values())

    def on_time_by(self, margin_s: float = 0.0) -> bool:
        """Whether everything is ready so long before it is due."""
        zone, orders = self.of.given.kitchen.zone(), self.of.given.orders
        return all(
            place in self.ready
            and (instant(orders[place].date, orders[place].due, zone) - self.ready[place]).total_seconds() >= margin_s
            for place in self.late_s
        )

    def plan(self, made_at: dt.datetime) -> Plan:
        """The plan, whole."""
        of, zone = self.of, self.of.given.kitchen.zone()
        orders = [of.given.orders[place] for place in of.places]
        dues = [(order, instant(order.date, order.due, zone)) for order in orders]
        kitchen = of.given.kitchen
        there = {person.id for person in kitchen.people}
        busy = [each for each in at_work(of.asked.taken, of.night.clock) if each[0] in there]
        equipment = equipment_of(kitchen)
        writer = Writer(of.night, of.question, self.solution, equipment, kitchen, of.asked.formulas, dues, busy=busy)
        plan = written(writer, of.asked, of.made, made_at, 0.0)
        return plan.model_copy(update={"margin_s": float(self.margin * of.night.clock.tick_s)})


def night_of(given: Given, tick_s: int = 60) -> AskedNight:
    """What the engine is asked for a night. Raises BadInput for what cannot be planned at all, or without orders."""
    places = tuple(place for place, order in enumerate(given.orders) if order.pieces)
    orders = [given.orders[place] for place in places]
    if not orders:
        raise BadInput(f"nothing is ordered for the night to {given.night}")
    kitchen = given.kitchen
    whole: dict[str, Formula] = {name: joined(f, finder(given.formulas)) for name, f in given.formulas.items()}
    first = kitchen.plan_first if given.first is None else given.first
    own = tuple(word for word in first if word != "on-time")  # a cure is about being on time before all else
    made = batches(orders, given.formulas, kitchen, given.pantry)
    clock = _clock(given, orders, tick_s)
    asked = Asked(whole, orders, kitchen, given.pantry, given.night, own)
    asked = replace(asked, **_told(given, asked, made, clock))
    night, question = night_question(asked, made, clock, equipment_of(kitchen))
    return AskedNight(given, asked, places, made, night, with_kept_decks(night, question, given))


def _told(given: Given, asked: Asked, made: BatchPlan, clock: Clock) -> dict[str, Any]:
    """What the plan that people know says: its windows, moved where the kitchen is another, and what is not free."""
    if given.told is None:
        return {}
    plan, then = given.told
    if any(note.endswith(TOO_LONG) for note in plan.notes):  # what it lets stand too long is not allowed for that
        return {"taken": plan.taken}
    last_due = max((lot.due for batch in made.batches for lot in batch.lots), default=clock.start)
    before, now = (Windows(place, clock.start, last_due, {}, given.pantry) for place in (then, given.kitchen))
    return {"taken": plan.taken, "known": published(plan, made, asked.formulas, before, now)}


def _clock(given: Given, orders: Sequence[Order], tick_s: int) -> Clock:
    zone = given.kitchen.zone()
    last = max(instant(order.date, order.due, zone) for order in orders)
    return clock_for(given.night, zone, last, given.start, tick_s)


def as_planned(of: AskedNight, plan: Plan | None) -> dict[str, Placed] | None:
    """Where a plan has the tasks of a night, to start from."""
    if plan is None or not plan.tasks or plan.tick_s != of.night.clock.tick_s:
        return None
    between_s = (min(task.start for task in plan.tasks) - of.night.clock.start).total_seconds()
    if between_s < 0 or between_s % plan.tick_s:
        return None
    return placed_as_planned(plan, of.question, of.night.clock)


def tried(
    of: AskedNight,
    thinking: Thinking,
    aim: Aim = "on time",
    hint: Mapping[str, Placed] | None = None,
    margin_s: float = 0.0,
) -> Attempt:
    """What is found for a night. ``aim``: only how late it has to be, or all that matters; ``margin_s``: how long
    before they are due all orders are wanted."""
    from smallhours.planning.engine.solve import solve  # takes a moment to load

    margin = of.night.clock.length(margin_s)
    limit_s = thinking.try_s if aim == "on time" else thinking.try_s + thinking.polish_s

    def ask(problem: Problem) -> Solution:
        if aim == "on time":
            problem = replace(problem, objective=ON_TIME_ONLY)
        return solve(
            problem, time_limit_s=limit_s, polish_s=thinking.polish_s, hint=hint, workers=thinking.workers,
            seed=thinking.seed, deterministic=thinking.deterministic, stop=thinking.stop,
        )  # fmt: skip

    return Attempt(of, ahead(ask, margin)(of.question.problem), margin)
