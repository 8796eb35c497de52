"""How much can be used at once."""

from __future__ import annotations

from smallhours.planning.engine.model import Model
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
        if most == 1 and not any(need.may_be_empty for need in needs):
            model.cp.add_no_overlap(intervals)
        elif sum(amounts) > most:
            model.cp.add_cumulative(intervals, amounts, most)


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
