"""A night too full for one picture is shown in several, parted where it is quiet."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

from smallhours.planning.plan import Plan
from smallhours.sheets.ribbons.ground import head_height
from smallhours.sheets.ribbons.lanes import pack
from smallhours.sheets.ribbons.night import Window, below, measures_for
from smallhours.sheets.ribbons.page import extent, ovens_between
from smallhours.sheets.ribbons.strands import strands_of, within

_AROUND = dt.timedelta(minutes=15)
_SHORTEST = dt.timedelta(hours=3)
_EDGE = 0.3  # of a stretch of time at either end, in which it is not parted


def windows(plan: Plan, height_mm: float) -> tuple[Window, ...]:
    """The stretches of time to draw one picture each of (without key), so that words keep a size that can be read.

    One for the whole night if it fits into the height; else it is parted where around its middle nothing begins or
    ends for the longest time, and so are its parts, down to three hours.
    """
    found: list[Window] = []
    waiting = [extent(plan, strands_of(plan))]
    while waiting:
        window = waiting.pop(0)
        if window[1] - window[0] < 2 * _SHORTEST or fits(plan, height_mm, window, key=False):
            found.append(window)
        else:
            waiting = [*parted(plan, window), *waiting]
    return tuple(found)


def fits(plan: Plan, height_mm: float, window: Window | None = None, key: bool = True) -> bool:
    """Whether the picture of that time (without one: the whole night) fits a height with letters that can be read."""
    start, end = window or extent(plan, strands_of(plan))
    packing = pack(within(strands_of(plan), start, end), plan, ovens_between(plan, start, end))
    return measures_for(packing, head_height(plan, start, end), height_mm - below(plan, key))[1]


def parted(plan: Plan, window: Window) -> tuple[Window, Window]:
    """Two stretches of time with the longest quiet between them, a little of it in both."""
    start, end = window
    quiet_from, quiet_to = quietest(plan, start, end)
    return (start, max(quiet_from, min(quiet_to, quiet_from + _AROUND))), (max(quiet_from, quiet_to - _AROUND), end)


def quietest(plan: Plan, start: dt.datetime, end: dt.datetime) -> Window:
    """The longest time between two events of the plan, around its middle."""
    low, high = start + (end - start) * _EDGE, end - (end - start) * _EDGE
    moments = {at for task in plan.tasks for at in (task.start, task.end)}
    moments |= {at for stretch in plan.ovens for at in (stretch.heat_from, stretch.end)}
    inner = sorted({low, high, *(at for at in moments if low < at < high)})
    return max(pairwise(inner), key=lambda pair: pair[1] - pair[0])
