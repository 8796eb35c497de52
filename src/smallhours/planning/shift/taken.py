"""What the plans of other nights take of the kitchen in the time of this one, and how the engine is told.

The dough of one night rests in the fridge while the bread of another is still baked. What another plan has is not asked
again: it stands, as fixed tasks of no meaning, and this night is fitted around it.
"""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from smallhours.planning import plan as p
from smallhours.planning.engine.problem import Demand, Mode, Resource, Task
from smallhours.planning.shift import people as staff
from smallhours.planning.shift.allergens import WATCHED
from smallhours.planning.shift.ask import Question
from smallhours.planning.shift.clock import Clock
from smallhours.planning.shift.equipment import AN_HOUR_S, BENCH, OPENINGS, DeckOf, Equipment, change_s, state_name

OTHER = "another night"
_STAYS = {True: dt.timedelta(hours=8), False: dt.timedelta()}
"""How long something is told of after it ended: a deck may still be too hot for what comes next."""
Use = tuple[int, int, int]
Stand = tuple[int, int, int, float]  # switched on or over, ready, to the end, at which set temperature
Stretch = tuple[int, int]
Fixed = tuple[int, int, str]


def taken_by(plans: Iterable[p.Plan], start: dt.datetime, end: dt.datetime) -> tuple[p.Taken, ...]:
    """What these plans take between two instants: uses of equipment, hands, pauses, and how decks stand.

    A deck that was needed a while before ``start`` is told of too, for it may still be hot.
    """
    found = (taken for plan in plans for taken in _all_of(plan))
    there = [each for each in found if each.start < end and each.end > start - _STAYS[each.set_temp_c is not None]]
    return tuple(sorted(there, key=lambda each: (each.start, each.resource, each.person or "", each.end)))


def _all_of(plan: p.Plan) -> Iterator[p.Taken]:
    for task in plan.tasks:
        if task.state == "lost" and task.start == task.end:
            continue
        for use in task.uses:
            yield p.Taken(night=plan.night, resource=use.resource, amount=use.amount, start=use.start, end=use.end)
        for hands in task.hands:
            yield _of_person(plan, hands.person, hands.start, hands.end)
    for person in plan.people:
        for pause in person.breaks:
            yield _of_person(plan, person.id, pause.start, pause.end, pause=True)
    for s in plan.ovens:
        setting = {"set_temp_c": s.set_temp_c, "start": s.heat_from, "ready": s.start, "end": s.end}
        yield p.Taken.model_validate({"night": plan.night, "resource": s.deck, "amount": 0, **setting})


def _of_person(plan: p.Plan, person: str, start: dt.datetime, end: dt.datetime, pause: bool = False) -> p.Taken:
    return p.Taken(
        night=plan.night, resource=staff.POOL, amount=1, start=start, end=end, person=person, pause=pause
    )  # fmt: skip


def at_work(taken: Iterable[p.Taken], clock: Clock) -> tuple[tuple[str, int, int], ...]:
    """Who has hands on the work of another night, from when to when (as far as the clock goes)."""
    return tuple(
        (each.person, clock.inside(clock.tick(each.start)), clock.inside(clock.tick(each.end)))
        for each in taken
        if each.person is not None and not each.pause
    )


def occupied(question: Question, taken: Sequence[p.Taken], equipment: Equipment, clock: Clock) -> Question:
    """The question with everything that is taken standing in it.

    Where the kitchen has changed since and there is less of something than was taken, all of it is taken.
    """
    if not taken:
        return question
    return _Occupied(question, taken, equipment, clock).question()


