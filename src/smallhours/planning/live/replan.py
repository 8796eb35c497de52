"""A new plan while the night runs: what is done stays, what was promised moves as little as it must."""

from __future__ import annotations

import datetime as dt
import math
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.join import joined
from smallhours.bakery.kitchen.clock import instant
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.document import Order
from smallhours.bakery.orders.products import finder
from smallhours.bakery.pantry import Pantry
from smallhours.bakery.shift.happened import Happened, together
from smallhours.errors import BadInput, Impossible
from smallhours.forecast.windows import StageWindow
from smallhours.planning import plan as p
from smallhours.planning.engine.problem import Placed, Solution, StateStretch, Task
from smallhours.planning.engine.progress import Progress, Stopper
from smallhours.planning.live.beside import as_changed, with_other_nights
from smallhours.planning.live.changes import changes
from smallhours.planning.live.cleaned import as_touched, cleaners, with_cleanings
from smallhours.planning.live.facts import Fact, Facts, facts_of, is_mode
from smallhours.planning.live.past import past_hands, with_past
from smallhours.planning.live.rest import NOW, Rest, calendars, rest_of
from smallhours.planning.live.structure import Structure, structure
from smallhours.planning.shift.ask import Question
from smallhours.planning.shift.clock import HOURS_AFTER_LAST_DUE, HOURS_WHERE_NOTHING_FITS, Clock
from smallhours.planning.shift.equipment import equipment_of
from smallhours.planning.shift.loosen import HELD, loosened
from smallhours.planning.shift.plan_night import Asked, night_question, written
from smallhours.planning.shift.published import published
from smallhours.planning.shift.rules import Night, RuledLag
from smallhours.planning.shift.taken import at_work
from smallhours.planning.shift.windows import Key, Windows
from smallhours.planning.shift.write_plan import Writer

DEFAULT_TIME_LIMIT_S = 2.0
LOOSENED_S = 10.0  # more, where nothing keeps every limit


def replan(
    plan: p.Plan,
    happened: Happened,
    formulas: Mapping[str, Formula],
    kitchen: Kitchen,
    pantry: Pantry,
    *,
    made_at: dt.datetime,
    time_limit_s: float = DEFAULT_TIME_LIMIT_S,
    workers: int = 2,
    seed: int = 1,
    deterministic: bool = False,
    on_progress: Callable[[Progress], None] | None = None,
    stop: Stopper | None = None,
) -> p.Plan:
    """The plan from ``happened.now`` on; its ``changes`` say what moves and why.

    What nothing is said of went as ``plan`` has it. Nothing late comes first, then as little change as can be of what
    people were told, then what every plan wants. Where no rest of the night keeps every limit, rests and waits are
    overrun as little as can be, and the notes tell.

    Raises: BadInput for words that do not fit the plan, or for formulas and kitchens from which it was not made;
    Impossible if no plan was found in the time given; what planning a night raises.
    """
    began = time.monotonic()
    live = _Live(plan, together(plan.happened, happened), formulas, kitchen, pantry)
    live.read({said.task for said in happened.tasks})
    settings = {"workers": workers, "seed": seed, "deterministic": deterministic, "on_progress": on_progress}
    solution = live.solved(time_limit_s, stop=stop, **settings)
    return live.written(solution, made_at, time.monotonic() - began)


