"""Where tasks lie and what they need there."""

from __future__ import annotations

from collections import Counter
from typing import Any

from smallhours.planning.engine.model import Model, Need, Point, Values, Var
from smallhours.planning.engine.problem import Demand, Mode, Part, Task


def place(model: Model) -> None:
    """Every task lies within its window, in exactly one mode, as long as that mode allows."""
    for task in model.problem.tasks:
        _place_one(model, task)


def needs(model: Model) -> None:
    """A chosen mode needs each of its demands during the part of the task that the demand covers."""
    for task in model.problem.tasks:
        groups: dict[tuple[Demand, int], list[Mode]] = {}
        for mode in task.modes:
            seen: Counter[Demand] = Counter()
            for demand in mode.demands:
                groups.setdefault((demand, seen[demand]), []).append(mode)
                seen[demand] += 1
        clamps: dict[Part, Point] = {}
        for (demand, _), modes in groups.items():
            need = _need(model, task, demand, modes, clamps)
            if need is not None:
                model.needs.setdefault(demand.resource, []).append(need)


def _place_one(model: Model, task: Task) -> None:
    cp = model.cp
    start = cp.new_int_var(*model.windows[(task.id, "start")], f"start {task.id}")
    end = cp.new_int_var(*model.windows[(task.id, "end")], f"end {task.id}")
    lo = min(mode.lo for mode in task.modes)
    hi = max(mode.hi for mode in task.modes)
    length = cp.new_int_var(lo, hi, f"length {task.id}")
    cp.add(start + length == end)
    model.derived(length, lambda values: values[end.index] - values[start.index])
    model.starts[task.id], model.ends[task.id], model.lengths[task.id] = start, end, length
    forced = task.fixed[2] if task.fixed is not None else task.started[1] if task.started is not None else None
    if len(task.modes) == 1:
        model.chosen[(task.id, task.modes[0].id)] = None
        return
    literals = []
    for mode in task.modes:
        literal = cp.new_bool_var(f"{task.id} by {mode.id}")
        model.chosen[(task.id, mode.id)] = literal
        literals.append(literal)
        if (mode.lo, mode.hi) != (lo, hi):
            cp.add_linear_constraint(length, mode.lo, mode.hi).only_enforce_if(literal)
        if forced is not None:
            cp.add(literal == int(mode.id == forced))
    cp.add_exactly_one(literals)


def _need(model: Model, task: Task, demand: Demand, modes: list[Mode], clamps: dict[Part, Point]) -> Need | None:
    lo, hi = min(mode.lo for mode in modes), max(mode.hi for mode in modes)
    shortest, longest = _covered_length(demand.part, lo), _covered_length(demand.part, hi)
    if longest == 0 or demand.amount == 0:
        return None
    present = _presence(model, task, modes)
    start, end = _ends(model, task, demand.part, lo, clamps)
    if shortest == longest:
        size: Any = shortest
    elif demand.part.kind == "and_after":
        size = model.lengths[task.id] + demand.part.ticks
    elif demand.part.kind == "whole" or demand.part.ticks >= hi:
        size = model.lengths[task.id]
    elif demand.part.kind.startswith("but_") and demand.part.ticks <= lo:
        size = model.lengths[task.id] - demand.part.ticks
    else:
        size = model.cp.new_int_var(0, max(mode.hi for mode in task.modes), "")
        model.derived(size, lambda values: end.value(values) - start.value(values))
        model.cp.add(start.expr + size == end.expr)
    name = f"{task.id} on {demand.resource}"
    if present is None:
        interval = model.cp.new_interval_var(start.expr, size, end.expr, name)
    else:
        interval = model.cp.new_optional_interval_var(start.expr, size, end.expr, present, name)
    empty = shortest == 0
    busy = _busy(model, present, start, end) if empty else present
    return Need(task.id, demand, start, end, present, busy, interval, len(modes), empty)


def _covered_length(part: Part, length: int) -> int:
    if part.kind == "whole":
        return length
    if part.kind in ("first", "last"):
        return min(part.ticks, length)
    if part.kind == "and_after":
        return length + part.ticks
    if part.kind in ("from_start", "from_end"):
        return part.ticks
    return max(length - part.ticks, 0)


def _presence(model: Model, task: Task, modes: list[Mode]) -> Var | None:
    if len(modes) == len(task.modes):
        return None
    literals: list[Var] = [model.chosen[(task.id, mode.id)] for mode in modes]
    if len(literals) == 1:
        return literals[0]
    present = model.cp.new_bool_var("")
    model.cp.add(sum(literals) == present)
    return model.derived(present, lambda values: sum(int(values[literal.index]) for literal in literals))


def _ends(model: Model, task: Task, part: Part, lo: int, clamps: dict[Part, Point]) -> tuple[Point, Point]:
    start, end = Point(model.starts[task.id]), Point(model.ends[task.id])
    if part.kind == "whole":
        return start, end
    if part.kind == "and_after":
        return start, Point(end.var, part.ticks)
    if part.kind == "from_start":
        return start, Point(start.var, part.ticks)
    if part.kind == "from_end":
        return Point(end.var, -part.lead), Point(end.var, part.ticks - part.lead)
    from_start = part.kind in ("first", "but_first")
    if part.ticks <= lo:
        inner = Point(start.var, part.ticks) if from_start else Point(end.var, -part.ticks)
    elif part in clamps:
        inner = clamps[part]
    else:
        inner = clamps[part] = _clamped(model, start, end, part.ticks, from_start)
    return (start, inner) if part.kind in ("first", "but_last") else (inner, end)


def _clamped(model: Model, start: Point, end: Point, ticks: int, from_start: bool) -> Point:
    var = model.cp.new_int_var(0, model.problem.horizon, "")
    if from_start:
        model.cp.add_min_equality(var, [start.var + ticks, end.var])
    else:
        model.cp.add_max_equality(var, [end.var - ticks, start.var])

    def value(values: Values) -> int:
        first, last = start.value(values), end.value(values)
        return min(first + ticks, last) if from_start else max(last - ticks, first)

    return Point(model.derived(var, value))


def _busy(model: Model, present: Var | None, start: Point, end: Point) -> Var:
    busy = model.cp.new_bool_var("")
    model.cp.add(end.expr >= start.expr + 1).only_enforce_if(busy)
    if present is None:
        model.cp.add(end.expr <= start.expr).only_enforce_if(~busy)
    else:
        model.cp.add_implication(busy, present)
        model.cp.add(end.expr <= start.expr).only_enforce_if([~busy, present])

    def value(values: Values) -> int:
        there = present is None or values[present.index]
        return int(bool(there) and end.value(values) > start.value(values))

    return model.derived(busy, value)
