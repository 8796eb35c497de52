"""Answer a question: a plan, how good it is, and how much of that is proven."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

from smallhours.planning.engine.bounds import least_levels, least_terms
from smallhours.planning.engine.build import build
from smallhours.planning.engine.campaigns import standing_for
from smallhours.planning.engine.first_plan import FirstPlan
from smallhours.planning.engine.model import Model, Values
from smallhours.planning.engine.objective import Level
from smallhours.planning.engine.problem import LevelResult, Placed, Problem, Solution
from smallhours.planning.engine.progress import Progress, Stopper
from smallhours.planning.engine.search import Budget, Outcome, Settings, run
from smallhours.planning.engine.validate import validate
from smallhours.planning.engine.verify import verify

CONSTRUCT_ABOVE = 60  # tasks; smaller questions are searched without a first plan
SOLVER_UP_TO = 600  # tasks; larger questions are only refitted
REFIT_SHARE = 0.6  # of the time left once there is a first plan, for refitting it before the solver goes on
IMPROVE_ABOVE = 60  # tasks; on larger questions the last level is first only improved, then searched with bounds
EARLY_LEVEL_SHARE = 0.8  # of the time left, for each level but the last
IMPROVE_SHARE = 0.8  # of the last level's time, for only improving
BOUND_SHARE = 0.05  # of the time left, for the bound of an early level whose model has too few stretches for a proof
PATIENCE = 0.5  # of a level's time without a better plan, after which only improving ends


@dataclass
class _Search:
    """One call of ``solve``: what it was given and what it has found."""

    problem: Problem
    budget: Budget
    settings: Settings
    stay: Mapping[str, Placed]
    stopper: Stopper
    on_progress: Callable[[Progress], None] | None
    polish_s: float | None = None
    trace: list[tuple[float, int, int]] = field(default_factory=list)

    def better(self, level: int, value: int | None, bound: int) -> None:
        """Note a better plan or bound."""
        now = self.budget.seconds()
        if value is not None:
            self.trace.append((now, level, value))
        if self.on_progress is not None:
            self.on_progress(Progress(now, level, value, bound))


def solve(
    problem: Problem,
    *,
    time_limit_s: float,
    workers: int = 2,
    seed: int = 1,
    hint: Mapping[str, Placed] | None = None,
    stay: Mapping[str, Placed] | None = None,
    on_progress: Callable[[Progress], None] | None = None,
    stop: Stopper | None = None,
    deterministic: bool = False,
    polish_s: float | None = None,
) -> Solution:
    """Find the best plan for ``problem`` within ``time_limit_s`` seconds.

    The levels of the objective are settled in order; each level's value becomes a limit for the later ones.
    ``hint``: a plan to start from (used whole if it keeps every rule). ``stay``: the published plan that the term
    ``move`` counts from; it also serves as a hint. ``on_progress`` is called from another thread for every
    better plan or bound. ``stop.stop()``, from any thread, ends the search, as does a KeyboardInterrupt; the best
    plan so far is returned with ``stopped=True``. ``deterministic``: the same question gives the same answer
    every time; one worker is used, and the time limit counts work instead of the clock, so that it is only roughly
    in seconds. ``polish_s``: once a level is proven, at most so many seconds go into what comes after it (None: all
    that is left of the time limit).

    Raises: ProblemError if the question does not hold together.
    """
    validate(problem)
    search = _Search(
        problem,
        Budget(time_limit_s, deterministic),
        Settings(workers, seed),
        stay or {},
        stop or Stopper(),
        on_progress,
        polish_s,
    )
    known = _sound(problem, hint if hint is not None else stay)
    maker, first = None, known
    if len(problem.tasks) > CONSTRUCT_ABOVE:
        maker = FirstPlan(problem, search.budget, search.settings, search.stopper, search.stay, search.better)
        first = _first_plan(search, maker, known)
        large = len(problem.tasks) > SOLVER_UP_TO or search.budget.left() <= 0 or search.stopper.stopped
        answer = maker.answer() if large and first is not None else None
        if answer is not None:
            return replace(answer, trace=tuple(search.trace), stopped=search.stopper.stopped)
    answer = _solved(search, first)
    return replace(answer, trace=tuple(search.trace), stopped=search.stopper.stopped)


def _solved(search: _Search, first: Mapping[str, Placed] | None) -> Solution:
    """The solver's answer, with more stretches where too few may be why nothing fits."""
    scale = 1
    while True:
        answer, cramped = _solve_levels(search, first, scale)
        again = answer.status == "infeasible" and cramped and not search.stopper.stopped
        if not again or search.budget.left() <= 0:
            break
        scale *= 4
    if answer.status == "infeasible" and cramped:
        return replace(answer, status="unknown")
    return answer


