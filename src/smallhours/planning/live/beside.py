"""What other nights' plans take, when a night is planned anew: it stays theirs from now on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from smallhours.planning import plan as p
from smallhours.planning.engine.problem import Placed, Resource
from smallhours.planning.live.rest import Rest
from smallhours.planning.shift.clock import Clock
from smallhours.planning.shift.equipment import Equipment
from smallhours.planning.shift.taken import occupied


def with_other_nights(rest: Rest, taken: Sequence[p.Taken], equipment: Equipment) -> Rest:
    """The question from now on with what is taken standing in it, and where it stands."""
    if not taken:
        return rest
    now, clock, question = rest.facts.now, rest.facts.clock, rest.question
    left = Clock(clock.instant(now), question.problem.horizon, clock.tick_s)
    present = tuple(replace(q, stretches=tuple((a - now, b - now) for a, b in q.stretches)) for q in question.present)
    found = occupied(replace(question, present=present), taken, equipment, left)
    stay = dict(rest.stay)
    for task in found.problem.tasks:
        if task.fixed is not None:
            stay[task.id] = Placed(*task.fixed)
    gone = {pause.task_id for pause in question.pauses} - {pause.task_id for pause in found.pauses}
    return replace(
        rest,
        question=replace(found, present=question.present),
        stay={name: where for name, where in stay.items() if name not in gone},
    )


def as_changed(resources: Sequence[Resource], asked: Sequence[Resource]) -> tuple[Resource, ...]:
    """The night's resources, those with states with the changes that were asked about from now on."""
    found = {each.id: each for each in asked}
    return tuple(
        replace(r, states=s.states, change=s.change, initial_change={**s.initial_change, **r.initial_change})
        if r.states and (s := found.get(r.id)) is not None
        else r
        for r in resources
    )
