"""Place a group of tied tasks at its least cost among what stands already.

Tasks and the lags between them, as far as they form a tree, are swept from the leaves to a root: for every tick of
every instant the least cost of all that hangs on it. From the root one path of tasks is then placed; what hangs
on it is swept again, with that path standing, until all is placed. Along a path the answer is exact, for what
stands.

Method: dynamic programming on trees of time windows. What the tree leaves out is kept by narrowing windows.
"""

from __future__ import annotations

import random
from collections import deque
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from smallhours.planning.engine.ground import Ground, Terms, Way, end_limits, ways_of
from smallhours.planning.engine.lags import Instant, arcs
from smallhours.planning.engine.least import Costs
from smallhours.planning.engine.prices import Prices
from smallhours.planning.engine.problem import Lag, Placed, Problem, Task
from smallhours.planning.engine.sweep import Sweep, Windows

TRIES = 10  # for one group, with other roots, and later with disturbed costs
CALM_TRIES = 2  # without disturbance
MOST_WAYS = 10  # of a task that are looked at in one try, drawn anew each time
NOISE_TICKS = 20  # the disturbance is the same for so many ticks
NOISES = (60.0, 60000.0)  # how strong it is at most, in ticks of the last level's terms, in turn


@dataclass
class Inserter:
    """Everything placed so far, and how to place more."""

    problem: Problem
    prices: Prices
    reach: Windows
    draw: random.Random
    ground: Ground = field(init=False)
    tasks: dict[str, Task] = field(init=False)
    all_ways: dict[str, list[Way]] = field(init=False)
    ways: dict[str, list[Way]] = field(init=False)
    lags: dict[str, list[Lag]] = field(init=False)
    placed: dict[str, Placed] = field(default_factory=dict)
    chosen: dict[str, Way] = field(default_factory=dict)
    _terms: dict[int, tuple[tuple[int, ...], Terms]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.ground = Ground(self.problem)
        self.tasks = {task.id: task for task in self.problem.tasks}
        self.all_ways = {task.id: ways_of(task, self.ground.resources) for task in self.problem.tasks}
        self.ways = dict(self.all_ways)
        self.lags = {task.id: [] for task in self.problem.tasks}
        for lag in self.problem.lags:
            self.lags[lag.before].append(lag)
            if lag.after != lag.before:
                self.lags[lag.after].append(lag)

    def insert(self, names: Sequence[str], roots: Sequence[str] = ()) -> bool:
        """Place all of ``names``, which are tied; nothing is changed where that does not succeed.

        ``roots``: tasks whose paths are to be placed first. What ``names`` are tied to besides must stand already or
        have no part in the plan so far.
        """
        wanted = list(roots)
        for number in range(TRIES):
            failed = self._try(names, wanted, number)
            if failed is None:
                return True
            self.remove(names)
            wanted.insert(0, failed)
        return False

    def _noise(self, number: int) -> Costs | None:
        """Something to add to the cost of every end, so that a try comes out differently from the ones before."""
        if number < CALM_TRIES:
            return None
        size = self.problem.horizon + 1
        steps = np.array([self.draw.random() for _ in range(size // NOISE_TICKS + 1)])
        return np.repeat(steps, NOISE_TICKS)[:size] * NOISES[number % len(NOISES)]

    def clear(self) -> None:
        """Take everything out."""
        self.ground = Ground(self.problem)
        self.placed.clear()
        self.chosen.clear()
        self._terms.clear()

    def reprice(self, prices: Prices) -> None:
        """Go on with other prices."""
        self.prices = prices
        self._terms.clear()

    def _draw_ways(self, names: Sequence[str]) -> None:
        """Look at only some of the ways of a task that has many."""
        for name in names:
            ways = self.all_ways[name]
            if len(ways) > MOST_WAYS:
                self.ways[name] = self.draw.sample(ways, MOST_WAYS)

    def terms(self, way: Way) -> Terms:
        """Where a way can start and end among what stands, and what it costs there."""
        versions = tuple(self.ground.versions[demand.resource] for demand in way.mode.demands)
        kept = self._terms.get(id(way))
        if kept is not None and kept[0] == versions:
            return kept[1]
        starts, ends = np.zeros(self.problem.horizon + 1), np.zeros(self.problem.horizon + 1)
        limit = end_limits(self.ground, way, starts, ends)
        price = self.prices.of_way(self.ground, way, starts, ends)
        found = starts, ends, limit, price
        self._terms[id(way)] = versions, found
        return found

    def remove(self, names: Iterable[str]) -> None:
        """Take tasks out again."""
        for name in names:
            where = self.placed.pop(name, None)
            if where is not None:
                self.ground.give_back(self.tasks[name], self.chosen.pop(name), where.start, where.end)

    def put(self, name: str, way: Way, start: int, end: int) -> None:
        """Place one task."""
        self.ground.take(self.tasks[name], way, start, end)
        self.placed[name] = Placed(start, end, way.mode.id)
        self.chosen[name] = way

    def _try(self, names: Sequence[str], roots: Sequence[str], number: int) -> str | None:
        """Place a group; the task at which that failed, or None."""
        self._draw_ways(names)
        reach = _Reach(self, names)
        if reach.empty:
            return names[0]
        tree = self._tree(names)
        noise = self._noise(number)
        pieces = deque([tuple(names)])
        while pieces:
            piece = pieces.popleft()
            root = self._root(piece, roots)
            path = Sweep(self, reach.windows, tree, piece, root, noise).place()
            if path is None:
                return root
            for name in path:
                where = self.placed[name]
                if not reach.fix(name, where.start, where.end):
                    return root
            pieces.extend(self._pieces(piece, path, tree))
        lags = (lag for name in names for lag in self.lags[name] if self._inside(lag, self.placed))
        broken = next((lag for lag in lags if not self._kept(lag)), None)
        return None if broken is None else broken.after

    def _inside(self, lag: Lag, names: Collection[str]) -> bool:
        return lag.before in names and lag.after in names

    def _kept(self, lag: Lag) -> bool:
        before, after = self.placed[lag.before], self.placed[lag.after]
        gap = (after.start if lag.after_side == "start" else after.end) - (
            before.start if lag.before_side == "start" else before.end
        )
        return gap >= lag.lo and (lag.hi is None or gap <= lag.hi)

    def _root(self, piece: Sequence[str], roots: Sequence[str]) -> str:
        """Where the sweep of a piece ends: a task named in ``roots``, else the one that is due first, else the last."""
        inside = set(piece)
        for name in roots:
            if name in inside:
                return name
        due = [name for name in piece if name in self.prices.dues]
        if due:
            return min(due, key=lambda name: self.prices.dues[name].at)
        followed = {lag.before for name in piece for lag in self.lags[name] if lag.after in inside}
        last = [name for name in piece if name not in followed]
        return (last or list(piece))[-1]

    def _tree(self, names: Sequence[str]) -> dict[str, list[Lag]]:
        """Lags that tie the tasks together without a ring, the tightest first (Kruskal)."""
        parent = {name: name for name in names}

        def top(name: str) -> str:
            while parent[name] != name:
                parent[name] = parent[parent[name]]
                name = parent[name]
            return name

        inside = {id(lag): lag for name in names for lag in self.lags[name] if self._inside(lag, parent)}
        tree: dict[str, list[Lag]] = {name: [] for name in names}
        for lag in sorted(inside.values(), key=lambda lag: np.inf if lag.hi is None else lag.hi - lag.lo):
            a, b = top(lag.before), top(lag.after)
            if a != b:
                parent[a] = b
                tree[lag.before].append(lag)
                tree[lag.after].append(lag)
        return tree

    def _pieces(
        self, piece: Sequence[str], path: Collection[str], tree: Mapping[str, list[Lag]]
    ) -> list[tuple[str, ...]]:
        """What is left of a piece without the path, in parts that still hang together; due first comes first."""
        left = [name for name in piece if name not in path]
        open_names = set(left)
        found = []
        for name in left:
            if name not in open_names:
                continue
            open_names.discard(name)
            part, waiting = [], [name]
            while waiting:
                here = waiting.pop()
                part.append(here)
                for lag in tree[here]:
                    for other in (lag.before, lag.after):
                        if other in open_names:
                            open_names.discard(other)
                            waiting.append(other)
            found.append(tuple(part))
        return sorted(found, key=self._first_due)

    def _first_due(self, names: Iterable[str]) -> float:
        return min((self.prices.dues[name].at for name in names if name in self.prices.dues), default=0.0)


class _Reach:
    """The windows of a group's instants, narrowed as its tasks are placed. ``empty``: some instant has no tick left."""

    def __init__(self, inserter: Inserter, names: Sequence[str]) -> None:
        self.windows: Windows = {}
        for name in names:
            self.windows[(name, "start")] = inserter.reach[(name, "start")]
            self.windows[(name, "end")] = inserter.reach[(name, "end")]
        around = {id(lag): lag for name in names for lag in inserter.lags[name]}
        ties = [
            lag for lag in around.values() if self._knows(inserter, lag.before) and self._knows(inserter, lag.after)
        ]
        standing = {
            end: inserter.placed[end] for lag in ties for end in (lag.before, lag.after) if end in inserter.placed
        }
        for name, where in standing.items():
            self.windows[(name, "start")] = (where.start, where.start)
            self.windows[(name, "end")] = (where.end, where.end)
        self._after: dict[Instant, list[tuple[Instant, int]]] = {instant: [] for instant in self.windows}
        self._before: dict[Instant, list[tuple[Instant, int]]] = {instant: [] for instant in self.windows}
        for arc in arcs([inserter.tasks[name] for name in names], ties):
            self._after[arc.tail].append((arc.head, arc.gap))
            self._before[arc.head].append((arc.tail, arc.gap))
        self.empty = not all(self.fix(name, where.start, where.end) for name, where in standing.items())

    def _knows(self, inserter: Inserter, name: str) -> bool:
        return (name, "start") in self.windows or name in inserter.placed

    def fix(self, name: str, start: int, end: int) -> bool:
        """Say where a task stands; False if that leaves some other instant no tick."""
        changed: deque[Instant] = deque()
        for instant, at in (((name, "start"), start), ((name, "end"), end)):
            first, last = self.windows[instant]  # type: ignore[index]
            if not first <= at <= last:
                return False
            self.windows[instant] = (at, at)  # type: ignore[index]
            changed.append(instant)  # type: ignore[arg-type]
        while changed:
            here = changed.popleft()
            first, last = self.windows[here]
            for there, gap in self._after[here]:
                low, high = self.windows[there]
                if first + gap > low:
                    if first + gap > high:
                        return False
                    self.windows[there] = (first + gap, high)
                    changed.append(there)
            for there, gap in self._before[here]:
                low, high = self.windows[there]
                if last - gap < high:
                    if last - gap < low:
                        return False
                    self.windows[there] = (low, last - gap)
                    changed.append(there)
        return True