def _first_plan(search: _Search, maker: FirstPlan, known: Mapping[str, Placed] | None) -> dict[str, Placed] | None:
    """The plan that is known, else one that is built, made better."""
    first = maker.make(known)
    if first is None:
        return None
    if maker.is_first_level_least() and search.polish_s is not None:
        search.budget.shorten(search.polish_s)
    return maker.improve(REFIT_SHARE if len(search.problem.tasks) <= SOLVER_UP_TO else 1.0) or first


def _sound(problem: Problem, hint: Mapping[str, Placed] | None) -> dict[str, Placed] | None:
    """A hint as a plan, if it is whole and keeps every rule."""
    if hint is None or not all(task.id in hint for task in problem.tasks):
        return None
    known = {task.id: hint[task.id] for task in problem.tasks}
    modes = {(task.id, mode.id) for task in problem.tasks for mode in task.modes}
    if not all((name, where.mode) in modes for name, where in known.items()):
        return None
    standing = standing_for(problem, known)
    if standing is None or verify(problem, known, standing.stretches, standing.changes):
        return None
    return known


def _solve_levels(search: _Search, first: Mapping[str, Placed] | None, scale: int) -> tuple[Solution, bool]:
    """The answer with so many stretches allowed, and whether fewer are allowed than might be useful."""
    standing = standing_for(search.problem, first) if first is not None else None
    least: dict[str, int] = {}
    for stretch in standing.stretches if standing is not None else ():
        least[stretch.resource] = least.get(stretch.resource, 1) + 1
    built = build(search.problem, search.stay, least, scale)
    if built is None:
        return Solution("infeasible"), False
    model, levels = built
    incumbent = None
    if first is not None and standing is not None:
        incumbent = model.values_of(first, standing.stretches, standing.changes)
    return _descend(search, model, levels, incumbent), bool(model.cramped)


def _descend(search: _Search, model: Model, levels: list[Level], incumbent: Values | None) -> Solution:
    results: list[LevelResult] = []
    if not levels:
        outcome = run(model, search.budget, 1.0, search.settings, hint=incumbent, stopper=search.stopper)
        return _solution(model, outcome.values or incumbent, [], outcome.status)
    all_proven = True
    least = least_terms(search.problem, model.windows)
    floors = least_levels(search.problem, least)
    for number, level in enumerate(levels):
        if incumbent is not None:
            search.better(number, level.value(incumbent), floors[number])
        outcome = _settle_level(search, model, level, number, len(levels), incumbent, floors[number])
        if outcome.values is None and incumbent is None:
            return _solution(model, None, [], outcome.status)
        incumbent = outcome.values if outcome.values is not None else incumbent
        assert incumbent is not None
        value = level.value(incumbent)
        bound = min(max(outcome.bound, floors[number]), value)
        if model.cramped and value > bound:
            without = _bound_without_states(search, model, results, number, len(levels))
            bound = min(max(without, floors[number]), value)
        all_proven = all_proven and bound >= value
        terms = {name: term.value(incumbent) for name, term in level.terms.items()}
        results.append(LevelResult(terms, value, bound, all_proven, {name: least[name] for name in terms}))
        if number + 1 < len(levels):
            model.cp.add(level.expr <= value)
            if all_proven and search.polish_s is not None:
                search.budget.shorten(search.polish_s)
    assert incumbent is not None
    results = [_as_it_ends(level, result, incumbent) for level, result in zip(levels, results, strict=True)]
    return _solution(model, incumbent, results, "optimal" if all_proven else "feasible")


