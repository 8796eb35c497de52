"""From the engine's answer to the plan that people read: instants, names, ovens, orders, reasons."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.batches import Batch
from smallhours.bakery.orders.document import Order
from smallhours.bakery.process import habits
from smallhours.forecast.windows import StageWindow
from smallhours.planning import plan as p
from smallhours.planning.engine.parts import covered
from smallhours.planning.engine.problem import Demand, Lag, Placed, Resource, Solution, StateStretch
from smallhours.planning.shift import people as staff
from smallhours.planning.shift.allergens import bench_of
from smallhours.planning.shift.ask import Question
from smallhours.planning.shift.cleaning import Cleaning, cleanings, doc_resource
from smallhours.planning.shift.clock import Clock
from smallhours.planning.shift.equipment import BENCH, RACK, Equipment
from smallhours.planning.shift.loosen import HELD, gap, overruns, way_of
from smallhours.planning.shift.pans import pan_tasks
from smallhours.planning.shift.priorities import name_of
from smallhours.planning.shift.rules import Night
from smallhours.planning.shift.steps import Step, StepWay

_STATUS: Mapping[str, str] = {"optimal": "optimal", "feasible": "feasible"}


@dataclass(frozen=True)
class Writer:
    """What is needed to write an answer down.

    ``told``: who has been told to do a task; ``had``: whose hands it had before the tick ``since``; ``busy``: who has
    other work in hand, from when to when.
    """

    night: Night
    question: Question
    solution: Solution
    equipment: Equipment
    kitchen: Kitchen
    formulas: Mapping[str, Formula]
    orders: Sequence[tuple[Order, dt.datetime]]
    told: Mapping[str, str] = field(default_factory=dict)
    had: Mapping[str, tuple[p.Hands, ...]] = field(default_factory=dict)
    since: int = 0
    resumed: Mapping[str, int] = field(default_factory=dict)
    busy: Sequence[tuple[str, int, int]] = ()

    @property
    def clock(self) -> Clock:
        """The night's clock."""
        return self.night.clock

    @cached_property
    def cleanings(self) -> list[Cleaning]:
        """The cleanings of the answer."""
        things = {resource.id: resource for resource in self.question.problem.resources}
        return cleanings(self.night, self.solution, things, self.kitchen)

    def tasks(self) -> tuple[p.PlanTask, ...]:
        """Every step where it was placed, in order of time."""
        hands = self._hands()
        written = [self._task(step, hands) for step in self.night.steps()]
        written += pan_tasks(self.night, self.question.problem, self.solution, self._uses)
        written += [cleaning.task(self.clock, hands.get(cleaning.id, ())) for cleaning in self.cleanings]
        return tuple(sorted(written, key=lambda task: (task.start, task.end, task.id)))

    def _task(self, step: Step, hands: Mapping[str, tuple[p.Hands, ...]]) -> p.PlanTask:
        placed = self.solution.placed[step.id]
        way = way_of(step, placed.mode)
        window = way.window
        attention, hands_start_s, hands_end_s = self._attention(way)
        formula = self.formulas[step.lot.product] if step.lot else step.batch.formula
        return p.PlanTask(
            id=step.id,
            kind=step.kind,
            stage=step.stage.key,
            name=step.stage.name or step.kind,
            batch=step.batch.id,
            lot=step.lot.id if step.lot else None,
            formula=formula.id,
            part=step.stage.part or formula.main,
            pieces=step.pieces or None,
            place=way.place,
            way=way.way,
            start=self.clock.instant(placed.start),
            end=self.clock.instant(placed.end),
            window=p.Window(
                min_s=window.min_s,
                preferred_s=window.preferred_s,
                max_s=self._longest_s(window, placed),
                low_s=window.low_s,
                high_s=window.high_s,
                rests_on=window.rests_on,
                temper_s=window.temper_s,
            ),
            uses=tuple(self._uses(way.demands, placed)),
            attention=attention,
            hands_start_s=hands_start_s,
            hands_end_s=hands_end_s,
            hands=hands.get(step.id, ()),
            set_temp_c=self._set_temp_c(step, placed),
            steam=step.stage.steam,
            shut_s=habits.shut_s(step.stage),
            holds=tuple(sorted(step.holds)),
            free_from=tuple(sorted(step.free_from)),
        )

    def _longest_s(self, window: StageWindow, placed: Placed) -> float:
        longest_s = max(window.max_s, self.clock.length(window.preferred_s) * self.clock.tick_s)
        if placed.mode.endswith(HELD):  # the notes say so too
            return max(longest_s, float((placed.end - placed.start) * self.clock.tick_s))
        return longest_s

    def _attention(self, way: StepWay) -> tuple[Literal["throughout", "ends", "none"], float, float]:
        hands = [d.part for d in way.demands if d.resource == staff.POOL]
        if not hands:
            return "none", 0.0, 0.0
        if any(part.kind == "whole" for part in hands):
            return "throughout", 0.0, 0.0
        ticks = {part.kind: part.ticks for part in hands}
        return "ends", float(ticks.get("first", 0) * self.clock.tick_s), float(ticks.get("last", 0) * self.clock.tick_s)

    def _uses(self, demands: Sequence[Demand], placed: Placed) -> Iterator[p.Use]:
        for demand in demands:
            name = doc_resource(demand.resource, self.kitchen)
            if name is None or name == staff.POOL:
                continue
            start, end = covered(demand.part, placed.start, placed.end)
            end = min(end, placed.end)  # what rests after its load is nobody's
            yield p.Use(
                resource=name, amount=demand.amount, start=self.clock.instant(start), end=self.clock.instant(end)
            )

    def _set_temp_c(self, step: Step, placed: Placed) -> float | None:
        deck = way_of(step, placed.mode).place
        for stretch in self.solution.stretches if deck in self.equipment.decks else ():
            if stretch.resource == deck and stretch.start <= placed.start and placed.end <= stretch.end:
                return float(stretch.state)
        return step.stage.set_temp_c

    def _hands(self) -> dict[str, tuple[p.Hands, ...]]:
        jobs = []
        for step in self.night.steps():
            placed = self.solution.placed[step.id]
            way = way_of(step, placed.mode)
            for demand in way.demands:
                if demand.resource == staff.POOL:
                    start, end = covered(demand.part, placed.start, placed.end)
                    if end > self.since or not self.since:
                        told = self.told.get(step.id)
                        begins = max(start, self.resumed.get(step.id, self.since))
                        jobs.append(staff.Job(step.id, step.about, begins, end, told))
        jobs += [cleaning.job() for cleaning in self.cleanings]
        named = staff.give_names(jobs, self._needed(), [*self._pauses_taken(), *self.busy])
        found = dict(self.had)
        for task_id, stretches in named.items():
            hands = (p.Hands(person=q, start=self.clock.instant(a), end=self.clock.instant(b)) for q, a, b in stretches)
            found[task_id] = (*found.get(task_id, ()), *hands)
        return found

    def _needed(self) -> tuple[staff.Presence, ...]:
        """Everybody from when to when they are needed."""
        return staff.needed(self.question.present, self.solution.there.get(staff.POOL, ()))

    def _pauses_taken(self) -> list[tuple[str, int, int]]:
        placed = self.solution.placed
        return [(q.person, placed[q.task_id].start, placed[q.task_id].end) for q in self.question.pauses]

    def links(self) -> tuple[p.PlanLink, ...]:
        """Every lag between two tasks of the plan, with the rule it comes from."""
        return tuple(
            p.PlanLink(
                before=ruled.lag.before,
                after=ruled.lag.after,
                before_side=ruled.lag.before_side,
                after_side=ruled.lag.after_side,
                min_s=ruled.lag.lo * self.clock.tick_s,
                max_s=self._most_s(ruled.lag),
                rule=ruled.rule,
            )
            for ruled in self.question.links
        )

    def _most_s(self, lag: Lag) -> float | None:
        if lag.hi is None:
            return None
        return float(max(lag.hi, gap(lag, self.solution)) * self.clock.tick_s)  # an overrun is told in the notes

    def overruns(self) -> tuple[str, ...]:
        """One sentence for everything that stands longer than it may, because nothing fits otherwise."""
        return tuple(o.sentence() for o in overruns(self.night, self.question.links, self.solution, self.clock))

    def resources(self) -> tuple[p.PlanResource, ...]:
        """Everything that was counted, with its capacity and calendar."""
        found = [(doc_resource(r.id, self.kitchen), r) for r in self.question.problem.resources]
        return tuple(self._resource(name, resource) for name, resource in found if name is not None)

    def _resource(self, called: str, resource: Resource) -> p.PlanResource:
        kind, name, unit = self._kind(resource.id)
        heats, cold = resource.id in self.equipment.decks, self.equipment.cold.get(resource.id)
        starts = {f"start>{t}": ticks for t, ticks in resource.initial_change.items() if heats}
        changes = {f"{a}>{b}": ticks for (a, b), ticks in resource.change.items() if heats}
        return p.PlanResource(
            id=called,
            name=name,
            kind=kind,
            unit=unit,
            capacity=resource.capacity,
            calendar=tuple(self._piece(a, b, c) for a, b, c in resource.calendar),
            change_s={key: ticks * self.clock.tick_s for key, ticks in (starts | changes).items()},
            most_openings_per_h=cold.most_openings_per_h if cold is not None else None,
        )

    def _kind(self, resource_id: str) -> tuple[str, str, str]:
        e = self.equipment
        if resource_id == staff.POOL:
            return "people", "People", "person"
        if resource_id == BENCH:
            return "bench", ", ".join(b.name for b in self.kitchen.benches), "place"
        bench = bench_of(resource_id, self.kitchen)
        if bench is not None:
            return "bench", bench.name, "place"
        if resource_id == RACK:
            return "rack", ", ".join(r.name for r in self.kitchen.racks), "tray place"
        if resource_id in e.mixers:
            return "mixer", e.mixers[resource_id].name, "dough"
        if resource_id in e.cold:
            return e.cold[resource_id].kind, e.cold[resource_id].name, "tray place"
        if resource_id in e.proofers:
            return "proofer", e.proofers[resource_id].name, "tray place"
        if resource_id in e.decks:
            return "deck", e.decks[resource_id].name, "tray place"
        return "pan", e.pans[resource_id].name, "pan"

    def _piece(self, start: int, end: int, capacity: int) -> p.CalendarPiece:
        return p.CalendarPiece(start=self.clock.instant(start), end=self.clock.instant(end), capacity=capacity)

    def people(self) -> tuple[p.PlanPerson, ...]:
        """Everybody's hours and placed pauses."""
        taken = self._pauses_taken() if self.solution.placed else []
        return tuple(
            p.PlanPerson(
                id=presence.person.id,
                name=presence.person.name,
                hours=tuple(self._piece(a, b, 1) for a, b in presence.stretches),
                breaks=tuple(self._piece(a, b, 0) for who, a, b in taken if who == presence.person.id),
                needed=tuple(self._piece(a, b, 1) for a, b in needed.stretches) if self.solution.there else (),
            )
            for presence, needed in zip(self.question.present, self._needed(), strict=True)
        )

    def ovens(self) -> tuple[p.OvenStretch, ...]:
        """Each deck's set temperatures through the night, back-scheduled: when it must be switched on or over.

        A deck that stands hot only for another night is left to that night's plan.
        """
        found: list[p.OvenStretch] = []
        by_id = {resource.id: resource for resource in self.question.problem.resources}
        heated = [stretch for stretch in self.solution.stretches if stretch.resource in self.equipment.decks]
        stood: dict[str, str] = {}
        for stretch in sorted(heated, key=lambda s: (s.resource, s.start)):
            deck = by_id[stretch.resource]
            change = deck.change_ticks(stood.get(deck.id), stretch.state)
            stood[deck.id] = stretch.state
            if self._bakes_in(stretch):
                found.append(
                    p.OvenStretch(
                        deck=stretch.resource,
                        set_temp_c=float(stretch.state),
                        heat_from=self.clock.instant(max(0, stretch.start - change)),
                        start=self.clock.instant(stretch.start),
                        end=self.clock.instant(stretch.end),
                    )
                )
        return tuple(found)

    def _bakes_in(self, stretch: StateStretch) -> bool:
        """Whether something of this night is baked in a stretch of a deck."""
        for step in self.night.steps():
            placed = self.solution.placed[step.id]
            inside = stretch.start <= placed.start and placed.end <= stretch.end
            if inside and way_of(step, placed.mode).place == stretch.resource:
                return True
        return False

    def ready(self) -> dict[str, dt.datetime]:
        """Lot -> when its last stage ends."""
        return {
            strand.of: self.clock.instant(self.solution.placed[strand.steps[-1].id].end)
            for lots in self.night.lots.values()
            for strand in lots
            if strand.steps
        }

    def batches(self) -> tuple[p.PlanBatch, ...]:
        """Every bowl, with its lots and the mixer it was given."""
        ready = self.ready()
        return tuple(self._batch(batch, ready) for batch, _ in self.night.batches)

    def _batch(self, batch: Batch, ready: Mapping[str, dt.datetime]) -> p.PlanBatch:
        part = batch.formula.part(batch.part_id)
        mixer = None
        for step in self.night.steps():
            if step.batch is batch and step.lot is None and step.kind == "mix":
                way = way_of(step, self.solution.placed[step.id].mode)
                mixer = way.place if way.place in self.equipment.mixers else mixer
        return p.PlanBatch(
            id=batch.id,
            formula=batch.formula.id,
            part=batch.part_id,
            part_kind=part.kind,
            name=part.name,
            mass_g=round(batch.mass_g, 1),
            flour_g=round(batch.flour_g, 1),
            mixer=mixer,
            feeds=batch.feeds,
            over_g=round(batch.over_g, 1),
            lots=tuple(
                p.PlanLot(
                    id=lot.id,
                    product=lot.product,
                    name=self.formulas[lot.product].name,
                    pieces=lot.pieces,
                    piece_mass_g=round(lot.main_mass_g / lot.pieces, 1),
                    pan=self.formulas[lot.product].pan,
                    pans=lot.pans,
                    tray_places=lot.tray_places,
                    due=lot.due,
                    ready=ready.get(lot.id),
                    free_places=max(0, lot.pans * self.formulas[lot.product].pieces_per_pan - lot.pieces),
                )
                for lot in batch.lots
            ),
        )

    def plan_orders(self) -> tuple[p.PlanOrder, ...]:
        """Every order: ready when the last of its lots is."""
        ready = self.ready()
        shares: dict[int, list[p.LotShare]] = {}
        for batch, _ in self.night.batches:
            for lot in batch.lots:
                for index, pieces in lot.orders:
                    shares.setdefault(index, []).append(p.LotShare(lot=lot.id, pieces=pieces))
        written = []
        for index, (order, due) in enumerate(self.orders):
            times = [ready.get(share.lot) for share in shares.get(index, ())]
            known = [t for t in times if t is not None]
            at = max(known) if known and len(known) == len(times) else None
            written.append(
                p.PlanOrder(
                    customer=order.customer,
                    product=order.product,
                    pieces=order.pieces,
                    due=due,
                    ready=at,
                    late_s=max(0.0, (at - due).total_seconds()) if at else 0.0,
                    lots=tuple(shares.get(index, ())),
                    free_from=order.free_from,
                )
            )
        return tuple(written)

    def objective(self) -> tuple[p.ObjectiveLevel, ...]:
        """What each level of the objective came to."""
        return tuple(
            p.ObjectiveLevel(
                name=name_of(level.terms),
                terms={name: float(value) for name, value in level.terms.items()},
                value=float(level.value),
                bound=float(level.bound),
                proven=level.proven,
                least={name: float(value) for name, value in level.least.items()},
            )
            for level in self.solution.levels
        )
