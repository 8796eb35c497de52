"""Random questions: every answer passes the checker, and on tiny ones it is the best there is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import product

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from smallhours.planning.engine.parts import covered
from smallhours.planning.engine.problem import (
    Demand,
    Due,
    Lag,
    Mode,
    Objective,
    Part,
    Placed,
    Problem,
    Resource,
    StateStretch,
    Task,
)
from smallhours.planning.engine.solve import solve
from smallhours.planning.engine.validate import faults
from smallhours.planning.engine.verify import verify

HORIZON = 9
KINDS = ("whole", "first", "last", "but_last", "but_first")
QUIET = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)


@st.composite
def demands(draw: st.DrawFn) -> Demand:
    name = draw(st.sampled_from(["r", "k"]))
    part = Part(draw(st.sampled_from(KINDS)), draw(st.integers(0, 3)))
    states = None
    if name == "k":
        states = draw(st.sampled_from([None, frozenset({"s"}), frozenset({"t"}), frozenset({"s", "t"})]))
    return Demand(name, draw(st.integers(0, 2)), part, states)


@st.composite
def modes(draw: st.DrawFn, name: str) -> Mode:
    lo = draw(st.integers(0, 3))
    hi = lo + draw(st.integers(0, 2))
    preferred = draw(st.none() | st.integers(0, 5))
    return Mode(name, lo, hi, preferred, tuple(draw(st.lists(demands(), max_size=2))), draw(st.integers(0, 2)))


LEVELS = [
    (("late",), ("early", "deviation", "mode")),
    (("makespan",), ("late", "starts")),
    (("held:k", "mode"), ("span:r", "early")),
    (("deviation", "late", "span:k"),),
    (("late", "early"), ("deviation", "makespan")),
]


@st.composite
def lags_between(draw: st.DrawFn, count: int) -> tuple[Lag, ...]:
    found = []
    side = st.sampled_from(["start", "end"])
    for i in range(1, count):
        if draw(st.booleans()):
            lo = draw(st.integers(-2, 2))
            hi = draw(st.none() | st.integers(lo, lo + 3))
            found.append(Lag(f"t{i - 1}", f"t{i}", lo, hi, draw(side), draw(side)))
    return tuple(found)


@st.composite
def resources(draw: st.DrawFn) -> tuple[Resource, Resource]:
    start = draw(st.integers(0, 4))
    piece = (start, start + draw(st.integers(1, 4)), draw(st.integers(0, 3)))
    change = {("s", "t"): draw(st.integers(0, 3)), ("t", "s"): draw(st.integers(0, 3))}
    first = draw(st.sampled_from([None, "s", "t"]))
    return (
        Resource("r", 2, (piece,)),
        Resource("k", 2, (), ("s", "t"), change, first, {"s": draw(st.integers(0, 2))}),
    )


@st.composite
def problems(draw: st.DrawFn, most_tasks: int, horizon: int) -> Problem:
    count = draw(st.integers(1, most_tasks))
    tasks = []
    for i in range(count):
        own = tuple(draw(modes(f"m{j}")) for j in range(draw(st.integers(1, 2))))
        latest = draw(st.none() | st.integers(4, horizon))
        tasks.append(Task(f"t{i}", own, draw(st.integers(0, 3)), latest))
    at, late, fresh = st.integers(0, horizon), st.integers(0, 3), st.none() | st.integers(2, 6)
    dues = tuple(Due(f"t{i}", draw(at), draw(late), 1, draw(fresh)) for i in range(count) if draw(st.booleans()))
    objective = Objective(draw(st.sampled_from(LEVELS)), {"early": draw(st.integers(1, 3)), "mode": 2})
    return Problem(horizon, tuple(tasks), draw(resources()), draw(lags_between(count)), dues, objective)


@QUIET
@given(problems(6, 20))
def test_every_answer_passes_the_checker(problem: Problem) -> None:
    """Behaviour: whatever the question, the answer keeps every rule, a proven value equals its bound, and the terms
    that are said are those of the plan that is given, however later levels share a value out among them."""
    if faults(problem):
        return
    solution = solve(problem, time_limit_s=5)
    assert solution.status in ("optimal", "infeasible")
    if solution.status == "optimal":
        assert verify(problem, solution) == []
        assert all(level.value == level.bound and level.proven for level in solution.levels)
        terms = {name: value for level in solution.levels for name, value in level.terms.items()}
        held = sum(s.end - s.start for s in solution.stretches if s.resource == "k")
        assert terms == {name: _term(problem, solution.placed, name, held) for name in terms}


@QUIET
@given(problems(3, HORIZON))
def test_tiny_questions_are_answered_best(problem: Problem) -> None:
    """Published: none; the oracle is the exhaustive search below, which tries every mode, start and length and keeps
    what the checker passes. Levels are compared in order; infeasible must be infeasible for both."""
    if faults(problem):
        return
    solution = solve(problem, time_limit_s=5)
    scores = [_score(problem, placed) for placed in _every_plan(problem)]
    known = [score for score in scores if score is not None]
    if not known:
        assert solution.status == "infeasible"
    else:
        assert solution.status == "optimal"
        assert tuple(level.value for level in solution.levels) == min(known)


def _every_plan(problem: Problem) -> Iterator[dict[str, Placed]]:
    options = []
    for task in problem.tasks:
        last = problem.horizon if task.latest is None else task.latest
        options.append(
            [
                Placed(start, start + length, mode.id)
                for mode in task.modes
                for length in range(mode.lo, mode.hi + 1)
                for start in range(task.earliest, last - length + 1)
            ]
        )
    for chosen in product(*options):
        placed = {task.id: where for task, where in zip(problem.tasks, chosen, strict=True)}
        if all(_keeps(lag, placed) for lag in problem.lags):
            yield placed


def _keeps(lag: Lag, placed: Mapping[str, Placed]) -> bool:
    gap = getattr(placed[lag.after], lag.after_side) - getattr(placed[lag.before], lag.before_side)
    return lag.lo <= gap and (lag.hi is None or gap <= lag.hi)


Use = tuple[int, int, Demand]


def _uses(problem: Problem, placed: Mapping[str, Placed], resource: str) -> list[Use]:
    found = []
    for task in problem.tasks:
        where = placed[task.id]
        for demand in next(mode for mode in task.modes if mode.id == where.mode).demands:
            start, end = covered(demand.part, where.start, where.end)
            if demand.resource == resource and demand.amount and start < end:
                found.append((start, end, demand))
    return sorted(found, key=lambda use: use[:2])


def _every_stretching(resource: Resource, uses: list[Use]) -> Iterator[tuple[StateStretch, ...]]:
    """Every choice of a state for each use and of joining or parting neighbours of one state."""
    for states in product(*(sorted(demand.states or resource.states) for _, _, demand in uses)):
        for joins in product((False, True), repeat=max(len(uses) - 1, 0)):
            stretches: list[StateStretch] = []
            for i, ((start, end, _), state) in enumerate(zip(uses, states, strict=True)):
                if i and joins[i - 1] and stretches[-1].state == state:
                    old = stretches.pop()
                    stretches.append(StateStretch(resource.id, state, old.start, max(old.end, end)))
                else:
                    stretches.append(StateStretch(resource.id, state, start, end))
            yield tuple(stretches)


def _score(problem: Problem, placed: Mapping[str, Placed]) -> tuple[int, ...] | None:
    """The least value of each level for these placements; None if they break a rule whatever the stretches."""
    kiln = problem.resources[1]
    without = [v for v in verify(problem, placed) if v.rule not in ("state", "change")]
    if without:
        return None
    best: int | None = None
    for stretches in _every_stretching(kiln, _uses(problem, placed, "k")):
        if not verify(problem, placed, stretches):
            held = sum(s.end - s.start for s in stretches)
            best = held if best is None else min(best, held)
    if best is None:
        return None
    objective = problem.objective
    return tuple(
        sum(objective.weights.get(term, 1) * _term(problem, placed, term, best) for term in level)
        for level in objective.levels
    )


def _term(problem: Problem, placed: Mapping[str, Placed], term: str, held: int) -> int:
    if term == "late":
        return sum(due.late * max(placed[due.task].end - due.at, 0) for due in problem.dues)
    if term == "early":
        return sum(due.early * max(due.at - placed[due.task].end, 0) for due in problem.dues)
    if term == "makespan":
        return max(where.end for where in placed.values())
    if term == "starts":
        return sum(problem.horizon - where.start for where in placed.values())
    if term == "held:k":
        return held
    if term.startswith("span:"):
        uses = _uses(problem, placed, term[5:])
        return max(use[1] for use in uses) - min(use[0] for use in uses) if uses else 0
    total = 0
    for task in problem.tasks:
        where = placed[task.id]
        mode = next(mode for mode in task.modes if mode.id == where.mode)
        if term == "mode":
            total += mode.cost
        else:
            wanted = mode.lo if mode.preferred is None else mode.preferred
            total += abs(where.end - where.start - wanted)
    return total
