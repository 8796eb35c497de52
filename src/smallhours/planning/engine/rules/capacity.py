"""How much can be used at once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from smallhours.planning.engine.model import Model, Settle, Values
from smallhours.planning.engine.presence import presence, shifts_of
from smallhours.planning.engine.problem import Resource


def capacity(model: Model) -> None:
    """At every tick the demands on a resource, of tasks and of changes, add up to no more than its capacity then."""
    for resource in model.problem.resources:
        needs = model.needs.get(resource.id, [])
        changes = model.change_needs.get(resource.id, [])
        if not needs and not changes:
            continue
        most, missing = missing_capacity(resource, model.problem.horizon)
        intervals = [*(need.interval for need in needs), *(interval for interval, _ in changes)]
        amounts = [*(need.demand.amount for need in needs), *(amount for _, amount in changes)]
        for start, end, amount in missing:
            intervals.append(model.cp.new_fixed_size_interval_var(start, end - start, ""))
            amounts.append(amount)
        if _is_asked(model, resource):
            absent = _presence(model, resource)
            model.cp.add_cumulative([*intervals, *absent], [*amounts, *[1] * len(absent)], most)
        elif most == 1 and not any(need.may_be_empty for need in needs):
            model.cp.add_no_overlap(intervals)
        elif sum(amounts) > most:
            model.cp.add_cumulative(intervals, amounts, most)


def _is_asked(model: Model, resource: Resource) -> bool:
    terms = {term for level in model.problem.objective.levels for term in level}
    return bool(terms & {f"hours:{resource.id}", f"begins:{resource.id}"})


def _presence(model: Model, resource: Resource) -> list[Any]:
    """Intervals in which each shift is not there yet or not any more."""
    cp = model.cp
    shifts = shifts_of(resource, model.problem.horizon)
    model.settlers.append(_settle_presence(model, resource, shifts))
    absent, stays = [], []
    for start, end in shifts:
        comes, goes = cp.new_int_var(start, end, ""), cp.new_int_var(start, end, "")
        cp.add(comes <= goes)
        lengths = cp.new_int_var(0, end - start, ""), cp.new_int_var(0, end - start, "")
        absent.append(cp.new_interval_var(start, lengths[0], comes, ""))
        absent.append(cp.new_interval_var(goes, lengths[1], end, ""))
        model.derived(lengths[0], lambda values, comes=comes, start=start: values[comes.index] - start)  # type: ignore[misc]
        model.derived(lengths[1], lambda values, goes=goes, end=end: end - values[goes.index])  # type: ignore[misc]
        stays.append((comes, goes))
    model.presence[resource.id] = stays
    return absent


def _settle_presence(model: Model, resource: Resource, shifts: Sequence[tuple[int, int]]) -> Settle:
    """Everybody comes as late and goes as early as the others' stay allows."""

    def settle(values: Values) -> None:
        used = np.zeros(model.problem.horizon + 1, dtype=np.int64)
        for start, end, amount in _uses(model, resource, values):
            used[start] += amount
            used[end] -= amount
        stays = model.presence[resource.id]
        now = [(values[comes.index], values[goes.index]) for comes, goes in stays]
        found = presence(shifts, np.cumsum(used)[:-1], now)
        for (comes, goes), (start, end) in zip(stays, found, strict=True):
            values[comes.index], values[goes.index] = start, end

    return settle


def _uses(model: Model, resource: Resource, values: Values) -> Iterator[tuple[int, int, int]]:
    for need in model.needs.get(resource.id, []):
        if need.is_busy(values):
            yield need.start.value(values), need.end.value(values), need.demand.amount
    demands = {other.id: other.change_demands for other in model.problem.resources}
    for change in model.changes_of(values):
        for demand in demands[change.resource]:
            if demand.resource == resource.id:
                yield change.start, change.end, demand.amount


def missing_capacity(resource: Resource, horizon: int) -> tuple[int, list[tuple[int, int, int]]]:
    """The most the resource ever has, and (from, to, amount) pieces by which it has less than that."""
    pieces = []
    reached = 0
    for start, end, amount in sorted(resource.calendar):
        if start >= horizon:
            break
        if start > reached:
            pieces.append((reached, start, resource.capacity))
        pieces.append((start, min(end, horizon), amount))
        reached = end
    if reached < horizon:
        pieces.append((reached, horizon, resource.capacity))
    most = max(amount for _, _, amount in pieces)
    return most, [(start, end, most - amount) for start, end, amount in pieces if amount < most]
