"""Plan a night: orders, formulas and a kitchen in, the plan out."""

from __future__ import annotations

import datetime as dt
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.join import joined
from smallhours.bakery.kitchen.clock import instant
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.batches import BatchPlan, batches
from smallhours.bakery.orders.document import Order
from smallhours.bakery.orders.keep_free import keep_free
from smallhours.bakery.orders.products import finder
from smallhours.bakery.pantry import Pantry
from smallhours.planning.engine.problem import Solution
from smallhours.planning.engine.progress import Progress, Stopper
from smallhours.planning.plan import Plan, Taken
from smallhours.planning.shift import people as staff
from smallhours.planning.shift.agreement import PlannedStages
from smallhours.planning.shift.allergens import watch
from smallhours.planning.shift.ask import Question, question
from smallhours.planning.shift.chains import earlier_start
from smallhours.planning.shift.cleaning import assumed
from smallhours.planning.shift.clock import HOURS_AFTER_LAST_DUE, HOURS_WHERE_NOTHING_FITS, Clock, clock_for
from smallhours.planning.shift.courses import courses
from smallhours.planning.shift.equipment import Equipment, equipment_of, resources, set_temps
from smallhours.planning.shift.liquids import with_liquids
from smallhours.planning.shift.loosen import loosened
from smallhours.planning.shift.reasons import late_reasons, notes, why_nothing_fits
from smallhours.planning.shift.remarks import remarks
from smallhours.planning.shift.rounds import Answer, Known, hours_of, note_of, repaired, scouted, with_residual
from smallhours.planning.shift.rules import Night
from smallhours.planning.shift.solvers import Solvers, solvers_for
from smallhours.planning.shift.steps import Maker, Strand
from smallhours.planning.shift.taken import at_work, occupied, taken_by
from smallhours.planning.shift.windows import Windows
from smallhours.planning.shift.write_plan import Writer

DEFAULT_TIME_LIMIT_S = 60.0
DEFAULT_POLISH_S = 10.0
HOURS_AFTER = (HOURS_AFTER_LAST_DUE, HOURS_WHERE_NOTHING_FITS)


@dataclass(frozen=True)
class Asked:
    """Everything a plan is made from, in one place. ``known``: windows that are not forecast again."""

    formulas: Mapping[str, Formula]
    orders: Sequence[Order]
    kitchen: Kitchen
    pantry: Pantry
    night: dt.date
    first: tuple[str, ...] = ()
    taken: tuple[Taken, ...] = ()
    known: Known = field(default_factory=dict)


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
    beside: Sequence[Plan] = (),
    not_before: dt.datetime | None = None,
    on_progress: Callable[[Progress], None] | None = None,
    stop: Stopper | None = None,
) -> Plan:
    """The plan of the night that ends on the morning of ``night``.

    ``formulas`` by id, as written: products with one base share its dough; ``orders`` those of that day. ``start``: the
    instant the plan may begin (noon of the day before, if not given, or an earlier noon where a chain of stages needs
    it, but ``not_before``). ``first``: what matters first (as the kitchen says, if not given; see ``priorities``).
    ``time_limit_s``: seconds for the search; the best plan found by then (or until ``stop``) is returned; once lateness
    is proven to be the least there is, the search ends after ``polish_s`` more. Where none was found, ``PATIENCE_S``
    more are spent on finding one; where nothing fits, it is asked again: with a day more to be late in, then with every
    rest and wait longer than its formula allows, as the notes tell. ``margin_s``: how long before it is due every order
    is wanted ready (it is late after its due time all the same). ``beside``: plans of other nights; what they take of
    the kitchen stays theirs.
    Raises BadInput for what cannot be planned at all (an unknown product, an oven without decks, a stage that nothing
    in the kitchen can do, nobody there).
    """
    began = time.monotonic()
    whole = {name: joined(formula, finder(formulas)) for name, formula in formulas.items()}
    asked = Asked(whole, orders, kitchen, pantry, night, kitchen.plan_first if first is None else tuple(first))
    dues = [(order, instant(order.date, order.due, kitchen.zone())) for order in orders]
    made = batches(orders, formulas, kitchen, pantry)
    equipment = equipment_of(kitchen)
    clocks = _clocks(asked, made, [due for _, due in dues], equipment, start, not_before, tick_s)
    if not made.batches:
        return _empty(asked, clocks[0], made_at, made)
    asked = replace(asked, taken=taken_by(beside, clocks[0].start, clocks[-1].instant(clocks[-1].ticks)))
    margin, how = clocks[0].length(margin_s), {"workers": workers, "seed": seed, "deterministic": deterministic}
    solvers = solvers_for(time_limit_s, polish_s, margin, tick_s, on_progress, stop=stop, **how)
    answer = _agreed(asked, made, clocks, equipment, solvers)
    found = (answer.night, answer.question, answer.solution)
    writer = Writer(*found, equipment, kitchen, whole, dues, busy=_elsewhere(asked, answer.night.clock))
    plan = written(writer, asked, made, made_at, time.monotonic() - began)
    said = {"residual_s": round(answer.residual_s, 1), "notes": (*plan.notes, *note_of(answer.residual_s))}
    return plan.model_copy(update={"margin_s": float(margin * tick_s), **said})


