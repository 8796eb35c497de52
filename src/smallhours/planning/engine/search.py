"""One run of the solver: its settings, its budget, its reports, and how it is stopped."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from ortools.sat.python import cp_model

from smallhours.planning.engine.model import Model, Values
from smallhours.planning.engine.progress import Stopper

Status = Literal["optimal", "feasible", "infeasible", "unknown"]
OnBetter = Callable[[int | None, int], None]
IsGood = Callable[[Values], bool]


WORK_PER_SECOND = 0.15  # the solver's own count of work in a second of one core, as found on the cases in bench


@dataclass
class Budget:
    """How much searching is left of ``limit`` seconds.

    ``deterministic``: seconds are not taken from a clock but from the solver's own count of work, which makes a run
    repeatable; they are then only roughly seconds (on a busy or slow machine several times as long).
    """

    limit: float
    deterministic: bool = False
    began: float = field(default_factory=time.monotonic)
    work: float = 0.0

    def seconds(self) -> float:
        """Seconds on the clock since the budget was opened."""
        return time.monotonic() - self.began

    def spent(self) -> float:
        """What has been used up."""
        return self.work / WORK_PER_SECOND if self.deterministic else self.seconds()

    def left(self) -> float:
        """What remains, never negative."""
        return max(self.limit - self.spent(), 0.0)

    def shorten(self, to: float) -> None:
        """Leave at most ``to`` from now on."""
        self.limit = min(self.limit, self.spent() + to)


@dataclass(frozen=True)
class Settings:
    """How the solver runs.

    ``workers`` threads and a ``seed``. ``improve_only``: it only improves a given plan and seeks no bounds.
    ``patience``: it ends when it has a plan (a good one, if ``run`` is told which are) and found no better one for
    so many seconds. ``tail``: it ends so many seconds after its first plan at the latest. ``quick``: it spends
    little on preparing the model (for many small searches). ``goal``: it ends when it has so good a plan.
    """

    workers: int = 2
    seed: int = 1
    improve_only: bool = False
    patience: float | None = None
    tail: float | None = None
    quick: bool = False
    goal: int | None = None


@dataclass(frozen=True)
class Outcome:
    """What a run came to: ``values`` of all variables (None if no plan) and a lower bound of the objective."""

    status: Status
    values: Values | None
    bound: int


class _Reporter(cp_model.CpSolverSolutionCallback):  # type: ignore[misc]
    """Tells of each better plan, and remembers when the last one came."""

    def __init__(self, on_better: OnBetter | None, goal: int | None, is_good: IsGood | None) -> None:
        super().__init__()
        self._on_better = on_better
        self._goal = goal
        self._is_good = is_good
        self.good = is_good is None
        self.first: float | None = None
        self.last: float | None = None

    def on_solution_callback(self) -> None:
        self.last = time.monotonic()
        self.first = self.first or self.last
        if not self.good and self._is_good is not None:
            self.good = self._is_good(list(self.response_proto.solution))
        if self._goal is not None and self.objective_value <= self._goal:
            self.stop_search()
        if self._on_better is None:
            return
        self._on_better(round(self.objective_value), _whole(self.best_objective_bound))


def run(
    model: Model,
    budget: Budget,
    share: float,
    settings: Settings,
    *,
    hint: Sequence[int] | None = None,
    on_better: OnBetter | None = None,
    on_bound: Callable[[int], None] | None = None,
    stopper: Stopper | None = None,
    is_good: IsGood | None = None,
) -> Outcome:
    """Search ``model`` for at most ``share`` of what is left of ``budget``.

    ``hint`` gives a value for every variable. A KeyboardInterrupt in the calling thread stops the search as
    ``stopper`` would.
    """
    stopper = stopper or Stopper()
    _set_hint(model, hint)
    solver = _solver(budget, share, settings)
    if on_bound is not None:
        solver.best_bound_callback = lambda bound: on_bound(_whole(bound))
    reporter = _Reporter(on_better, settings.goal, is_good)
    statuses: list[Any] = []
    thread = threading.Thread(target=lambda: statuses.append(solver.solve(model.cp, reporter)), daemon=True)
    if not stopper.stopped:
        thread.start()
        stopper.attach(solver.stop_search)
        while thread.is_alive():
            try:
                thread.join(0.02)  # short waits, so that the interpreter can handle signals meanwhile
            except KeyboardInterrupt:
                stopper.stop()
            if stopper.stopped or _tired(reporter, budget, settings):
                solver.stop_search()  # again, in case the search had not begun when it was first asked
        stopper.attach(None)
    if not statuses:
        return Outcome("unknown", None, 0)
    budget.work += solver.deterministic_time
    return _outcome(solver, statuses[0], model)


def _tired(reporter: _Reporter, budget: Budget, settings: Settings) -> bool:
    """Whether patience is over; a run that must be repeatable has none to lose, as it may not look at a clock."""
    if budget.deterministic or reporter.first is None or reporter.last is None:
        return False
    now = time.monotonic()
    if settings.patience is not None and reporter.good and now - reporter.last > settings.patience:
        return True
    return settings.tail is not None and now - reporter.first > settings.tail


def _solver(budget: Budget, share: float, settings: Settings) -> Any:
    solver = cp_model.CpSolver()
    parameters = solver.parameters
    if budget.deterministic:
        parameters.max_deterministic_time = max(budget.left() * share * WORK_PER_SECOND, 0.001)
        parameters.num_workers = 1
    else:
        parameters.max_time_in_seconds = max(budget.left() * share, 0.01)
        parameters.num_workers = settings.workers
    parameters.random_seed = settings.seed
    parameters.symmetry_level = 0  # symmetry handling in presolve can make a complete hint infeasible
    parameters.catch_sigint_signal = False
    if settings.quick:
        parameters.num_workers = 1
        parameters.cp_model_probing_level = 0
        parameters.max_presolve_iterations = 1
        parameters.linearization_level = 0
    if settings.improve_only:
        parameters.use_lns_only = True
    return solver


def _set_hint(model: Model, hint: Sequence[int] | None) -> None:
    model.cp.clear_hints()
    if hint is not None:
        proto = model.cp.proto.solution_hint
        proto.vars.extend(range(len(hint)))
        proto.values.extend(hint)


def _outcome(solver: Any, status: Any, model: Model) -> Outcome:
    if status == cp_model.INFEASIBLE:
        return Outcome("infeasible", None, 0)
    bound = _whole(solver.best_objective_bound)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Outcome("unknown", None, bound)
    values = list(solver.response_proto.solution)
    proven = status == cp_model.OPTIMAL and bound >= round(solver.objective_value)
    return Outcome("optimal" if proven else "feasible", model.settle(values), bound)


def _whole(bound: float) -> int:
    """A bound of a whole-numbered objective, rounded up to the next whole number (but not by noise)."""
    if abs(bound) > 1e15:
        return -(10**15)
    return int(-(-(bound - 1e-6) // 1))
