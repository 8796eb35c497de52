"""Plan a night: orders, formulas and a kitchen in, the plan out."""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.join import joined
from smallhours.bakery.kitchen.clock import instant
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.batches import BatchPlan, batches
from smallhours.bakery.orders.document import Order
from smallhours.bakery.orders.keep_free import keep_free
from smallhours.bakery.orders.products import finder
from smallhours.bakery.pantry import Pantry
from smallhours.planning.engine.problem import Problem, Solution
from smallhours.planning.engine.progress import Progress, Stopper
from smallhours.planning.plan import Plan
from smallhours.planning.shift import people as staff
from smallhours.planning.shift.ahead import ahead
from smallhours.planning.shift.allergens import watch
from smallhours.planning.shift.ask import Question, question
from smallhours.planning.shift.cleaning import assumed
from smallhours.planning.shift.clock import HOURS_AFTER_LAST_DUE, HOURS_WHERE_NOTHING_FITS, Clock, clock_for
from smallhours.planning.shift.courses import courses
from smallhours.planning.shift.equipment import Equipment, equipment_of, resources, set_temps
from smallhours.planning.shift.liquids import with_liquids
from smallhours.planning.shift.loosen import loosened
from smallhours.planning.shift.reasons import late_reasons, notes, why_nothing_fits
from smallhours.planning.shift.remarks import remarks
from smallhours.planning.shift.rules import Night
from smallhours.planning.shift.steps import Maker, Strand
from smallhours.planning.shift.windows import Windows
from smallhours.planning.shift.write_plan import Writer

DEFAULT_TIME_LIMIT_S = 60.0
DEFAULT_POLISH_S = 10.0
HOURS_AFTER = (HOURS_AFTER_LAST_DUE, HOURS_WHERE_NOTHING_FITS)
PATIENCE_S = 30.0  # of searching for any plan at all, where none was found in the time given


Solver = Callable[[Problem], Solution]


@dataclass(frozen=True)
class Asked:
    """Everything a plan is made from, in one place."""

    formulas: Mapping[str, Formula]
    orders: Sequence[Order]
    kitchen: Kitchen
    pantry: Pantry
    night: dt.date
    first: tuple[str, ...] = ()


def plan_night(
    formulas: Mapping[str, Formula],
    orders: Sequence[Order],
    kitchen: Kitchen,
    pantry: Pantry,
    night: dt.date,
    *,
    made_at: dt.datetime,
    start: dt.datetime | None = None,
    first: Sequence[str] | None = None,
    time_limit_s: float = DEFAULT_TIME_LIMIT_S,
    polish_s: float | None = DEFAULT_POLISH_S,
    tick_s: int = 60,
    workers: int = 2,
    seed: int = 1,
    deterministic: bool = False,
    margin_s: float = 0.0,
    on_progress: Callable[[Progress], None] | None = None,
    stop: Stopper | None = None,
) -> Plan:
    """The plan of the night that ends on the morning of ``night``.

    ``formulas`` by id, as written: products with one base share its dough; ``orders`` those of that day. ``start``: the
    instant the plan may begin (noon of the day before, if not given). ``first``: what matters first (as the kitchen
    says, if not given; see ``priorities``). ``time_limit_s``: seconds for the search; the
    best plan found by then (or until ``stop``) is returned; once lateness is proven to be the least there is, the
    search ends after ``polish_s`` more. Where none was found, ``PATIENCE_S`` more
    are spent on finding one; where nothing fits, it is asked again: with a day more to be late in, then with every
    rest and wait longer than its formula allows, as the notes tell. ``margin_s``: how long before it is due every order
    is wanted ready (it is late after its due time all the same).
    Raises BadInput for what cannot be planned at all (an unknown product, an oven without decks, a stage that nothing
    in the kitchen can do, nobody there).
    """
    began = time.monotonic()
    whole = {name: joined(formula, finder(formulas)) for name, formula in formulas.items()}
    asked = Asked(whole, orders, kitchen, pantry, night, kitchen.plan_first if first is None else tuple(first))
    dues = [(order, instant(order.date, order.due, kitchen.zone())) for order in orders]
    last_due = max((due for _, due in dues), default=None)
    clocks = [clock_for(night, kitchen.zone(), last_due, start, tick_s, hours) for hours in HOURS_AFTER]
    made = batches(orders, formulas, kitchen, pantry)
    if not made.batches:
        return _empty(asked, clocks[0], made_at, made)
    equipment = equipment_of(kitchen)
    settings = {"polish_s": polish_s, "workers": workers, "seed": seed, "deterministic": deterministic}
    quick, patient = _solvers(time_limit_s, on_progress=on_progress, stop=stop, **settings)
    margin = clocks[0].length(margin_s)
    solvers = ahead(quick, margin), ahead(patient, margin)
    asked_night, asked_question, solution = _answered(asked, made, clocks, equipment, solvers)
    writer = Writer(asked_night, asked_question, solution, equipment, kitchen, whole, dues)
    plan = written(writer, asked, made, made_at, time.monotonic() - began)
    return plan.model_copy(update={"margin_s": float(margin * tick_s)})


