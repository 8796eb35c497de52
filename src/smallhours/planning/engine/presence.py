"""From when to when the units of a resource are needed: people who need not be there before their first work."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from smallhours.planning.engine.least import Costs, Ticks
from smallhours.planning.engine.problem import Resource

Stretch = tuple[int, int]


def presence(shifts: Sequence[Stretch], used: Ticks, there: Sequence[Stretch] | None = None) -> list[Stretch]:
    """For each shift the stretch of it that is needed, so that at every tick as many are there as are ``used``.

    Where a shift is not needed its stretch is empty, at its end. ``there``: stretches to start from instead of whole
    shifts, if they are enough. Each is cut as short as the others allow, in two orders, and the better result is
    taken; it need not be the least there is.
    """
    start = list(shifts)
    if there is not None and bool(np.all(_count(there, len(used)) >= used)):
        start = list(there)
    orders = (range(len(shifts)), range(len(shifts) - 1, -1, -1))
    found = [_shortened(shifts, start, used, order) for order in orders]
    return min(found, key=lambda stretches: sum(end - first for first, end in stretches))


def shifts_of(resource: Resource, horizon: int) -> list[Stretch]:
    """The shifts of a resource, or if it names none, its calendar cut into layers of one unit each.

    >>> shifts_of(Resource("r", 1, ((0, 4, 0), (6, 8, 2))), 10)
    [(4, 10), (6, 8)]
    """
    if resource.shifts:
        return [(start, min(end, horizon)) for start, end in resource.shifts if start < horizon]
    there = np.full(horizon, resource.capacity, dtype=np.int64)
    for start, end, capacity in resource.calendar:
        there[start:end] = capacity
    found = []
    for layer in range(1, int(there.max(initial=0)) + 1):
        steps = np.diff(np.concatenate([[0], there >= layer, [0]]).astype(np.int64))
        found += list(zip(np.flatnonzero(steps > 0).tolist(), np.flatnonzero(steps < 0).tolist(), strict=True))
    return found


def _count(stretches: Sequence[Stretch], size: int) -> Ticks:
    """How many of the stretches each tick lies in."""
    steps = np.zeros(size + 1, dtype=np.int64)
    for start, end in stretches:
        steps[start] += 1
        steps[end] -= 1
    return np.asarray(np.cumsum(steps)[:size], dtype=np.int64)


def _shortened(shifts: Sequence[Stretch], start: Sequence[Stretch], used: Ticks, order: Sequence[int]) -> list[Stretch]:
    stretches = list(start)
    spare = _count(stretches, len(used)) - used
    for number in order:
        first, last = stretches[number]
        needed = np.flatnonzero(spare[first:last] <= 0)
        if len(needed):
            kept = first + int(needed[0]), first + int(needed[-1]) + 1
        else:
            kept = shifts[number][1], shifts[number][1]
        spare[first:last] -= 1
        spare[kept[0] : kept[1]] += 1
        stretches[number] = kept
    return stretches


def ways_to_be_there(shifts: Sequence[Stretch], used: Ticks) -> tuple[Costs, Costs, Costs]:
    """What one more use would add: ``before[end]``, ``after[start]`` and ``within`` (summed up to each instant).

    A use of [start, end) makes somebody stay about ``within[end] - within[start] + before[end] + after[start]`` ticks
    longer: the ticks at which nobody is free, and the way from there to the nearest stretch of somebody's presence.
    """
    size = len(used)
    stretches = presence(shifts, used)
    lacking = _count(stretches, size) - used <= 0
    within = np.concatenate([[0.0], np.cumsum(lacking)])
    before, after = np.full(size + 1, np.inf), np.full(size + 1, np.inf)
    ticks = np.arange(size + 1, dtype=np.float64)
    for (first, last), (start, end) in zip(shifts, stretches, strict=True):
        whole = slice(first, last + 1)
        if start == end:
            before[whole], after[whole] = 0.0, 0.0
            continue
        np.minimum(before[whole], np.maximum(start - ticks[whole], 0.0), out=before[whole])
        np.minimum(after[whole], np.maximum(ticks[whole] - end, 0.0), out=after[whole])
    free_here = np.append(~lacking, True)
    free_before = np.concatenate([[True], ~lacking])
    before[free_before] = 0.0
    after[free_here] = 0.0
    before[~np.isfinite(before)] = 0.0
    after[~np.isfinite(after)] = 0.0
    return before, after, within
