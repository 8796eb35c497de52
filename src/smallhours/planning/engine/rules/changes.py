"""When a resource is changed from one state to the next, where that needs something."""

from __future__ import annotations

from smallhours.planning.engine.model import ChangeVars, Model, StretchVars, Values, Var
from smallhours.planning.engine.problem import Resource


def changes(model: Model) -> None:
    """A change that needs something lies between its two stretches and needs it for all of its ticks."""
    for resource in model.problem.resources:
        slots = model.stretches.get(resource.id, [])
        if not resource.change_demands or not slots:
            continue
        made = [_change(model, resource, slots[k - 1] if k else None, slot) for k, slot in enumerate(slots)]
        model.changes[resource.id] = made
        _settle(model, resource, slots, made)


def _change(model: Model, resource: Resource, before: StretchVars | None, slot: StretchVars) -> ChangeVars:
    cp, horizon = model.cp, model.problem.horizon
    start = cp.new_int_var(min(resource.changes_from, horizon), horizon, "")
    out_of: dict[str | None, list[Var]]  # from each state, the literals that must hold for the change to be from it
    out_of = {resource.initial_state: []} if before is None else {s: [var] for s, var in before.state.items()}
    ticks = {(s, t): resource.change_ticks(s, t) for s in out_of for t in slot.state}
    ways = {length: cp.new_bool_var("") for length in sorted(set(ticks.values())) if length}
    for length, way in ways.items():
        cp.add_implication(way, slot.used)
        cp.add(start + length <= slot.start).only_enforce_if(way)
        if before is not None:
            cp.add(start >= before.end).only_enforce_if(way)
        interval = cp.new_optional_fixed_size_interval_var(start, length, way, f"change of {resource.id}")
        for demand in resource.change_demands:
            if demand.amount:
                model.change_needs.setdefault(demand.resource, []).append((interval, demand.amount))
        for s, held in out_of.items():
            into = [var for t, var in slot.state.items() if ticks[s, t] == length]
            cp.add_bool_or([*into, ~way, *(~var for var in held)])
            for var in into:
                cp.add_bool_or([way, ~var, *(~other for other in held)])
    return ChangeVars(start, ways)


def _settle(model: Model, resource: Resource, slots: list[StretchVars], made: list[ChangeVars]) -> None:
    """Each change is there if its two states ask for it; where it lies stays."""

    def settle(values: Values) -> None:
        before = resource.initial_state
        for slot, change in zip(slots, made, strict=True):
            after = next((name for name, var in slot.state.items() if values[var.index]), None)
            ticks = 0 if after is None else resource.change_ticks(before, after)
            for length, way in change.ways.items():
                values[way.index] = int(length == ticks)
            before = after or before

    model.settlers.append(settle)