class _Live:
    """One plan being made anew."""

    night: Night
    question: Question
    facts: Facts
    rest: Rest
    resumed: dict[str, int]

    def __init__(
        self, plan: p.Plan, happened: Happened, formulas: Mapping[str, Formula], kitchen: Kitchen, pantry: Pantry
    ) -> None:
        self.plan, self.happened, self.pantry, self.own_kitchen = plan, happened, pantry, kitchen
        self.kitchen = _warmed(kitchen, happened.room_c)
        self.structure = structure(_first_orders(plan), happened, formulas, kitchen, pantry)
        _check_same(plan, self.structure)
        whole = {name: joined(formula, finder(formulas)) for name, formula in formulas.items()}
        self.asked = Asked(whole, self.structure.orders, self.kitchen, pantry, plan.night, self.kitchen.plan_first)
        self.dues = [(o, instant(o.date, o.due, kitchen.zone())) for o in self.structure.orders]
        self.clock = _clock(plan, [due for _, due in self.dues], bool(happened.lost or happened.orders))
        self.equipment = equipment_of(kitchen)

    def read(self, fresh: set[str]) -> None:
        """The question from now on."""
        measured = _measured(self.happened)
        if not self.structure.made.batches:
            raise BadInput("nothing is left of this night: everything in it is lost")
        self.asked = replace(self.asked, known=self._known(measured))
        found = night_question(self.asked, self.structure.made, self.clock, self.equipment, measured)
        self.night, question = found
        self.question = calendars(question, self.plan, self.happened, self.equipment, self.clock)
        self.facts = facts_of(self.plan, self.happened, frozenset(fresh), self.question, self.clock)
        old = placed_as_planned(self.plan, self.question, self.clock)
        taken = with_cleanings(self.happened, self.plan)
        left = calendars(question, self.plan, taken, self.equipment, self.clock)
        rest = rest_of(left, self.facts, self.plan, self.happened, self.equipment, old)
        self.rest = with_other_nights(as_touched(rest, self.plan, self.kitchen, self.happened.now), self.plan.taken,
                                      self.equipment)  # fmt: skip

    def _known(self, measured: Mapping[str, float]) -> dict[Key, StageWindow]:
        """The windows as people were told them, moved by what is known since."""
        told, last_due = self.plan.happened, max(due for _, due in self.dues)
        then = self.own_kitchen if told is None else _warmed(self.own_kitchen, told.room_c)
        before, now = (
            Windows(kitchen, self.clock.start, last_due, known, self.pantry)
            for kitchen, known in ((then, {} if told is None else _measured(told)), (self.kitchen, measured))
        )
        return published(self.plan, self.structure.made, self.asked.formulas, before, now)

    def solved(self, time_limit_s: float, **settings: object) -> Solution:
        """The answer, in ticks of the whole night."""
        from smallhours.planning.engine.solve import solve  # takes a moment to load

        asking = self.rest.question
        if not [task for task in asking.problem.tasks if task.id != NOW]:
            return self._whole(Solution("optimal"))
        found = solve(asking.problem, time_limit_s=time_limit_s, stay=self.rest.stay, **settings)  # type: ignore[arg-type]
        if not found.placed and not found.stopped:
            asking = loosened(asking, self.night)
            found = solve(asking.problem, time_limit_s=LOOSENED_S, stay=self.rest.stay, **settings)  # type: ignore[arg-type]
        if not found.placed:
            raise Impossible(
                "no plan of the rest of the night was found in the time given: give the planner longer, or say what "
                "can be left out"
            )
        return self._whole(found)

    def _whole(self, found: Solution) -> Solution:
        now = self.facts.now
        placed = {
            name: Placed(at.start + now, at.end + now, at.mode) for name, at in found.placed.items() if name != NOW
        }
        self.resumed = {name: placed[name].start for name in self.facts.known if name in placed}
        for name, fact in self.facts.known.items():
            end = fact.end if fact.end is not None else placed[name].end
            mode = fact.mode + HELD if fact.end is None and placed[name].mode.endswith(HELD) else fact.mode
            placed[name] = Placed(fact.start, end, mode)
        stretches = tuple(StateStretch(s.resource, s.state, s.start + now, s.end + now) for s in found.stretches)
        made = tuple(replace(c, start=c.start + now, end=c.end + now) for c in found.changes)
        there = {name: tuple(self._whole_shifts(name, pairs)) for name, pairs in found.there.items()}
        return replace(found, placed=placed, stretches=stretches, changes=made, there=there)

    def _whole_shifts(
        self, resource: str, pairs: Sequence[tuple[tuple[int, int], tuple[int, int]]]
    ) -> Iterator[tuple[tuple[int, int], tuple[int, int]]]:
        """Shifts and what is needed of each, in ticks of the night.

        Who is there has been there. Of several shifts that are alike, whoever was to come first still comes first. A
        shift that is cut by a cleaning going on is left out: all of it counts as needed.
        """
        now, left = self.facts.now, sorted(pairs, key=lambda pair: (pair[1][0] == pair[1][1], pair[1]))
        came = _needed_from(self.plan, self.clock)
        shifts = [(came.get((q.person.id, stretch), stretch[1]), stretch) for q in self.question.present
                  for stretch in q.stretches]  # fmt: skip
        found: dict[int, tuple[int, int]] = {}
        for number in sorted(range(len(shifts)), key=lambda n: shifts[n][0]):
            since, stretch = shifts[number]
            rest = (max(stretch[0] - now, 0), stretch[1] - now)
            pair = next((pair for pair in left if pair[0] == rest), None)
            if pair is not None:
                left.remove(pair)
                x, y = pair[1]
                found[number] = (since if x == 0 and since < now else x + now, y + now)
        for number in sorted(found):
            yield shifts[number][1], found[number]

    def written(self, solution: Solution, made_at: dt.datetime, solve_s: float) -> p.Plan:
        """The answer as a plan, with what happened before it and what it changes."""
        told = {task.id: task.hands[0].person for task in self.plan.tasks if task.hands}
        writer = Writer(
            self.night,
            self._known_question(),
            solution,
            self.equipment,
            self.kitchen,
            self.asked.formulas,
            self.dues,
            told,
            past_hands(self.plan, self.question, self.facts),
            self.facts.now,
            resumed=self.resumed,
            busy=[*cleaners(self.plan, self.happened.now, self.clock), *self._at_other_nights()],
        )
        made = written(writer, self.asked, self.structure.made, made_at, solve_s)
        made = with_past(made, self.plan, self.facts, self.structure.lost, self.happened)
        made = made.model_copy(update={"happened": self.happened, "taken": self.plan.taken})
        return made.model_copy(update={"changes": changes(self.plan, made, self.happened.now)})

    def _at_other_nights(self) -> list[tuple[str, int, int]]:
        there = {person.id for person in self.kitchen.people}
        return [each for each in at_work(self.plan.taken, self.clock) if each[0] in there]

    def _known_question(self) -> Question:
        """The whole night's question, in which what has begun stands fixed; what it had to keep is not asked again."""
        known = self.facts.known
        pauses = tuple(
            pause
            for pause in self.question.pauses
            if pause.task_id in known or pause.task_id in {each.task_id for each in self.rest.question.pauses}
        )
        gone = {pause.task_id for pause in self.question.pauses} - {pause.task_id for pause in pauses}
        tasks = [_fixed(task, known.get(task.id)) for task in self.question.problem.tasks if task.id not in gone]
        links = tuple(_as_it_was(link, known) for link in self.question.links)
        asked = self.rest.question.problem.resources
        problem = replace(
            self.question.problem,
            tasks=tuple(tasks),
            resources=as_changed(self.question.problem.resources, asked),
            lags=tuple(link.lag for link in links),
        )
        return replace(self.question, problem=problem, links=links, pauses=pauses)


