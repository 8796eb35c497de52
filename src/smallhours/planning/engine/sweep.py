"""One sweep over a group of tied tasks: for every tick of every instant the least cost of all that hangs on it.

Tasks and the lags between them, as far as they form a tree, are swept from the leaves to a root; from there one path
of tasks is placed. Method: dynamic programming on trees. What the tree leaves out is kept by narrowing windows.
"""

from __future__ import annotations

import heapq
from collections import deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from smallhours.planning.engine.ground import Terms, Way
from smallhours.planning.engine.lags import Instant
from smallhours.planning.engine.least import Costs, instants, over_gap, over_lengths
from smallhours.planning.engine.problem import Lag

if TYPE_CHECKING:
    from smallhours.planning.engine.insert import Inserter

Windows = dict[Instant, tuple[int, int]]
CANDIDATES = 12  # places looked at for a task, from the best on, before its path is given up


@dataclass(frozen=True)
class Tie:
    """What an instant hangs on: its parent, by a task (lag None) or by a lag."""

    parent: Instant
    lag: Lag | None


class Sweep:
    """One sweep over a piece of a group, and the path placed from its root."""

    def __init__(
        self,
        inserter: Inserter,
        windows: Windows,
        tree: Mapping[str, list[Lag]],
        piece: Sequence[str],
        root: str,
        noise: Costs | None,
    ) -> None:
        self._inserter = inserter
        self._windows = windows
        self._tree = tree
        self._inside = set(piece)
        self._noise = noise
        self._root: Instant = (root, "end")
        self._ties: dict[Instant, Tie] = {}
        self._order: list[Instant] = []
        self._costs: dict[Instant, Costs] = {}
        self._line_up()

    def _line_up(self) -> None:
        """Every instant of the piece from the root outward, with what it hangs on."""
        waiting: deque[Instant] = deque([self._root])
        seen = {self._root}
        while waiting:
            here = waiting.popleft()
            self._order.append(here)
            for there, lag in self._next(here):
                if there not in seen:
                    seen.add(there)
                    self._ties[there] = Tie(here, lag)
                    waiting.append(there)

    def _next(self, here: Instant) -> Iterable[tuple[Instant, Lag | None]]:
        name, side = here
        yield (name, "end" if side == "start" else "start"), None
        for lag in self._tree[name]:
            if (lag.before, lag.before_side) == here and lag.after in self._inside:
                yield (lag.after, lag.after_side), lag
            elif (lag.after, lag.after_side) == here and lag.before in self._inside:
                yield (lag.before, lag.before_side), lag

    def place(self) -> list[str] | None:
        """Place the path that leads from the root to what comes before it; None if some task finds no place."""
        if not self._sweep():
            return None
        path: list[str] = []
        instant, at = self._root, int(np.argmin(self._costs[self._root]))
        while True:
            if not np.isfinite(self._costs[instant][at]):
                return None
            other = self._put(instant, at)
            if other is None:
                return None
            path.append(instant[0])
            follow = self._follow(instant[0])
            if follow is None:
                return path
            instant, tie = follow
            where = self._inserter.placed[tie.parent[0]]
            from_at = where.start if tie.parent[1] == "start" else where.end
            found = self._across(instant, tie.lag, from_at)
            if found is None:
                return None
            at = found

    def _sweep(self) -> bool:
        for instant in self._order:
            costs = self._inserter.prices.of_instant(instant, self._windows[instant])
            self._costs[instant] = costs + self._noise if instant[1] == "end" and self._noise is not None else costs
        for instant in reversed(self._order):
            if not np.isfinite(self._costs[instant]).any():
                return False
            tie = self._ties.get(instant)
            if tie is not None:
                self._costs[tie.parent] += self._message(instant, tie)
        return True

    def _follow(self, name: str) -> tuple[Instant, Tie] | None:
        """The next task of the path: one that comes before this one, with the tightest lag."""
        best: tuple[float, Instant, Tie] | None = None
        for lag in self._tree[name]:
            if lag.after != name or lag.before not in self._inside:
                continue
            instant: Instant = (lag.before, lag.before_side)
            tie = self._ties.get(instant)
            if tie is None or tie.lag is not lag:
                continue
            slack = np.inf if lag.hi is None else lag.hi - lag.lo
            if best is None or slack < best[0]:
                best = (slack, instant, tie)
        return None if best is None else best[1:]

    def _across(self, instant: Instant, lag: Lag | None, at: int) -> int | None:
        """The cheapest tick of an instant that a lag ties to another one, which stands at ``at``."""
        assert lag is not None
        horizon = self._inserter.problem.horizon
        if (lag.before, lag.before_side) == instant:
            first, last = (0 if lag.hi is None else at - lag.hi), at - lag.lo
        else:
            first, last = at + lag.lo, (horizon if lag.hi is None else at + lag.hi)
        first, last = max(first, 0), min(last, horizon)
        if first > last:
            return None
        costs = self._costs[instant][first : last + 1]
        best = int(np.argmin(costs[::-1]))  # of equals the latest
        return last - best if np.isfinite(costs[::-1][best]) else None

    def _message(self, instant: Instant, tie: Tie) -> Costs:
        """The least cost of an instant and all that hangs on it, for each tick of its parent."""
        costs = self._costs[instant]
        if tie.lag is not None:
            lag = tie.lag
            if (lag.after, lag.after_side) == instant:
                return over_gap(costs, lag.lo, lag.hi)
            return over_gap(costs[::-1], lag.lo, lag.hi)[::-1]
        found = np.full(len(costs), np.inf)
        for way in self._inserter.ways[instant[0]]:
            np.minimum(found, self._by_way(way, costs, instant[1] == "end"), out=found)
        return found

    def _by_way(self, way: Way, costs: Costs, from_end: bool) -> Costs:
        """The least cost of a task's one instant for each tick of its other."""
        inserter = self._inserter
        starts, ends, limit, price = self._terms(way)
        weight = inserter.prices.deviation(way)
        if from_end:
            return over_lengths(costs + ends, way.lo, way.hi, way.wanted, weight, limit) + starts + price
        horizon = inserter.problem.horizon
        first = np.searchsorted(limit, instants(horizon + 1), side="left")
        mirrored = (horizon - first)[::-1]
        back = over_lengths((costs + starts)[::-1], way.lo, way.hi, way.wanted, weight, mirrored)[::-1]
        return back + ends + price

    def _terms(self, way: Way) -> Terms:
        return self._inserter.terms(way)

    def _put(self, instant: Instant, at: int) -> int | None:
        """Place the task of an instant that stands at ``at``, its other instant and its mode the cheapest there are."""
        inserter = self._inserter
        name, side = instant
        other: Instant = (name, "start" if side == "end" else "end")
        best: list[tuple[float, int, int, Costs, Way]] = []  # least of a way, its number, its first tick, all its sums
        for number, way in enumerate(inserter.ways[name]):
            found = self._sums(way, other, at)
            if found is not None:
                heapq.heappush(best, (float(found[1].min()), number, found[0], found[1], way))
        for _ in range(CANDIDATES):
            if not best or best[0][0] == np.inf:
                return None
            _, number, first, sums, way = heapq.heappop(best)
            tick = first + int(np.argmin(sums))
            start, end = (tick, at) if side == "end" else (at, tick)
            if inserter.ground.fits(way, start, end):
                inserter.put(name, way, start, end)
                return tick
            sums[tick - first] = np.inf
            heapq.heappush(best, (float(sums.min()), number, first, sums, way))
        return None

    def _sums(self, way: Way, other: Instant, at: int) -> tuple[int, Costs] | None:
        """The cost of each tick for a task's other instant, from the first possible one on; None if there is none."""
        starts, ends, limit, price = self._terms(way)
        if other[1] == "start":
            first = max(at - way.hi, 0, int(np.searchsorted(limit, at, side="left")))
            last, fixed, moving = at - way.lo, ends[at], starts
        else:
            first, last = at + way.lo, min(at + way.hi, int(limit[at]))
            fixed, moving = starts[at], ends
        first, last = self._allowed(other, first, last)
        if first > last or fixed == np.inf:
            return None
        lengths = np.abs(instants(len(moving))[first : last + 1] - at)
        sums = self._costs[other][first : last + 1] + moving[first : last + 1] + (fixed + price)
        sums += self._inserter.prices.deviation(way) * np.abs(lengths - way.wanted)
        return first, sums

    def _allowed(self, instant: Instant, first: int, last: int) -> tuple[int, int]:
        """The ticks that keep the lags to tasks that stand already, those outside the tree as well."""
        low, high = first, last
        placed = self._inserter.placed
        for lag in self._inserter.lags[instant[0]]:
            if (lag.before, lag.before_side) == instant and lag.after in placed:
                there = placed[lag.after].start if lag.after_side == "start" else placed[lag.after].end
                high = min(high, there - lag.lo)
                low = low if lag.hi is None else max(low, there - lag.hi)
            elif (lag.after, lag.after_side) == instant and lag.before in placed:
                there = placed[lag.before].start if lag.before_side == "start" else placed[lag.before].end
                low = max(low, there + lag.lo)
                high = high if lag.hi is None else min(high, there + lag.hi)
        return low, high
