"""Least values over stretches of an array, for all places at once: what placing a chain of tasks is computed with.

An array holds a cost for each instant 0..horizon; ``inf`` marks instants that are not allowed.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import numpy.typing as npt

Costs = npt.NDArray[np.float64]
Ticks = npt.NDArray[np.int64]


class Ranges:
    """Least value of ``costs`` over any range (a sparse table: the least over each power of two of entries).

    ``longest``: the longest range that will be asked for.
    """

    def __init__(self, costs: Costs, longest: int) -> None:
        self._size = len(costs)
        longest = min(longest, self._size)
        rows = longest.bit_length()
        table = np.full((rows, self._size), np.inf)
        table[0] = costs
        width = 1
        for row in range(1, rows):
            many = self._size - width
            np.minimum(table[row - 1, :many], table[row - 1, width:], out=table[row, :many])
            width *= 2
        self._flat = table.ravel()

    def least(self, first: Ticks, last: Ticks) -> Costs:
        """The least over each range from ``first`` to ``last``, both included; inf where it is empty."""
        low = np.maximum(first, 0)
        high = np.minimum(last, self._size - 1)
        width = high - low + 1
        empty = width <= 0
        width[empty] = 1
        low[empty] = 0
        power = powers(self._size)[width]
        row = power * self._size
        found: Costs = np.minimum(self._flat[row + low], self._flat[row + low + width - (1 << power)])
        found[empty] = np.inf
        return found


@lru_cache(maxsize=16)
def powers(longest: int) -> Ticks:
    """For each width up to ``longest`` the greatest power of two (its exponent) that fits into it."""
    widths = np.arange(longest + 1)
    widths[0] = 1
    return np.asarray(np.frexp(widths)[1] - 1, dtype=np.int64)


@lru_cache(maxsize=16)
def instants(size: int) -> Ticks:
    """0, 1, ... ``size`` - 1 (not to be changed)."""
    return np.arange(size)


def shifted(costs: Costs, by: int) -> Costs:
    """The cost ``by`` ticks later, for each instant (earlier if negative); inf beyond the ends.

    >>> shifted(np.array([0.0, 1.0, 2.0]), 1), shifted(np.array([0.0, 1.0, 2.0]), -1)
    (array([ 1.,  2., inf]), array([inf,  0.,  1.]))
    """
    found = np.full(len(costs), np.inf)
    if by >= 0:
        found[: len(costs) - by] = costs[by:]
    elif -by < len(costs):
        found[-by:] = costs[:by]
    return found


def at_later(costs: Costs, by: int) -> Costs:
    """The cost ``by`` ticks later, for each instant; beyond the ends that of the end.

    >>> at_later(np.array([0.0, 1.0, 2.0]), 1)
    array([1., 2., 2.])
    """
    if by == 0:
        return costs
    found = np.empty(len(costs))
    if by > 0:
        found[: len(costs) - by] = costs[by:]
        found[len(costs) - by :] = costs[-1]
    else:
        found[-by:] = costs[:by]
        found[:-by] = costs[0]
    return found


def over_gap(costs: Costs, lo: int, hi: int | None) -> Costs:
    """For each instant the least cost of an instant ``lo`` to ``hi`` ticks later (no upper limit if None).

    >>> over_gap(np.array([3.0, 1.0, 2.0, 5.0]), 1, 2)
    array([ 1.,  2.,  5., inf])
    >>> over_gap(np.array([3.0, 1.0, 2.0, 5.0]), -1, 0)
    array([3., 1., 1., 2.])
    """
    ahead = shifted(costs, lo)
    if lo < 0 and (hi is None or hi > lo):
        return _over_gap_back(costs, lo, hi)
    if hi is None:
        return np.minimum.accumulate(ahead[::-1])[::-1]
    wanted = min(hi - lo + 1, len(costs))
    width = 1
    while width < wanted:
        step = min(width, wanted - width)
        ahead[: len(ahead) - step] = np.minimum(ahead[: len(ahead) - step], ahead[step:])
        width += step
    return ahead


def _over_gap_back(costs: Costs, lo: int, hi: int | None) -> Costs:
    """The same where the range begins before the instant, so that shifting first would lose its first entries."""
    padded = np.concatenate([np.full(-lo, np.inf), costs])
    return over_gap(padded, 0, None if hi is None else hi - lo)[: len(costs)]


def over_lengths(ends: Costs, lo: int, hi: int, wanted: int, weight: float, end_by: Ticks) -> Costs:
    """For each start the least of ``ends[end]`` + ``weight`` for each tick that the length is off ``wanted``.

    The length lies between ``lo`` and ``hi`` and the end is at most ``end_by[start]``.
    """
    starts = instants(len(ends))
    if lo == hi:
        found = shifted(ends, lo) + weight * abs(lo - wanted)
        found[end_by < starts + lo] = np.inf
        return found
    middle = min(max(wanted, lo), hi)
    slope = weight * starts
    found = np.full(len(ends), np.inf)
    if middle > lo:
        found = _over_stretch(ends - slope, lo, middle, end_by) + (slope + weight * wanted)
    if hi > middle:
        right = _over_stretch(ends + slope, middle, hi, end_by) - (slope + weight * wanted)
        np.minimum(found, right, out=found)
    return found


def _over_stretch(ends: Costs, lo: int, hi: int, end_by: Ticks) -> Costs:
    """The least over the ends ``lo`` to ``hi`` after each start, up to ``end_by``."""
    starts = instants(len(ends))
    found = over_gap(ends, lo, hi)
    found[end_by < starts + lo] = np.inf
    cut = np.flatnonzero((end_by < np.minimum(starts + hi, len(ends) - 1)) & (found < np.inf))
    if len(cut):
        found[cut] = Ranges(ends, hi - lo + 1).least(cut + lo, end_by[cut])
    return found