def _as_it_was(link: RuledLag, known: Mapping[str, Fact]) -> RuledLag:
    """A link whose later side has happened, as wide as that."""
    before, after = known.get(link.lag.before), known.get(link.lag.after)
    if before is None or after is None:
        return link
    ends = (getattr(before, link.lag.before_side), getattr(after, link.lag.after_side))
    if None in ends:
        return link
    taken = ends[1] - ends[0]
    hi = None if link.lag.hi is None else max(link.lag.hi, taken)
    return replace(link, lag=replace(link.lag, lo=min(link.lag.lo, taken), hi=hi))


def _fixed(task: Task, fact: Fact | None) -> Task:
    if fact is None:
        return task
    if fact.end is None:
        return replace(task, started=(fact.start, fact.mode))
    return replace(task, fixed=(fact.start, fact.end, fact.mode))


def _measured(happened: Happened) -> dict[str, float]:
    return {said.task: said.dough_temp_c for said in happened.tasks if said.dough_temp_c is not None}


def _warmed(kitchen: Kitchen, room_c: float | None) -> Kitchen:
    if room_c is None:
        return kitchen
    temperatures = kitchen.temperatures.model_copy(update={"room_c": room_c, "room_course": ()})
    return kitchen.model_copy(update={"temperatures": temperatures})