def _solvers(time_limit_s: float, **settings: Any) -> tuple[Solver, Solver]:
    """The solver with its time limit, and a more patient one."""
    from smallhours.planning.engine.solve import solve  # takes a moment to load

    quick, patient = (partial(solve, time_limit_s=t, **settings) for t in (time_limit_s, time_limit_s + PATIENCE_S))
    return quick, patient


def _answered(
    asked: Asked,
    made: BatchPlan,
    clocks: Sequence[Clock],
    equipment: Equipment,
    solvers: tuple[Solver, Solver],
) -> tuple[Night, Question, Solution]:
    """The first of three questions that has an answer: as it is, with a day more, with a day more and loosened."""
    ask, patient = solvers
    night, asking = night_question(asked, made, clocks[0], equipment)
    solution = ask(asking.problem)
    if solution.status == "unknown" and not solution.stopped:
        solution = patient(asking.problem)
    if solution.placed or solution.stopped:
        return night, asking, solution
    night, asking = night_question(asked, made, clocks[1], equipment)
    if solution.status == "infeasible":  # otherwise time ran out, and only a looser question is easier
        solution = patient(asking.problem)
        if solution.placed or solution.stopped:
            return night, asking, solution
    asking = loosened(asking, night)
    return night, asking, patient(asking.problem)


def night_question(
    asked: Asked, made: BatchPlan, clock: Clock, equipment: Equipment, measured_c: Mapping[str, float] | None = None
) -> tuple[Night, Question]:
    """The steps of a night and what the engine is asked. ``measured_c``: temperatures of doughs at the end of stages.

    Raises: NoPlaceForStage, BadInput if nobody works.
    """
    ordered = {lot.product for batch in made.batches for lot in batch.lots}
    set_temps_c = set_temps(stage for name in ordered for stage in asked.formulas[name].stages)
    last_due = max(lot.due for batch in made.batches for lot in batch.lots)
    maker = Maker(
        asked.kitchen,
        equipment,
        clock,
        Windows(asked.kitchen, clock.start, last_due, measured_c or {}, asked.pantry),
        dict(asked.formulas),
        set_temps_c,
    )
    kept = keep_free(made.batches, asked.formulas, asked.orders, asked.pantry)
    maker = replace(maker, watch=watch(kept, maker.touching(made.batches)))
    strands = tuple((batch, maker.batch_strand(batch)) for batch in made.batches)
    lots: dict[str, tuple[Strand, ...]] = {
        batch.id: tuple(maker.lot_strand(batch, lot) for lot in batch.lots) for batch in made.batches
    }
    night = Night(strands, lots, clock)
    present = staff.presences(asked.kitchen, clock)
    staff.somebody_works(present, clock, asked.kitchen.zone())
    found = staff.pauses(asked.kitchen, present, clock)
    things = (*resources(equipment, set_temps_c, clock), *maker.watch.resources(asked.kitchen, clock))
    return night, question(night, asked.formulas, equipment, things, present, found, asked.first)


def written(writer: Writer, asked: Asked, made: BatchPlan, made_at: dt.datetime, solve_s: float) -> Plan:
    """The plan that an answer says, with liquids, courses and remarks."""
    solution = writer.solution
    base = _frame(asked, writer.clock, made_at, solve_s)
    if not solution.placed:
        return base.model_copy(
            update={
                "status": solution.status,
                "resources": writer.resources(),
                "people": writer.people(),
                "notes": (*notes(made, asked.kitchen), *assumed(writer.night), *why_nothing_fits(writer)),
            }
        )
    plan = base.model_copy(
        update={
            "status": _status(solution),
            "resources": writer.resources(),
            "people": writer.people(),
            "batches": writer.batches(),
            "tasks": writer.tasks(),
            "links": writer.links(),
            "ovens": writer.ovens(),
            "orders": writer.plan_orders(),
            "objective": writer.objective(),
            "late": late_reasons(writer),
            "notes": (*writer.overruns(), *notes(made, asked.kitchen), *assumed(writer.night)),
        }
    )
    plan = with_liquids(plan, made, asked.kitchen, asked.pantry)
    plan = plan.model_copy(update={"courses": courses(plan, made, asked.formulas, asked.kitchen, asked.pantry)})
    return plan.model_copy(update={"notes": (*plan.notes, *remarks(plan, asked.formulas))})


def _status(solution: Solution) -> str:
    return "stopped" if solution.stopped else solution.status


def _frame(asked: Asked, clock: Clock, made_at: dt.datetime, solve_s: float) -> Plan:
    return Plan(
        kitchen=asked.kitchen.id,
        kitchen_name=asked.kitchen.name,
        night=asked.night,
        timezone=asked.kitchen.timezone,
        made_at=made_at,
        horizon_start=clock.start,
        horizon_end=clock.instant(clock.ticks),
        tick_s=clock.tick_s,
        status="empty",
        solve_s=round(solve_s, 3),
    )


def _empty(asked: Asked, clock: Clock, made_at: dt.datetime, made: BatchPlan) -> Plan:
    nothing = f"there are no orders for {asked.night}"
    return _frame(asked, clock, made_at, 0.0).model_copy(update={"notes": (nothing, *notes(made, asked.kitchen))})