def _elsewhere(asked: Asked, clock: Clock) -> list[tuple[str, int, int]]:
    """Who of this kitchen works for other nights, from when to when."""
    there = {person.id for person in asked.kitchen.people}
    return [each for each in at_work(asked.taken, clock) if each[0] in there]


def _clocks(
    asked: Asked, made: BatchPlan, dues: Sequence[dt.datetime], equipment: Equipment,
    start: dt.datetime | None, not_before: dt.datetime | None, tick_s: int,
) -> list[Clock]:  # fmt: skip
    """The clock of the night, and the one with a day more; without a ``start``, as early as its chains need it."""
    last_due = max(dues, default=None)

    def clocks(begin: dt.datetime | None) -> list[Clock]:
        usual = clock_for(asked.night, asked.kitchen.zone(), last_due, begin, tick_s)
        if start is None and not_before is not None and usual.start < not_before:
            begin = not_before
        return [clock_for(asked.night, asked.kitchen.zone(), last_due, begin, tick_s, hours) for hours in HOURS_AFTER]

    found = clocks(start)
    if start is None and made.batches:
        problem = unstaffed(asked, made, found[0], equipment)[1].problem
        noon = earlier_start(problem, found[0], asked.kitchen, asked.night)
        found = found if noon is None else clocks(noon)
    return found


def _agreed(asked: Asked, made: BatchPlan, clocks: Sequence[Clock], equipment: Equipment, solvers: Solvers) -> Answer:
    """The night's answer, with the windows of its own hours as far as that goes."""
    forecast = PlannedStages(asked.formulas, asked.kitchen, asked.pantry).windows
    first = scouted(*night_question(asked, made, clocks[0], equipment), solvers.scout)
    if first.solution.stopped:
        return with_residual(first, forecast)
    known = forecast(first.night, hours_of(first), False)
    night, asking, solution = _answered(replace(asked, known=known), made, clocks, equipment, solvers)

    def asked_with(known: Known) -> tuple[Night, Question]:
        return night_question(replace(asked, known=known), made, night.clock, equipment)

    return repaired(Answer(night, asking, solution), asked_with, known, solvers.moved, forecast)


def _answered(
    asked: Asked,
    made: BatchPlan,
    clocks: Sequence[Clock],
    equipment: Equipment,
    solvers: Solvers,
) -> tuple[Night, Question, Solution]:
    """The first of three questions that has an answer: as it is, with a day more, with a day more and loosened."""
    ask, patient = solvers.main, solvers.patient
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
    night, asking = unstaffed(asked, made, clock, equipment, measured_c)
    staff.somebody_works(asking.present, clock, asked.kitchen.zone())
    return night, occupied(asking, asked.taken, equipment, clock)


def unstaffed(
    asked: Asked, made: BatchPlan, clock: Clock, equipment: Equipment, measured_c: Mapping[str, float] | None = None
) -> tuple[Night, Question]:
    """As ``night_question``, with nothing taken by other nights, and whether anybody works or not."""
    ordered = {lot.product for batch in made.batches for lot in batch.lots}
    stages = [stage for name in ordered for stage in asked.formulas[name].stages]
    set_temps_c = set_temps(stages)
    last_due = max(lot.due for batch in made.batches for lot in batch.lots)
    maker = Maker(
        asked.kitchen,
        equipment,
        clock,
        Windows(asked.kitchen, clock.start, last_due, measured_c or {}, asked.pantry, dict(asked.known)),
        dict(asked.formulas),
        set_temps_c,
        steam=any(stage.steam for stage in stages),
    )
    kept = keep_free(made.batches, asked.formulas, asked.orders, asked.pantry)
    maker = replace(maker, watch=watch(kept, maker.touching(made.batches)))
    strands = tuple((batch, maker.batch_strand(batch)) for batch in made.batches)
    lots: dict[str, tuple[Strand, ...]] = {
        batch.id: tuple(maker.lot_strand(batch, lot) for lot in batch.lots) for batch in made.batches
    }
    night = Night(strands, lots, clock)
    present = staff.presences(asked.kitchen, clock)
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
        taken=asked.taken,
    )


def _empty(asked: Asked, clock: Clock, made_at: dt.datetime, made: BatchPlan) -> Plan:
    nothing = f"there are no orders for {asked.night}"
    return _frame(asked, clock, made_at, 0.0).model_copy(update={"notes": (nothing, *notes(made, asked.kitchen))})