def _as_it_ends(level: Level, result: LevelResult, final: Values) -> LevelResult:
    """What a level came to in the end: later levels may share its value out among its terms in another way."""
    terms = {name: term.value(final) for name, term in level.terms.items()}
    return replace(result, terms=terms, value=level.value(final))


def _settle_level(
    search: _Search, model: Model, level: Level, number: int, count: int, incumbent: Values | None, floor: int
) -> Outcome:
    """Search one level; a level that is already as good as it can be is not searched."""
    least = max(level.least(model), floor)
    if incumbent is not None and level.value(incumbent) <= least:
        return Outcome("optimal", incumbent, least)
    model.cp.minimize(level.expr)
    last = number + 1 == count
    large = incumbent is not None and len(search.problem.tasks) > IMPROVE_ABOVE
    best = Outcome("feasible", incumbent, least)
    share = EARLY_LEVEL_SHARE if number == 0 and not last else 1.0
    if large and number > 0 and not last:
        settings = replace(search.settings, improve_only=True, goal=least)
        return _run_level(search, model, level, number, best, settings, 1.0 / (count - number))
    if last and large:
        settings = replace(search.settings, improve_only=True, goal=least, patience=PATIENCE * search.budget.left())
        best = _run_level(search, model, level, number, best, settings, IMPROVE_SHARE)
        assert best.values is not None
        if level.value(best.values) <= least:
            return replace(best, status="optimal")
        if model.cramped:
            return best  # a proof is out of reach, and only improving finds more
    return _run_level(search, model, level, number, best, replace(search.settings, goal=least), share)


def _bound_without_states(search: _Search, model: Model, settled: list[LevelResult], number: int, count: int) -> int:
    """A bound that holds although the model has too few stretches for a proof: from a question without states."""
    built = build(search.problem, search.stay, without=("states",))
    assert built is not None
    relaxed, levels = built
    for level, result in zip(levels, settled, strict=False):
        relaxed.cp.add(level.expr <= result.value)
    relaxed.cp.minimize(levels[number].expr)
    share = 1.0 if number + 1 == count else BOUND_SHARE
    outcome = run(relaxed, search.budget, share, search.settings, stopper=search.stopper)
    return max(outcome.bound, levels[number].least(relaxed))


def _run_level(
    search: _Search, model: Model, level: Level, number: int, start: Outcome, settings: Settings, share: float
) -> Outcome:
    """One run for one level from the plan in ``start``; never comes back with a worse one."""
    known = None if start.values is None else level.value(start.values)
    best, floor = [known], [start.bound]

    def on_better(value: int | None, bound: int) -> None:
        if value is not None and (best[0] is None or value < best[0]):
            best[0] = value
            search.better(number, value, max(bound, floor[0]))

    def on_bound(bound: int) -> None:
        if bound > floor[0]:
            floor[0] = bound
            search.better(number, None, bound)

    outcome = run(
        model,
        search.budget,
        share,
        settings,
        hint=start.values,
        on_better=on_better,
        on_bound=on_bound,
        stopper=search.stopper,
    )
    if outcome.values is None:
        return start if start.values is not None else outcome
    bound = max(outcome.bound, start.bound)
    if known is not None and level.value(outcome.values) >= known:
        return replace(start, bound=bound)  # of equals the one that was good on the later levels
    return replace(outcome, bound=bound)


def _solution(model: Model, values: Values | None, results: list[LevelResult], status: str) -> Solution:
    if values is None:
        return Solution("infeasible" if status == "infeasible" else "unknown")
    standing = model.stretches_of(values), model.changes_of(values), model.there_of(values)
    return Solution(
        "optimal" if status == "optimal" else "feasible", model.placed(values), *standing, levels=tuple(results)
    )