@dataclass(frozen=True)
class _Occupied:
    """One question and what is taken of it."""

    asked: Question
    taken: Sequence[p.Taken]
    equipment: Equipment
    clock: Clock

    def question(self) -> Question:
        """The question with what is taken."""
        pauses, fixed, hands = self._pauses()
        own = {pause.task_id: pause for pause in self.asked.pauses}
        kept = {pause.task_id for pause in pauses}
        tasks = []
        for task in self.asked.problem.tasks:
            if task.id in own and task.id in kept:
                pause = next(each for each in pauses if each.task_id == task.id)
                task = replace(task, earliest=pause.earliest, latest=pause.latest, fixed=fixed.get(task.id))
            if task.id not in own or task.id in kept:
                tasks.append(task)
        resources = []
        for resource in self.asked.problem.resources:
            changed, more = self._of(resource, hands)
            resources.append(changed)
            tasks += more
        problem = replace(self.asked.problem, tasks=tuple(tasks), resources=tuple(resources))
        return replace(self.asked, problem=problem, pauses=tuple(pauses))

    def _of(self, resource: Resource, hands: Mapping[str, Sequence[Stretch]]) -> tuple[Resource, list[Task]]:
        if resource.id in self.equipment.decks:
            deck = self.equipment.decks[resource.id]
            return _deck(resource, deck, self._uses(resource.id), self._stands(resource.id), self.clock)
        if resource.id == staff.POOL:
            uses: list[Use] = [(a, b, 1) for stretches in hands.values() for a, b in stretches]
        elif resource.id.endswith(WATCHED):
            return resource, self._touched(resource)
        elif resource.id.endswith(OPENINGS):
            uses = self._openings(resource.id.removesuffix(OPENINGS))
        else:
            uses = self._uses(resource.id)
        return resource, _standing(resource.id, _levels(resource, uses, self.clock.ticks))

    def _uses(self, name: str) -> list[Use]:
        mine = (each for each in self.taken if each.resource == name and each.amount)
        return [(*self._ticks(each), each.amount) for each in mine]

    def _openings(self, name: str) -> list[Use]:
        """What another night puts into a cold place and takes out of it, each for an hour."""
        hour, tick = self.clock.length(AN_HOUR_S), self.clock.tick
        mine = [each for each in self.taken if each.resource == name and each.amount]
        at = [tick(instant) for each in mine for instant in (each.start, each.end)]
        return [(max(t, 0), min(t + hour, self.clock.ticks), 1) for t in at]

    def _ticks(self, each: p.Taken) -> tuple[int, int]:
        return self.clock.inside(self.clock.tick(each.start)), self.clock.inside(self.clock.tick(each.end))

    def _stands(self, name: str) -> list[Stand]:
        """How another night has a deck standing, in order; also before tick 0."""
        tick, found = self.clock.tick, []
        for each in self.taken:
            if each.resource == name and each.set_temp_c is not None:
                ready = each.start if each.ready is None else each.ready
                found.append((tick(each.start), tick(ready), tick(each.end), each.set_temp_c))
        return sorted(found)

    def _touched(self, resource: Resource) -> list[Task]:
        """Nobody knows what another night's work on a mixer or bench leaves there: anything it has to be cleaned of."""
        own = resource.id.removesuffix(WATCHED)
        names = {own} if own in self.equipment.mixers else {own, BENCH, f"{own}-1"}
        spans = staff.merged((a, b) for name in names for a, b, _ in self._uses(name) if a < b)
        worst = frozenset({max(resource.states, key=len)})
        return [_fixed(resource.id, n, a, b, 1, worst) for n, (a, b) in enumerate(spans, 1)]

    def _pauses(self) -> tuple[list[staff.Pause], dict[str, Fixed], dict[str, list[Stretch]]]:
        """The pauses still to be taken or known, where those lie that are known, and who is busy when."""
        known = [(each.person, *self._ticks(each)) for each in self.taken if each.pause]
        fixed: dict[str, Fixed] = {}
        for pause in self.asked.pauses:
            at = next((k for k in known if k[0] == pause.person and _is_in(pause, k[1], k[2])), None)
            if at is not None:
                known.remove(at)
                fixed[pause.task_id] = (at[1], at[2], "pause")
        busy = self._busy([*at_work(self.taken, self.clock), *((who, a, b) for who, a, b in known if who is not None)])
        pauses = []
        for pause in self.asked.pauses:
            low, high = pause.earliest, pause.latest
            if pause.task_id not in fixed:
                low, high = _longest_gap(low, high, busy[pause.person])
            if high - low >= pause.ticks:
                pauses.append(replace(pause, earliest=low, latest=high))
        return pauses, fixed, busy

    def _busy(self, held: Iterable[tuple[str, int, int]]) -> dict[str, list[Stretch]]:
        """When each person is at another night's work, within the hours."""
        there = {presence.person.id: presence.stretches for presence in self.asked.present}
        found: dict[str, list[Stretch]] = {name: [] for name in there}
        for person, start, end in held:
            inside = ((max(a, start), min(b, end)) for a, b in there.get(person, ()))
            found.setdefault(person, []).extend(stretch for stretch in inside if stretch[0] < stretch[1])
        return {name: list(staff.merged(stretches)) for name, stretches in found.items()}


def _is_in(pause: staff.Pause, start: int, end: int) -> bool:
    return pause.earliest <= start and end <= pause.latest and end - start == pause.ticks


def _longest_gap(start: int, end: int, busy: Sequence[tuple[int, int]]) -> tuple[int, int]:
    """The longest stretch between two ticks in which somebody is not busy."""
    edges = [(start, start), *((a, b) for a, b in busy if b > start and a < end), (end, end)]
    gaps = [(min(before[1], end), max(after[0], start)) for before, after in pairwise(edges)]
    return max(gaps, key=lambda gap: gap[1] - gap[0])


