"""Make a plan better: take a few tied groups out, fit them in again in another order, keep what is not worse.

Method: ruin and recreate (Schrimpf et al. 2000, Journal of Computational Physics 159), with groups that are late or
found no place moved forward in the order.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from smallhours.planning.engine.campaigns import Standing, standing_for
from smallhours.planning.engine.ground import Way
from smallhours.planning.engine.insert import Inserter
from smallhours.planning.engine.lags import components, windows
from smallhours.planning.engine.parts import covered
from smallhours.planning.engine.prices import Prices
from smallhours.planning.engine.problem import Placed, Problem
from smallhours.planning.engine.worth import Worth, own_terms, worth

Kept = list[tuple[str, Way, Placed]]
PARTS_SHARE = 0.5  # of the tries, in which only what leads to a single due is taken out, not all that is tied to it
NEAR_SHARE = 0.6  # of the tries, in which only what ends at about the same time is taken out
DEAR_SHARE = 0.6  # of the tries, in which what cost most goes in again first
FAR = 5  # how many times wider the others look
MOST_OUT = 4  # groups taken out at once
WARMTH = 0.02  # how much worse than the best, as a share, a plan may be that is gone on with; falls by tries
COOLING = 30.0  # tries until it has fallen to about a third
ROUNDS = 12  # tries to make room, for each group that found no place at first


@dataclass(frozen=True)
class _Look:
    """What can be taken out, in the order of its ends, and how likely each is."""

    units: list[tuple[str, ...]]
    costs: list[float]


@dataclass
class Refit:
    """A plan in the making: its groups and what stands.

    ``parts``: what leads to a single due, of groups with several. ``attended``: the question with only those resources
    with states whose changes need something, if there are any.
    """

    problem: Problem
    inserter: Inserter
    draw: random.Random
    groups: list[tuple[str, ...]] = field(default_factory=list)
    parts: list[tuple[str, ...]] = field(default_factory=list)
    attended: Problem | None = None
    urgency: dict[tuple[str, ...], float] = field(default_factory=dict)
    _best: Kept = field(default_factory=list)
    fixed: list[str] = field(default_factory=list)
    _worth: Worth | None = None
    _own: dict[tuple[str, ...], dict[str, int]] = field(default_factory=dict)
    _group_of: dict[str, tuple[str, ...]] = field(default_factory=dict)
    _looks: dict[bool, _Look] = field(default_factory=dict)

    def build(self, give_up: Callable[[], bool]) -> list[tuple[str, ...]]:
        """Place every group, urgent ones first; those that found no place, not even when others made room."""
        order = sorted(self.groups, key=lambda names: self.urgency[names])
        failed = [names for names in order if not self.inserter.insert(names)]
        for _ in range(ROUNDS * len(failed)):
            if not failed or give_up():
                break
            failed = failed[1:] + self._with_room(failed[0])
        self._forget()
        self._best = self._stand()
        return failed

    def _with_room(self, names: tuple[str, ...]) -> list[tuple[str, ...]]:
        """Place a group before some that stand, which are taken out first; those that then find no place."""
        standing = [other for other in self.groups if other[0] in self.inserter.placed]
        wanted = self.urgency[names]
        near = sorted(standing, key=lambda other: abs(self.urgency[other] - wanted) + self.draw.random())
        out = near[: self.draw.randint(1, 2 * MOST_OUT)]
        before = self._stand(name for other in out for name in other)
        self.inserter.remove(name for name, _, _ in before)
        if not self.inserter.insert(names):
            self._restore(before)
            return [names]
        return [other for other in out if not self.inserter.insert(other)]

    def load(self, plan: Mapping[str, Placed]) -> bool:
        """Stand as in a whole plan; False (and nothing stands) if states cannot be found for it."""
        self.inserter.remove(list(self.inserter.placed))
        standing = standing_for(self.problem, plan)
        if standing is None:
            return False
        for name, where in plan.items():
            way = next((way for way in self.inserter.all_ways[name] if _stands_so(way, where, standing)), None)
            if way is None:
                self.inserter.remove(list(self.inserter.placed))
                return False
            self.inserter.put(name, way, where.start, where.end)
        self._forget()
        self._best = self._stand()
        return True

    def start_over(self) -> None:
        """Stand as in the best plan, whatever was going on (an interrupt may have come anywhere)."""
        best = self.best()
        self.inserter.clear()
        self._forget()
        self.load(best)

    def best(self) -> dict[str, Placed]:
        """The best plan so far."""
        return {name: where for name, _, where in self._best}

    def improve(self, give_up: Callable[[], bool], on_better: Callable[[], None]) -> int:
        """Refit groups until ``give_up`` says so; how many times it was tried. The best plan stands afterwards."""
        now = best = self.value()
        self._best = self._stand()
        tries = 0
        while self.groups and not give_up():
            tries += 1
            value = self._refitted(now, best, WARMTH * math.exp(-tries / COOLING))
            now = now if value is None else value
            if now < best:
                best, self._best = now, self._stand()
                on_better()
        self.inserter.remove(list(self.inserter.placed))
        self._restore(self._best)
        self._forget()
        return tries

    def _refitted(self, now: float, best: float, warmth: float) -> float | None:
        """Take some groups out and fit them in again; the new value, or None where all was put back as it was.

        ``now`` and ``best``: the value of what stands and the best one so far; ``warmth``: how much worse than the
        best, as a share, is gone on with.
        """
        bearable = best * (1.0 + warmth)
        out, worth_before = self._choose(), self._worth
        dear = {names: self.inserter.prices.of_group(names, self.inserter.placed) for names in out}
        before = self._stand(name for names in out for name in names)
        self.inserter.remove(name for name, _, _ in before)
        own_before = {group: self._own.pop(group) for names in out if (group := self._group_of[names[0]]) in self._own}
        self.inserter.ground.look_again()
        self.draw.shuffle(out)
        if self.draw.random() < DEAR_SHARE:
            out.sort(key=lambda names: -dear[names])
        if all(self.inserter.insert(names) for names in out):
            self._worth = None
            value = self.worth().total(self.inserter.prices)
            if value <= max(now, bearable) and self._is_attended(value < best):
                self._looks.clear()
                return value
        self._worth = worth_before
        self.inserter.remove(name for name, _, _ in before)
        self._restore(before)
        self._own |= own_before
        return None

    def reprice(self, prices: Prices) -> None:
        """Go on with other prices."""
        self._forget()
        self.inserter.reprice(prices)
        self.inserter.ground.look_again()

    def value(self) -> float:
        """All terms of the objective, weighed together; inf if changes of state find no room for what they need."""
        return self.worth().total(self.inserter.prices) if self._is_attended() else math.inf

    def _is_attended(self, surely: bool = True) -> bool:
        """Whether every change of state finds what it needs; if not ``surely``, each looked at by itself."""
        if self.attended is None:
            return True
        if not self.inserter.ground.attends():
            return False
        return not surely or standing_for(self.attended, self.inserter.placed) is not None

    def worth(self) -> Worth:
        """The terms of what stands."""
        if self._worth is None:
            for names in self.groups:
                if names not in self._own and names[0] in self.inserter.placed:
                    self._own[names] = own_terms(self.inserter, names)
            fixed = own_terms(self.inserter, self.fixed)
            self._worth = worth(self.inserter, own=[*self._own.values(), fixed])
        return self._worth

    def _forget(self) -> None:
        """What was known of the plan's worth no longer holds."""
        self._worth = None
        self._own.clear()
        self._looks.clear()

    def _choose(self) -> list[tuple[str, ...]]:
        """A group, more likely one that costs much, and some that are wanted at about the same time."""
        by_part = bool(self.parts) and self.draw.random() < PARTS_SHARE
        look = self._looks.get(by_part)
        if look is None:
            look = self._looks[by_part] = self._look(self.parts if by_part else self.groups)
        place = self.draw.choices(range(len(look.units)), look.costs)[0]
        wanted = self.draw.randint(1, MOST_OUT)
        near = wanted if self.draw.random() < NEAR_SHARE else FAR * wanted
        around = range(max(0, place - near), min(len(look.units), place + near + 1))
        others = [look.units[n] for n in around if n != place]
        return [look.units[place], *self.draw.sample(others, min(wanted - 1, len(others)))]

    def _look(self, units: Sequence[tuple[str, ...]]) -> _Look:
        prices, placed = self.inserter.prices, self.inserter.placed
        ordered = sorted(units, key=lambda names: max(placed[name].end for name in names))
        return _Look(ordered, [math.sqrt(prices.of_group(names, placed) + 1.0) for names in ordered])

    def _stand(self, names: Iterable[str] | None = None) -> Kept:
        inserter = self.inserter
        chosen = inserter.placed if names is None else names
        return [(name, inserter.chosen[name], inserter.placed[name]) for name in chosen]

    def _restore(self, kept: Kept) -> None:
        for name, way, where in kept:
            self.inserter.put(name, way, where.start, where.end)


