"""What has touched mixers and benches by now, and cleanings that are under way, when a night is planned anew."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from dataclasses import replace

from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.shift.happened import Away, Down, Happened
from smallhours.planning import plan as p
from smallhours.planning.engine.problem import Problem, Resource
from smallhours.planning.live.facts import Facts, place_of
from smallhours.planning.live.rest import Rest
from smallhours.planning.shift.allergens import WATCHED, allergens_in, bench_place, state_of
from smallhours.planning.shift.cleaning import KIND
from smallhours.planning.shift.clock import Clock
from smallhours.planning.shift.equipment import BENCH
from smallhours.planning.shift.steps import BY_HAND


def with_cleanings(happened: Happened, plan: p.Plan) -> Happened:
    """What happened, with what a cleaning under way keeps busy out of reach until it ends."""
    running = list(_running(plan, happened.now))
    down = [Down(equipment=use.resource, at=happened.now, until=t.end) for t in running for use in t.uses]
    away = [Away(person=hands.person, at=happened.now, until=t.end) for t in running for hands in t.hands]
    return happened.model_copy(update={"down": (*happened.down, *down), "away": (*happened.away, *away)})


def cleaners(plan: p.Plan, now: dt.datetime, clock: Clock) -> tuple[tuple[str, int, int], ...]:
    """Who cleans at the moment, from now to which tick."""
    return tuple(
        (hands.person, clock.tick_after(now), clock.tick(task.end))
        for task in _running(plan, now)
        for hands in task.hands
    )


def _running(plan: p.Plan, now: dt.datetime) -> Iterator[p.PlanTask]:
    return (task for task in plan.tasks if task.kind == KIND and task.start < now < task.end)


def as_touched(rest: Rest, plan: p.Plan, kitchen: Kitchen, now: dt.datetime) -> Rest:
    """The question from now on, with every watched mixer and bench as it has been touched by now.

    A cleaning that has begun counts as done. What runs where it should not have begun is taken as it is.
    """
    problem = rest.question.problem
    resources = tuple(
        replace(r, initial_state=_state(r, problem, rest.facts, plan, kitchen, now)) if r.change_demands else r
        for r in problem.resources
    )
    return replace(rest, question=replace(rest.question, problem=replace(problem, resources=resources)))


def _state(resource: Resource, problem: Problem, facts: Facts, plan: p.Plan, kitchen: Kitchen, now: dt.datetime) -> str:
    touched: set[str] = set()
    for task in sorted(_begun(facts, plan, now), key=lambda task: task.start):
        fact = facts.known.get(task.id)
        place = task.place if fact is None else place_of(fact.mode)
        if place not in _names(resource.id.removesuffix(WATCHED), kitchen):
            continue
        if task.kind == KIND:
            touched -= set(task.holds)
        else:
            touched |= set(task.holds)
    known = [allergens_in(state) for state in resource.states]
    touched &= frozenset().union(*known)
    fits = [state_of(state) for state in known if touched <= state]  # smallest first
    for allowed in _of_running(resource.id, problem):
        if not any(resource.change_ticks(fits[0], state) == 0 for state in allowed):
            return min(allowed, key=len)
    return fits[0]


def _begun(facts: Facts, plan: p.Plan, now: dt.datetime) -> Iterator[p.PlanTask]:
    """Everything that has begun, lost work and cleanings too."""
    for task in plan.tasks:
        aside = task.kind == KIND or task.state == "lost"
        if task.id in facts.known or (aside and task.start < now):
            yield task


def _names(own: str, kitchen: Kitchen) -> tuple[str, ...]:
    """What a plan calls work at a mixer or bench."""
    bench = next((bench for bench in kitchen.benches if bench.id == own), None)
    if bench is None:
        return (own,)
    by_hand = (BY_HAND,) if bench is kitchen.benches[0] else ()
    return (BENCH, BY_HAND) if len(kitchen.benches) == 1 else (bench_place(bench, kitchen), *by_hand)


def _of_running(name: str, problem: Problem) -> Iterator[frozenset[str]]:
    """The states that running work on a resource allows."""
    for task in problem.tasks:
        for demand in task.modes[0].demands if task.started is not None else ():
            if demand.resource == name and demand.states:
                yield demand.states
