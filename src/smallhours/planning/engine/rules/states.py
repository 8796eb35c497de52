"""In which state a resource stands, and when."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from itertools import pairwise

from smallhours.planning.engine.model import Model, Need, StretchVars, Values, Var
from smallhours.planning.engine.problem import Resource

ALWAYS_WHOLE = 8  # up to so many needs, a resource with states gets a stretch for each


def states(model: Model) -> None:
    """Every demand lies in one stretch of a state it allows; between stretches there is time for the change."""
    for resource in model.problem.resources:
        needs = model.needs.get(resource.id, [])
        if resource.states and needs:
            count = _stretch_count(model, resource, needs)
            if count < _useful(model, resource, needs):
                model.cramped.add(resource.id)
            slots = [_slot(model, resource, needs) for _ in range(count)]
            model.stretches[resource.id] = slots
            _order(model, resource, slots)
            _cover(model, needs, slots)
            _settle(model, needs, slots)


def _stretch_count(model: Model, resource: Resource, needs: list[Need]) -> int:
    """As many as there are needs is always enough, but makes the model large.

    Beyond a few needs we guess, times the scale, two visits to each state (or set of states) that is asked for, or
    one for each need if every alternative is taken equally often, whichever is less.
    """
    modes = {task.id: len(task.modes) for task in model.problem.tasks}
    asked = {need.demand.states or frozenset(resource.states) for need in needs}
    visits = 2 * min(len(asked), len(frozenset[str]().union(*asked))) + 2
    taken = math.ceil(sum(need.ways / modes[need.task] for need in needs))
    guess = min(visits, taken)
    wanted = max(model.scale * max(guess, ALWAYS_WHOLE), model.least_stretches.get(resource.id, 0))
    return min(wanted, _useful(model, resource, needs))


def _useful(model: Model, resource: Resource, needs: list[Need]) -> int:
    """More stretches than this are never useful: one for each need.

    Where every need allows one state only and standing ready costs nothing, needs of one state in a row share a
    stretch, and there are at most as many rows of the commonest state as of all others together, and one.
    """
    costs = any(f"held:{resource.id}" in level for level in model.problem.objective.levels)
    asked = Counter(need.demand.states for need in needs)
    if costs or any(states is None or len(states) > 1 for states in asked):
        return len(needs)
    return min(len(needs), 2 * (len(needs) - max(asked.values())) + 1)


def _slot(model: Model, resource: Resource, needs: list[Need]) -> StretchVars:
    cp, horizon = model.cp, model.problem.horizon
    slot = StretchVars(
        start=cp.new_int_var(0, horizon, ""),
        end=cp.new_int_var(0, horizon, ""),
        used=cp.new_bool_var(""),
        state={state: cp.new_bool_var(f"{resource.id} in {state}") for state in resource.states},
        inside=tuple(cp.new_bool_var("") for _ in needs),
    )
    cp.add_exactly_one([*slot.state.values(), ~slot.used])
    cp.add(slot.start <= slot.end)
    cp.add(slot.start == horizon).only_enforce_if(~slot.used)
    cp.add_bool_or([*slot.inside, ~slot.used])  # no empty stretches
    for need, inside in zip(needs, slot.inside, strict=True):
        cp.add(slot.start <= need.start.expr).only_enforce_if(inside)
        cp.add(need.end.expr <= slot.end).only_enforce_if(inside)
        allowed = need.demand.states or frozenset(resource.states)
        if allowed >= set(resource.states):
            cp.add_implication(inside, slot.used)
        else:
            cp.add_bool_or([*(slot.state[state] for state in sorted(allowed)), ~inside])
    return slot


def _order(model: Model, resource: Resource, slots: list[StretchVars]) -> None:
    first = slots[0]
    if resource.initial_state is None:
        wait = {state: resource.initial_change.get(state, 0) for state in resource.states}
    else:
        wait = {state: resource.change.get((resource.initial_state, state), 0) for state in resource.states}
    for state, literal in first.state.items():
        if wait[state]:
            model.cp.add(first.start >= wait[state]).only_enforce_if(literal)
    for slot, after in pairwise(slots):
        model.cp.add_implication(after.used, slot.used)
        for s, literal in slot.state.items():
            change = sum(resource.change.get((s, t), 0) * after.state[t] for t in resource.states)
            model.cp.add(slot.end + change <= after.start).only_enforce_if(literal)


def _cover(model: Model, needs: list[Need], slots: list[StretchVars]) -> None:
    for i, need in enumerate(needs):
        inside = [slot.inside[i] for slot in slots]
        model.cp.add_exactly_one(inside if need.busy is None else [*inside, ~need.busy])


def _settle(model: Model, needs: list[Need], slots: list[StretchVars]) -> None:
    """Put each need in the one stretch that holds it, and shrink each stretch to what it holds."""

    def lies_in(need: Need, slot: StretchVars, values: Values) -> bool:
        begins: int = values[slot.start.index]
        ends: int = values[slot.end.index]
        return begins <= need.start.value(values) and need.end.value(values) <= ends

    def settle(values: Values) -> None:
        for slot in slots:
            values[slot.used.index] = int(any(values[var.index] for var in slot.state.values()))
            for var in slot.inside:
                values[var.index] = 0
        held: dict[int, list[Need]] = {}
        for i, need in enumerate(needs):
            if need.is_busy(values):
                k = next(
                    k
                    for k, slot in enumerate(slots)
                    if values[slot.used.index] and lies_in(need, slot, values) and _allows(slot, need, values)
                )
                values[slots[k].inside[i].index] = 1
                held.setdefault(k, []).append(need)
        _close_up(model, slots, held, values)

    model.settlers.append(settle)


def _allows(slot: StretchVars, need: Need, values: Values) -> bool:
    allowed = need.demand.states
    return any(values[var.index] for state, var in slot.state.items() if allowed is None or state in allowed)


def _close_up(model: Model, slots: list[StretchVars], held: dict[int, list[Need]], values: Values) -> None:
    """Move the stretches that hold something to the front, each as short as it can be."""
    kept = [
        (
            [values[var.index] for var in slots[k].state.values()],
            [values[var.index] for var in slots[k].inside],
            min(need.start.value(values) for need in held[k]),
            max(need.end.value(values) for need in held[k]),
        )
        for k in range(len(slots))
        if k in held
    ]
    horizon = model.problem.horizon
    for k, slot in enumerate(slots):
        state, inside, start, end = (
            kept[k] if k < len(kept) else ([0] * len(slot.state), [0] * len(slot.inside), horizon, horizon)
        )
        _write(values, slot.state.values(), state)
        _write(values, slot.inside, inside)
        values[slot.used.index] = int(k < len(kept))
        values[slot.start.index], values[slot.end.index] = start, end


def _write(values: Values, variables: Iterable[Var], numbers: list[int]) -> None:
    for var, number in zip(variables, numbers, strict=True):
        values[var.index] = number