def refit_of(problem: Problem, prices: Prices, seed: int) -> Refit | None:
    """Nothing placed yet but what is fixed; None if windows and lags alone leave some task no place."""
    reach = windows(problem)
    if reach is None:
        return None
    draw = random.Random(seed)
    inserter = Inserter(problem, prices, reach, draw)
    due = {due.task: due.at for due in problem.dues}
    refit = Refit(problem, inserter, draw, attended=_attended(problem))
    for names in components(problem):
        free = tuple(name for name in names if inserter.tasks[name].fixed is None)
        for name in names:
            fixed = inserter.tasks[name].fixed
            if fixed is not None:
                refit.fixed.append(name)
                inserter.put(name, inserter.all_ways[name][0], fixed[0], fixed[1])
        if free:
            refit.groups.append(free)
            refit._group_of.update(dict.fromkeys(free, free))
            wanted = min((due[name] for name in free if name in due), default=math.inf)
            refit.parts += _parts(problem, free, due)
            refit.urgency[free] = min(wanted, min(reach[(name, "end")][1] for name in free))
    return refit


def _attended(problem: Problem) -> Problem | None:
    kept = [r for r in problem.resources if r.change_demands or not r.states]
    if not any(resource.change_demands for resource in kept):
        return None
    return replace(problem, resources=tuple(kept))


