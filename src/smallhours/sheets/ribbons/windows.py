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
_SHORTEST = dt.timedelta(hours=1, minutes=30)
_EDGE = 0.15  # of a stretch of time at either end, in which it is not parted


def windows(plan: Plan, height_mm: float) -> tuple[Window, ...]:
    """The stretches of time to draw one picture each of, so that words keep a size that can be read.

    One for the whole night if it fits into the height; else it is parted where for the longest time nothing begins
    or ends, and its halves once more if they need it. Only the first picture carries the key.
    """
    start, end = extent(plan, strands_of(plan))
    if fits(plan, (start, end), height_mm, key=True):
        return ((start, end),)
    first, second = parted(plan, (start, end))
    return (*_halves(plan, first, height_mm, key=True), *_halves(plan, second, height_mm, key=False))


def _halves(plan: Plan, window: Window, height_mm: float, key: bool) -> tuple[Window, ...]:
    if fits(plan, window, height_mm, key) or window[1] - window[0] < 2 * _SHORTEST:
        return (window,)
    return parted(plan, window)


def fits(plan: Plan, window: Window, height_mm: float, key: bool) -> bool:
    """Whether the picture of that time can be drawn in a height without letters getting too small."""
    packing = pack(within(strands_of(plan), *window), plan, ovens_between(plan, *window))
    return measures_for(packing, head_height(plan, *window), height_mm - below(plan, key))[1]


def parted(plan: Plan, window: Window) -> tuple[Window, Window]:
    """Two stretches of time with the longest quiet between them, a little of it in both."""
    start, end = window
    quiet_from, quiet_to = quietest(plan, start, end)
    return (start, min(quiet_to, quiet_from + _AROUND)), (max(quiet_from, quiet_to - _AROUND), end)


def quietest(plan: Plan, start: dt.datetime, end: dt.datetime) -> Window:
    """The longest time between two events of the plan, away from both ends."""
    low, high = start + (end - start) * _EDGE, end - (end - start) * _EDGE
    moments = {at for task in plan.tasks for at in (task.start, task.end)}
    moments |= {at for stretch in plan.ovens for at in (stretch.heat_from, stretch.end)}
    inner = sorted({low, high, *(at for at in moments if low < at < high)})
    return max(pairwise(inner), key=lambda pair: pair[1] - pair[0])
