"""The first whole plan and what refitting makes of it, before the solver has its turn."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from smallhours.planning.engine.account import account
from smallhours.planning.engine.bounds import least_levels, least_terms
from smallhours.planning.engine.campaigns import standing_for
from smallhours.planning.engine.construct import construct, insert
from smallhours.planning.engine.prices import Prices
from smallhours.planning.engine.problem import Placed, Problem, Solution
from smallhours.planning.engine.progress import Stopper
from smallhours.planning.engine.refit import Refit, refit_of
from smallhours.planning.engine.search import WORK_PER_SECOND, Budget, Settings
from smallhours.planning.engine.verify import verify
from smallhours.planning.engine.worth import worth

MOST_TICKS = 40_000  # of a horizon that is swept tick by tick
BUILD_SHARE = 0.3  # of the time, for placing every group
TRY_S = 0.03  # what a try counts where work is counted instead of the clock
INSERT_SHARE = 0.1  # of the time left, for a group that only the solver finds a place for

Report = Callable[[int, int, int], None]


@dataclass
class FirstPlan:
    """How a first plan is found and made better. ``report`` is told of level, value and bound of each better plan."""

    problem: Problem
    budget: Budget
    settings: Settings
    stopper: Stopper
    stay: Mapping[str, Placed]
    report: Report
    least: list[int] = field(default_factory=list)
    _refit: Refit | None = None
    _names: list[str] = field(default_factory=list)
    _told: list[int] = field(default_factory=list)

    def make(self, known: Mapping[str, Placed] | None) -> dict[str, Placed] | None:
        """A whole and sound plan: the one that is known, else one built; None if none was found."""
        self._names = [name for level in self.problem.objective.levels for name in level]
        refit = None
        if self.problem.horizon <= MOST_TICKS:
            refit = refit_of(self.problem, Prices(self.problem, self.stay, building=True), self.settings.seed)
        try:
            return self._made(refit, known)
        except KeyboardInterrupt:
            self.stopper.stop()
            return None

    def _made(self, refit: Refit | None, known: Mapping[str, Placed] | None) -> dict[str, Placed] | None:
        if refit is not None:
            self.least = least_levels(self.problem, least_terms(self.problem, refit.inserter.reach))
            if (known is not None and refit.load(known)) or (known is None and self._built(refit)):
                self._refit = refit
                self._tell()
                return dict(refit.inserter.placed)
        if known is not None:
            return dict(known)
        return construct(self.problem, self.budget, self.settings, self.stopper)

    def improve(self, share: float) -> dict[str, Placed] | None:
        """The best plan after ``share`` of the time left; None if there is nothing to refit."""
        refit = self._refit
        if refit is None:
            return None
        until = self.budget.spent() + share * self.budget.left()

        def give_up() -> bool:
            self._count()
            return self.stopper.stopped or self.budget.spent() >= until

        try:
            refit.improve(lambda: give_up() or self.is_first_level_least(), self._tell)
            refit.reprice(Prices(self.problem, self.stay))
            refit.improve(lambda: give_up() or self._is_least(refit), self._tell)
        except KeyboardInterrupt:
            self.stopper.stop()
            refit.start_over()
        placed = refit.best()
        return placed if _holds(self.problem, placed) else None

    def answer(self) -> Solution | None:
        """The best plan as an answer, without the solver."""
        return None if self._refit is None else account(self.problem, self._refit)

    def is_first_level_least(self) -> bool:
        """Whether the plan is proven best on the first level."""
        return self._refit is not None and bool(self.least) and self._levels(self._refit)[0] <= self.least[0]

    def _built(self, refit: Refit) -> bool:
        until = self.budget.spent() + BUILD_SHARE * self.budget.left()

        def give_up() -> bool:
            self._count()
            return self.stopper.stopped or self.budget.spent() >= until

        for names in refit.build(give_up):
            placed = dict(refit.inserter.placed)
            found = insert(self.problem, names, placed, self.budget, INSERT_SHARE, self.settings, self.stopper)
            if found is None or not refit.load(found):
                return False
        if refit.value() == math.inf:  # some change of state finds nobody
            refit.improve(lambda: give_up() or refit.value() < math.inf, lambda: None)
        return _holds(self.problem, refit.inserter.placed)

    def _count(self) -> None:
        if self.budget.deterministic:
            self.budget.work += TRY_S * WORK_PER_SECOND

    def _is_least(self, refit: Refit) -> bool:
        return self._levels(refit) == self.least

    def _levels(self, refit: Refit) -> list[int]:
        weights = self.problem.objective.weights
        terms = refit.worth().terms
        if len(terms) < len(self._names):
            terms = worth(refit.inserter, self._names).terms
        return [sum(terms[name] * weights.get(name, 1) for name in level) for level in self.problem.objective.levels]

    def _tell(self) -> None:
        assert self._refit is not None
        values = self._levels(self._refit)
        for number, (value, least) in enumerate(zip(values, self.least, strict=True)):
            if number >= len(self._told) or value != self._told[number]:
                self.report(number, value, least)
                break
        self._told = values


def _holds(problem: Problem, placed: Mapping[str, Placed]) -> bool:
    standing = standing_for(problem, placed)
    return standing is not None and not verify(problem, placed, standing.stretches, standing.changes)
