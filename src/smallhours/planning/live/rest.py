"""The rest of a night as a question of its own: from now on, with what is done taken as given.

Everything that has ended is taken out; what it still asks of later work becomes a lag after the instant ``now``. What
runs has begun at tick 0 with the rest of its window. So the past cannot contradict a rule, and the question gets
smaller as the night goes on.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from smallhours.bakery.shift.happened import Away, Down, Happened
from smallhours.errors import BadInput
from smallhours.planning import plan as p
from smallhours.planning.engine.problem import Demand, Due, Lag, Mode, Part, Placed, Problem, Resource, Task
from smallhours.planning.live.facts import Fact, Facts, place_of
from smallhours.planning.live.ovens import deck_temp_c, ready_s, still_resting, without_doors
from smallhours.planning.shift import people as staff
from smallhours.planning.shift.ask import Question
from smallhours.planning.shift.clock import Clock
from smallhours.planning.shift.equipment import Equipment
from smallhours.planning.shift.rules import RuledLag

NOW = "now"
OTHER_WAY_COST = 3
_PAUSE_MAY_SLIP_S = 3600.0


@dataclass(frozen=True)
class Rest:
    """The question from now on (its tick 0 is the tick ``facts.now`` of the night), and the plan to stay close to."""

    question: Question
    stay: dict[str, Placed]
    facts: Facts


def calendars(question: Question, plan: p.Plan, happened: Happened, equipment: Equipment, clock: Clock) -> Question:
    """The night's question with equipment out of use and people away, before and now.

    Raises: BadInput for equipment or people that are not there.
    """
    known = {resource.id: resource for resource in plan.resources}
    groups = {**{name: [name] for name in known}, **_whole_ovens(equipment)}
    out: dict[str, list[tuple[int, int]]] = {}
    for down in happened.down:
        if down.equipment not in groups or down.equipment == staff.POOL:
            names = ", ".join(sorted(name for name in groups if name != staff.POOL))
            raise BadInput(f"there is no {down.equipment!r} in this night to be out of use (there is: {names})")
        for name in groups[down.equipment]:
            out.setdefault(name, []).append(_stretch(down, clock))
    present = tuple(_present(presence, happened.away, clock) for presence in question.present)
    people = sorted(presence.person.id for presence in present)
    for away in happened.away:
        if away.person not in people:
            raise BadInput(f"nobody is called {away.person!r} in this kitchen (there are: {', '.join(people)})")
    resources = [
        staff.pool(present, clock) if r.id == staff.POOL else without(r, out.get(r.id, ()), clock.ticks)
        for r in question.problem.resources
    ]
    pauses = tuple(pause for pause in question.pauses if _can_be_taken(pause, present))
    gone = {pause.task_id for pause in question.pauses} - {pause.task_id for pause in pauses}
    tasks = tuple(task for task in question.problem.tasks if task.id not in gone)
    problem = replace(question.problem, tasks=tasks, resources=tuple(resources))
    return replace(question, problem=problem, present=present, pauses=pauses)


def _can_be_taken(pause: staff.Pause, present: Sequence[staff.Presence]) -> bool:
    """Whether somebody is there long enough for a pause."""
    own = next(presence for presence in present if presence.person.id == pause.person)
    return any(min(pause.latest, b) - max(pause.earliest, a) >= pause.ticks for a, b in own.stretches)


def _whole_ovens(equipment: Equipment) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for deck in equipment.decks.values():
        found.setdefault(deck.oven.id, []).append(deck.id)
    return found


def _stretch(out: Down | Away, clock: Clock) -> tuple[int, int]:
    assert out.at is not None
    end = clock.ticks if out.until is None else clock.inside(clock.tick_after(out.until))
    return clock.inside(clock.tick(out.at)), end


def _present(presence: staff.Presence, away: Sequence[Away], clock: Clock) -> staff.Presence:
    stretches = list(presence.stretches)
    for each in away:
        if each.person == presence.person.id:
            start, end = _stretch(each, clock)
            parts = [((a, min(b, start)), (max(a, end), b)) for a, b in stretches]
            stretches = [(a, b) for pair in parts for a, b in pair if b > a]
    return replace(presence, stretches=tuple(stretches))


def without(resource: Resource, out: Sequence[tuple[int, int]], horizon: int) -> Resource:
    """A resource that cannot be used in some stretches of ticks."""
    if not out:
        return resource
    edges = sorted({0, horizon, *(t for s in out for t in s), *(t for a, b, _ in resource.calendar for t in (a, b))})
    pieces = []
    for a, b in pairwise(edges):
        there = next((c for x, y, c in resource.calendar if x <= a < y), resource.capacity)
        if any(x <= a < y for x, y in out):
            there = 0
        if there != resource.capacity:
            pieces.append((a, b, there))
    return replace(resource, calendar=tuple(pieces))


def rest_of(
    question: Question, facts: Facts, plan: p.Plan, happened: Happened, equipment: Equipment, old: Mapping[str, Placed]
) -> Rest:
    """The question from now on. ``question``: of the whole night, with its calendars; ``old``: where the plan that is
    followed has each task.

    Raises: BadInput if work runs on equipment that is out of use.
    """
    now = facts.now
    tasks = list(_tasks(question, facts, equipment, happened, old, _dropped(question, facts, plan)))
    there = {task.id for task in tasks}
    links = tuple(_links(question.links, facts, there))
    if any(link.lag.before == NOW for link in links):
        tasks.append(Task(NOW, (Mode(NOW, 0, 0),), fixed=(0, 0, NOW)))
    dues = tuple(_due(due, now) for due in question.problem.dues if due.task in there)
    resources = tuple(_resource(r, question, facts, plan, equipment) for r in question.problem.resources)
    objective = question.problem.objective
    levels = (objective.levels[0], ("move", "mode"), *(_without_mode(level) for level in objective.levels[1:]))
    problem = Problem(
        horizon=question.problem.horizon - now,
        tasks=tuple(tasks),
        resources=resources,
        lags=tuple(link.lag for link in links),
        dues=dues,
        objective=replace(objective, levels=tuple(level for level in levels if level)),
    )
    pauses = tuple(replace(q, earliest=q.earliest - now, latest=q.latest - now) for q in question.pauses if q.task_id
                   in there)  # fmt: skip
    stay = {
        name: Placed(max(old[name].start - now, 0) if facts.runs(name) else old[name].start - now, end, old[name].mode)
        for name in there
        if name in old and ((end := old[name].end - now) >= 0 or not facts.runs(name))
    }
    if NOW in {task.id for task in tasks}:
        stay[NOW] = Placed(0, 0, NOW)
    return Rest(replace(question, problem=problem, links=links, pauses=pauses), stay, facts)


def _without_mode(level: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(term for term in level if term != "mode")


def _down_now(question: Question, now: int) -> dict[str, int]:
    """Resources that are out of use now, and until when."""
    found = {}
    for resource in question.problem.resources:
        for start, end, capacity in resource.calendar:
            if resource.id != staff.POOL and capacity == 0 and start <= now < end:
                found[resource.id] = end
    return found


def _dropped(question: Question, facts: Facts, plan: p.Plan) -> set[str]:
    """What runs in the hands of somebody who is not there any more: the rest of it waits for other hands."""
    now, instant = facts.now, facts.clock.instant(facts.now)
    there = {presence.person.id for presence in question.present if presence.there(now, now + 1)}
    return {
        task.id
        for task in plan.tasks
        if facts.runs(task.id) and any(h.start <= instant < h.end and h.person not in there for h in task.hands)
    }


def _tasks(
    question: Question,
    facts: Facts,
    equipment: Equipment,
    happened: Happened,
    old: Mapping[str, Placed],
    dropped: Collection[str],
) -> Iterator[Task]:
    down = _down_now(question, facts.now)
    longer = {said.task: said.more_s for said in happened.tasks}
    horizon = question.problem.horizon - facts.now
    for task in question.problem.tasks:
        if facts.done(task.id):
            continue
        more = round(longer.get(task.id, 0.0) / facts.clock.tick_s)
        modes = [_longer(mode, more) for mode in task.modes]
        fact = facts.known.get(task.id)
        if fact is not None:
            mode = next(mode for mode in modes if mode.id == fact.mode)
            mode = replace(mode, demands=tuple(_still(task.id, without_doors(mode, facts), down, equipment)))
            started = None if task.id in dropped else (0, fact.mode)
            yield Task(task.id, (_running(mode, facts.now - fact.start),), started=started)
            continue
        if task.latest is not None:
            yield from _pause(task, facts, horizon)
            continue
        usable = [m for m in modes if not any(down.get(d.resource, 0) >= question.problem.horizon for d in m.demands)]
        wanted = old[task.id].mode if task.id in old else modes[0].id
        yield Task(task.id, tuple(replace(m, cost=OTHER_WAY_COST * (m.id != wanted)) for m in usable or modes),
                   earliest=max(task.earliest - facts.now, 0))  # fmt: skip


def _longer(mode: Mode, more: int) -> Mode:
    if not more:
        return mode
    wanted = mode.lo if mode.preferred is None else mode.preferred
    return replace(mode, lo=max(0, mode.lo + more), hi=max(0, mode.hi + more), preferred=max(0, wanted + more))


def _still(task: str, mode: Mode, down: Mapping[str, int], equipment: Equipment) -> Iterator[Demand]:
    """What running work goes on needing. What stands in a fridge that failed stays there until it is moved."""
    for demand in mode.demands:
        if demand.resource not in down:
            yield demand
        elif demand.resource in equipment.mixers or demand.resource in equipment.decks:
            raise BadInput(
                f"task {task!r} runs on {demand.resource!r}, which is out of use: say that it ended (and when), "
                "or that its dough is lost"
            )


def _running(mode: Mode, gone: int) -> Mode:
    """What is left of a mode after so many ticks of it."""
    last = max((d.part.ticks for d in mode.demands if d.part.kind == "last"), default=0)
    lo = max(mode.lo - gone, 0)
    hi = max(mode.hi - gone, lo, last)
    wanted = (mode.lo if mode.preferred is None else mode.preferred) - gone
    demands = []
    for demand in mode.demands:
        if demand.part.kind in ("first", "but_first", "from_start"):
            demand = replace(demand, part=Part(demand.part.kind, max(demand.part.ticks - gone, 0)))
        if demand.part.kind == "from_end":
            demand = replace(demand, part=replace(demand.part, lead=min(demand.part.lead, lo)))
        demands.append(demand)
    return replace(mode, lo=lo, hi=hi, preferred=min(max(wanted, lo), hi), demands=tuple(demands), cost=0)


def _pause(task: Task, facts: Facts, horizon: int) -> Iterator[Task]:
    """A pause still to be taken; one that was missed may be taken within the next hour."""
    assert task.latest is not None
    slip = task.modes[0].lo + facts.clock.length(_PAUSE_MAY_SLIP_S)
    latest = min(max(task.latest - facts.now, slip), horizon)
    if latest >= task.modes[0].lo:
        yield replace(task, earliest=max(task.earliest - facts.now, 0), latest=latest)


def _links(links: Sequence[RuledLag], facts: Facts, there: set[str]) -> Iterator[RuledLag]:
    for link in links:
        lag = link.lag
        before, after = _known(facts, lag.before, lag.before_side), _known(facts, lag.after, lag.after_side)
        if after is not None or lag.after not in there:
            continue
        if before is None:
            if lag.before in there:
                yield link
            continue
        lo = max(before - facts.now + lag.lo, 0)
        hi = None if lag.hi is None else max(before - facts.now + lag.hi, lo)
        if hi is not None or lo > 0:
            yield replace(link, lag=Lag(NOW, lag.after, lo, hi, "start", lag.after_side))


def _known(facts: Facts, task: str, side: str) -> int | None:
    fact: Fact | None = facts.known.get(task)
    if fact is None:
        return None
    return fact.start if side == "start" else fact.end


def _due(due: Due, now: int) -> Due:
    return replace(due, at=max(due.at - now, 0), max_early=None)


def _resource(resource: Resource, question: Question, facts: Facts, plan: p.Plan, equipment: Equipment) -> Resource:
    now = facts.now
    pieces = tuple((max(a - now, 0), b - now, c) for a, b, c in resource.calendar if b > now)
    shifts = tuple((max(a - now, 0), b - now) for a, b in resource.shifts if b > now)
    if not resource.states or resource.id not in equipment.decks:
        return replace(resource, calendar=pieces, shifts=shifts)
    deck = equipment.decks[resource.id]
    off = max((b for a, b, c in pieces if c == 0 and a == 0), default=0)
    temp_c = deck_temp_c(plan, deck, facts.clock.instant(now))
    tick_s = facts.clock.tick_s
    first = {
        state: math.ceil(round(ready_s(deck.oven, temp_c, off * tick_s, float(state)) / tick_s, 6))
        for state in resource.states
    }
    stands = {state for name, mode_id in _running_on(resource.id, facts) for state in _states(question, name, mode_id)}
    if stands:  # a bake runs: whatever the oven's rates say, it stands at a temperature that the bake allows
        first[min(stands, key=lambda state: abs(float(state) - temp_c))] = 0
    made = replace(resource, calendar=pieces, initial_state=None, initial_change=first)
    return still_resting(made, question, facts, question.problem.horizon - now)


def _running_on(resource: str, facts: Facts) -> Iterator[tuple[str, str]]:
    for name, fact in facts.known.items():
        if fact.end is None and place_of(fact.mode) == resource:
            yield name, fact.mode


def _states(question: Question, task_id: str, mode_id: str) -> frozenset[str]:
    task = next(task for task in question.problem.tasks if task.id == task_id)
    mode = next(mode for mode in task.modes if mode.id == mode_id)
    return frozenset(state for demand in mode.demands for state in demand.states or ())
