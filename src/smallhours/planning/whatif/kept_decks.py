"""Decks that stand at one set temperature all night."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

from smallhours.bakery.quantity import say_set_temp
from smallhours.errors import BadInput
from smallhours.planning.engine.problem import Mode, Resource, Task
from smallhours.planning.shift.ask import Question
from smallhours.planning.shift.clock import Clock
from smallhours.planning.shift.equipment import DeckOf, change_s, equipment_of, state_name
from smallhours.planning.shift.loosen import way_of
from smallhours.planning.shift.rules import Night
from smallhours.planning.shift.steps import Step
from smallhours.planning.whatif.given import Given


def with_kept_decks(night: Night, question: Question, given: Given) -> Question:
    """The question in which the kept decks know one state, and only take what may be baked at it.

    Raises: BadInput for a temperature that a deck does not reach, or a bake that finds no deck any more.
    """
    kept = dict(given.decks)
    if not kept:
        return question
    decks = equipment_of(given.kitchen).decks
    for name, temp_c in kept.items():
        if temp_c > decks[name].oven.max_temp_c:
            most = say_set_temp(decks[name].oven.max_temp_c)
            raise BadInput(f"{decks[name].name} cannot stand at {say_set_temp(temp_c)}: it reaches {most}")
    steps = {step.id: step for step in night.steps()}
    tasks = tuple(_task(task, steps.get(task.id), kept) for task in question.problem.tasks)
    things = tuple(_resource(r, kept, decks, night.clock) for r in question.problem.resources)
    return replace(question, problem=replace(question.problem, tasks=tasks, resources=things))


def _resource(resource: Resource, kept: dict[str, float], decks: dict[str, DeckOf], clock: Clock) -> Resource:
    if resource.id not in kept:
        return resource
    oven, state = decks[resource.id].oven, state_name(kept[resource.id])
    ticks = math.ceil(change_s(oven, oven.start_temp_c, kept[resource.id]) / clock.tick_s)
    return replace(resource, states=(state,), change={(state, state): ticks}, initial_change={state: ticks})


def _task(task: Task, step: Step | None, kept: dict[str, float]) -> Task:
    if step is None or step.kind != "bake":
        return task
    modes = tuple(_modes(task, step, kept))
    if not modes:
        temps = ", ".join(f"{name} at {say_set_temp(temp_c)}" for name, temp_c in kept.items())
        raise BadInput(f"{step.about} cannot be baked anywhere with {temps}")
    return replace(task, modes=modes)


def _modes(task: Task, step: Step, kept: dict[str, float]) -> Iterator[Mode]:
    for mode in task.modes:
        place = way_of(step, mode.id).place
        if place not in kept:
            yield mode
            continue
        wanted_c, give_k = step.stage.set_temp_c, step.stage.set_temp_give_k
        if wanted_c is not None and abs(kept[place] - wanted_c) <= give_k:
            states = frozenset((state_name(kept[place]),))
            demands = (replace(d, states=states) if d.resource == place else d for d in mode.demands)
            yield replace(mode, demands=tuple(demands))