def _first_orders(plan: p.Plan) -> tuple[Order, ...]:
    """The orders that the night was planned for before it began."""
    zone, later = plan.zone(), len(plan.happened.orders) if plan.happened is not None else 0
    orders = []
    for order in plan.orders[: len(plan.orders) - later]:
        due = order.due.astimezone(zone)
        orders.append(
            Order(
                customer=order.customer,
                product=order.product,
                date=due.date(),
                due=due.time().replace(tzinfo=None),
                pieces=order.pieces,
                free_from=order.free_from,
            )
        )
    return tuple(orders)


def _check_same(plan: p.Plan, found: Structure) -> None:
    """Raises BadInput when the documents no longer give the batches of the plan."""
    now = {batch.id for batch in found.made.batches}
    missing = sorted({batch.id for batch in plan.batches if not batch.lost} - now - found.lost)
    if missing:
        raise BadInput(
            f"the plan of the night to {plan.night} was made from other formulas or another kitchen (there is no "
            f"{missing[0]!r} any more): plan that night anew from now on instead"
        )


def _clock(plan: p.Plan, dues: Sequence[dt.datetime], from_the_beginning: bool) -> Clock:
    """The plan's clock, with a day more where something is made from the beginning in the middle of the night."""
    hours = HOURS_WHERE_NOTHING_FITS if from_the_beginning else HOURS_AFTER_LAST_DUE
    ends = [plan.horizon_end, *(due + dt.timedelta(hours=hours) for due in dues)]
    length_s = (max(ends) - plan.horizon_start).total_seconds()
    return Clock(plan.horizon_start, math.ceil(length_s / plan.tick_s), plan.tick_s)


def _needed_from(plan: p.Plan, clock: Clock) -> dict[tuple[str, tuple[int, int]], int]:
    """From which tick on each person was needed in each of their stretches of work."""
    found = {}
    for person in plan.people:
        for hours in person.hours:
            stretch = clock.tick(hours.start), clock.tick(hours.end)
            inside = [piece for piece in person.needed if hours.start <= piece.start and piece.end <= hours.end]
            if inside:
                found[person.id, stretch] = clock.tick(inside[0].start)
    return found


def placed_as_planned(plan: p.Plan, question: Question, clock: Clock) -> dict[str, Placed]:
    """Where the plan has each task that is still there, in modes of the engine."""
    modes = {task.id: [mode.id for mode in task.modes] for task in question.problem.tasks}
    found = {}
    for task in plan.tasks:
        if task.id in modes:
            mode = next((m for m in modes[task.id] if is_mode(m, task.place, task.way)), modes[task.id][0])
            found[task.id] = Placed(clock.tick(task.start), clock.tick(task.end), mode)
    for pause in question.pauses:
        pieces = next((person.breaks for person in plan.people if person.id == pause.person), ())
        for piece in pieces:
            start, end = clock.tick(piece.start), clock.tick(piece.end)
            if pause.earliest <= start and end <= pause.latest:
                found[pause.task_id] = Placed(start, end, "pause")
    return found