def _parts(problem: Problem, names: Sequence[str], due: Mapping[str, int]) -> list[tuple[str, ...]]:
    """For each due of a group that has several: the tasks that lead to it alone, or hang on those alone."""
    mine = set(names)
    leads: dict[str, set[str]] = {name: {name} if name in due else set() for name in names}
    if sum(name in due for name in names) < 2:
        return []
    lags = [lag for lag in problem.lags if lag.before in mine and lag.after in mine]
    grew = True
    while grew:
        grew = False
        for lag in lags:
            if not leads[lag.after] <= leads[lag.before]:
                leads[lag.before] |= leads[lag.after]
                grew = True
    for name in names:  # what leads nowhere goes with what it comes after
        befores = [leads[lag.before] for lag in lags if lag.after == name]
        if not leads[name] and befores and all(len(before) == 1 for before in befores):
            leads[name] = set().union(*befores)
    parts: dict[str, list[str]] = {}
    for name in names:
        if len(leads[name]) == 1:
            parts.setdefault(next(iter(leads[name])), []).append(name)
    return [tuple(part) for part in parts.values()]


def _stands_so(way: Way, where: Placed, standing: Standing) -> bool:
    """Whether a task that is placed by a way finds its resources in the states which that way has."""
    if way.mode.id != where.mode:
        return False
    for demand in way.mode.demands:
        start, end = covered(demand.part, where.start, where.end)
        state = way.state_on(demand.resource)
        if state is not None and demand.amount and start < end:
            stretches = (s for s in standing.stretches if s.resource == demand.resource and s.state == state)
            if not any(s.start <= start and end <= s.end for s in stretches):
                return False
    return True