def _levels(resource: Resource, uses: Iterable[Use], horizon: int) -> list[Use]:
    """Stretches in which the same amount is taken, never more than there is."""
    given = [use for use in uses if use[0] < use[1]]
    edges = {0, horizon}
    edges |= {t for a, b, _ in (*given, *resource.calendar) for t in (a, b) if 0 <= t <= horizon}
    found: list[Use] = []
    for a, b in pairwise(sorted(edges)):
        there = next((c for x, y, c in resource.calendar if x <= a < y), resource.capacity)
        amount = min(there, sum(n for x, y, n in given if x <= a < y))
        if amount and found and found[-1][1:] == (a, amount):
            found[-1] = (found[-1][0], b, amount)
        elif amount:
            found.append((a, b, amount))
    return found


def _standing(name: str, levels: Iterable[Use], states: frozenset[str] | None = None, first: int = 1) -> list[Task]:
    return [_fixed(name, number, a, b, amount, states) for number, (a, b, amount) in enumerate(levels, first)]


def _fixed(name: str, number: int, start: int, end: int, amount: int, states: frozenset[str] | None) -> Task:
    mode = Mode(OTHER, end - start, end - start, demands=(Demand(name, amount, states=states),))
    return Task(f"{OTHER}: {name} {number}", (mode,), fixed=(start, end, OTHER))


def _deck(
    resource: Resource, deck: DeckOf, uses: Sequence[Use], stands: Sequence[Stand], clock: Clock
) -> tuple[Resource, list[Task]]:
    """A deck as another night has it: it stays at a set temperature through each stretch; trays beside its own fit."""
    able = _with_states(resource, deck, {temp_c for *_, temp_c in stands}, clock)
    hot = [stand for stand in stands if stand[2] <= 0]
    initial = dict(able.initial_change)
    if hot:  # what it comes down from takes its time, as what it comes up to does
        *_, end, temp_c = max(hot, key=lambda stand: stand[2])
        for state in able.states:
            left = end + able.change.get((state_name(temp_c), state), 0)
            initial[state] = max(initial.get(state, 0), left if state != state_name(temp_c) else 0)
    tasks: list[Task] = []
    for begin, ready, end, temp_c in _apart(able, stands, clock.ticks):
        if not tasks:
            initial[state_name(temp_c)] = min(initial.get(state_name(temp_c), 0), begin)
        inside = _levels(resource, [(max(a, ready), min(b, end), n) for a, b, n in uses], clock.ticks)
        heating = [(begin, ready, resource.capacity)] if begin < ready else []
        levels = (*heating, *_at_least_one(inside, ready, end))
        tasks += _standing(resource.id, levels, frozenset({state_name(temp_c)}), len(tasks) + 1)
    return replace(able, initial_change=initial), tasks


def _apart(deck: Resource, stands: Iterable[Stand], horizon: int) -> Iterator[Stand]:
    """The stretches inside the horizon, one after another, with the time between them that a change takes."""
    free, stood = 0, None
    for begin, ready, end, temp_c in stands:
        state = state_name(temp_c)
        between = 0 if stood is None or stood == state else deck.change_ticks(stood, state)
        ready, end = max(ready, free + between), min(end, horizon)
        begin = min(max(begin, free + between), ready)
        if stood == state and begin == free:
            ready = begin  # it has been kept there
        if ready < end:
            yield begin, ready, end, temp_c
            free, stood = end, state


def _at_least_one(levels: Sequence[Use], start: int, end: int) -> Iterator[Use]:
    """The same stretches, with 1 taken where nothing is: something has to hold the deck as it stands."""
    at = start
    for a, b, amount in levels:
        if a > at:
            yield at, a, 1
        yield a, b, amount
        at = b
    if at < end:
        yield at, end, 1


def _with_states(resource: Resource, deck: DeckOf, temps_c: set[float], clock: Clock) -> Resource:
    """A deck that can also stand at these set temperatures."""
    more = sorted(t for t in temps_c if state_name(t) not in resource.states)
    if not more:
        return resource
    known = [*(float(s) for s in resource.states), *more]
    change, initial = dict(resource.change), dict(resource.initial_change)

    def ticks(from_c: float, to_c: float) -> int:
        return math.ceil(change_s(deck.oven, from_c, to_c) / clock.tick_s)

    for temp_c in more:
        state = state_name(temp_c)
        initial[state] = ticks(deck.oven.start_temp_c, temp_c)
        change[(state, state)] = initial[state]
        for other_c in known:
            if other_c != temp_c:
                change[(state, state_name(other_c))] = ticks(temp_c, other_c)
                change[(state_name(other_c), state)] = ticks(other_c, temp_c)
    return replace(
        resource, states=(*resource.states, *map(state_name, more)), change=change, initial_change=initial
    )  # fmt: skip
