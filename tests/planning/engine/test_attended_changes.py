"""Changes of state that need hands: worked by hand, and held against trying everything."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import product

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planning.engine.cases import MAKESPAN, task
from smallhours.planning.engine.campaigns import standing_for
from smallhours.planning.engine.clash import clash
from smallhours.planning.engine.explain import lateness_reasons
from smallhours.planning.engine.problem import (
    Demand,
    Due,
    Mode,
    Objective,
    Placed,
    Problem,
    Resource,
    Solution,
    StateChange,
    StateStretch,
    Task,
)
from smallhours.planning.engine.solve import solve
from smallhours.planning.engine.validate import faults
from smallhours.planning.engine.verify import verify

QUIET = settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
CLEAN, DIRTY = frozenset({"clean"}), frozenset({"dirty"})
HANDS = Demand("hands")


def _bowl(ticks: int = 3, first: str = "clean") -> Resource:
    """A bowl that gets dirty by itself and takes hands to get clean again."""
    return Resource("bowl", 1, (), ("clean", "dirty"), {("dirty", "clean"): ticks, ("clean", "dirty"): 0}, first, {},
                    (HANDS,))  # fmt: skip


def _in_bowl(states: frozenset[str], hands: bool = False) -> tuple[Demand, ...]:
    return (Demand("bowl", states=states), *((HANDS,) if hands else ()))


def _best(problem: Problem) -> Solution:
    solution = solve(problem, time_limit_s=10, workers=1)
    assert verify(problem, solution) == []
    assert solution.status == "optimal"
    return solution


def test_a_change_waits_for_hands() -> None:
    """Hand: dirty work in the bowl 0-4, clean work 2 after it; cleaning takes 3 with one pair of hands, which are
    elsewhere from 4 to 9. So it is cleaned 9-12 and the clean work is done by 14. With a second pair of hands it is
    cleaned 4-7 and done by 9."""
    work = (
        replace(task("dirty", 4, *_in_bowl(DIRTY)), fixed=(0, 4, "only")),
        replace(task("elsewhere", 5, HANDS), fixed=(4, 9, "only")),
        task("clean", 2, *_in_bowl(CLEAN)),
    )
    one = _best(Problem(40, work, (_bowl(), Resource("hands")), (), (), MAKESPAN))
    assert one.placed["clean"].end == 9 + 3 + 2
    assert one.changes == (StateChange("bowl", "dirty", "clean", 9, 12),)
    two = _best(Problem(40, work, (_bowl(), Resource("hands", 2)), (), (), MAKESPAN))
    assert two.levels[0].value == 9
    assert two.changes[0].start == 4


def test_what_must_be_clean_comes_first() -> None:
    """Hand: dirty 4 and clean 2 in any order. Clean first: 2 + 4 = 6, no cleaning. Dirty first: 4 + 3 + 2 = 9."""
    work = (task("dirty", 4, *_in_bowl(DIRTY)), task("clean", 2, *_in_bowl(CLEAN)))
    solution = _best(Problem(40, work, (_bowl(), Resource("hands")), (), (), MAKESPAN))
    assert solution.levels[0].value == 6
    assert solution.placed["clean"].start == 0
    assert solution.changes == ()


def test_a_bowl_that_is_dirty_at_first_is_cleaned_when_changes_may_begin() -> None:
    """Hand: dirty at tick 0, changes from tick 5 on: cleaned 5-8, the work of 2 is done by 10. Clean at first: by 2."""
    work = (task("clean", 2, *_in_bowl(CLEAN)),)
    late = replace(_bowl(first="dirty"), changes_from=5)
    solution = _best(Problem(40, work, (late, Resource("hands")), (), (), MAKESPAN))
    assert solution.placed["clean"].end == 10
    assert _best(Problem(40, work, (_bowl(), Resource("hands")), (), (), MAKESPAN)).levels[0].value == 2


def test_two_bowls_share_one_pair_of_hands() -> None:
    """Hand: two bowls dirty until 4, each needs 3 of cleaning by the one pair of hands before 2 of clean work. One is
    cleaned 4-7, the other 7-10: all is done by 12, and the changes take 6 ticks in all."""
    other = replace(_bowl(), id="other")
    work = (
        replace(task("d1", 4, *_in_bowl(DIRTY)), fixed=(0, 4, "only")),
        replace(task("d2", 4, Demand("other", states=DIRTY)), fixed=(0, 4, "only")),
        task("c1", 2, *_in_bowl(CLEAN)),
        task("c2", 2, Demand("other", states=CLEAN)),
    )
    objective = Objective((("makespan",), ("changed:bowl", "changed:other")))
    solution = _best(Problem(40, work, (_bowl(), other, Resource("hands")), (), (), objective))
    assert solution.levels[0].value == 12
    assert solution.levels[1].terms == {"changed:bowl": 3, "changed:other": 3}
    assert sorted((c.start, c.end) for c in solution.changes) == [(4, 7), (7, 10)]


def test_a_plan_without_its_change_is_caught() -> None:
    """Behaviour: the checker misses a change that is not there, that lies in a stretch, is too short or comes on top;
    and sees the hands it takes."""
    work = (task("dirty", 2, *_in_bowl(DIRTY)), task("clean", 2, *_in_bowl(CLEAN)), task("hand", 1, HANDS))
    problem = Problem(20, work, (_bowl(), Resource("hands")))
    placed = {"dirty": Placed(0, 2, "only"), "clean": Placed(6, 8, "only"), "hand": Placed(10, 11, "only")}
    stretches = (StateStretch("bowl", "dirty", 0, 2), StateStretch("bowl", "clean", 6, 8))

    def rules(*changes: StateChange, **moved: Placed) -> set[str]:
        return {v.rule for v in verify(problem, {**placed, **moved}, stretches, changes)}

    good = StateChange("bowl", "dirty", "clean", 2, 5)
    assert rules(good) == set()
    assert rules() == {"change"}
    assert rules(StateChange("bowl", "dirty", "clean", 4, 7)) == {"change"}
    assert rules(StateChange("bowl", "dirty", "clean", 2, 4)) == {"change"}
    assert rules(good, StateChange("bowl", "clean", "dirty", 12, 15)) == {"change"}
    assert rules(good, hand=Placed(4, 5, "only")) == {"capacity"}


def test_why_late_behind_a_change() -> None:
    """Hand: as the first case, with the clean work due at 5: it ends at 14, 9 late, because the hands are elsewhere
    from 4 to 9 and the bowl is changed from what the dirty work left."""
    work = (
        replace(task("dirty", 4, *_in_bowl(DIRTY)), fixed=(0, 4, "only")),
        replace(task("elsewhere", 5, HANDS), fixed=(4, 9, "only")),
        task("clean", 2, *_in_bowl(CLEAN)),
    )
    problem = Problem(40, work, (_bowl(), Resource("hands")), (), (Due("clean", 5),), Objective((("late",),)))
    reasons = lateness_reasons(problem, _best(problem))
    assert {(r.kind, r.resource, r.end, r.blocked_by) for r in reasons} == {
        ("state", "bowl", 12, ("dirty",)),
        ("capacity", "hands", 9, ("elsewhere",)),
    }
    assert all(r.late_by == 9 for r in reasons)


def test_a_change_nobody_can_make_is_a_clash() -> None:
    """Hand: the clean work must end by 6, the dirty work is fixed at 0-4 and cleaning takes 3: 4 + 3 + 2 = 9 > 6."""
    work = (
        replace(task("dirty", 4, *_in_bowl(DIRTY)), fixed=(0, 4, "only")),
        task("clean", 2, *_in_bowl(CLEAN), latest=6),
    )
    found = clash(Problem(40, work, (_bowl(), Resource("hands"))), workers=1)
    assert found is not None
    assert {(limit.kind, limit.ids) for limit in found.limits} == {("states", ("bowl",)), ("latest", ("clean",))}


def test_bad_changes_are_named() -> None:
    """Bad input: what a change asks for is not there, has states itself, is too much or only in part."""
    hands, lamp = Resource("hands"), Resource("lamp", states=("on",))

    def said(*demands: Demand) -> str:
        return " ".join(faults(Problem(9, (), (replace(_bowl(), change_demands=demands), hands, lamp))))

    assert said(HANDS) == ""
    assert "'nobody', which is not given" in said(Demand("nobody"))
    assert "'lamp', which has states itself" in said(Demand("lamp"))
    assert "asks for 2 of 'hands', which never has more than 1" in said(Demand("hands", 2))
    assert "has no states to change between" in " ".join(
        faults(Problem(9, (), (Resource("bare", change_demands=(HANDS,)), hands)))
    )


HORIZON = 8


@st.composite
def problems(draw: st.DrawFn) -> Problem:
    """Up to three tasks on a resource of two states whose changes need hands that have a calendar."""
    tasks = []
    for i in range(draw(st.integers(1, 3))):
        states = draw(st.sampled_from([None, frozenset("s"), frozenset("t")]))
        demands = [Demand("k", draw(st.integers(0, 2)), states=states)]
        if draw(st.booleans()):
            demands.append(HANDS)
        lo = draw(st.integers(0, 3))
        mode = Mode("m", lo, lo + draw(st.integers(0, 1)), None, tuple(demands))
        tasks.append(Task(f"t{i}", (mode,), draw(st.integers(0, 2))))
    change = {("s", "t"): draw(st.integers(0, 2)), ("t", "s"): draw(st.integers(0, 3))}
    first = draw(st.sampled_from([None, "s", "t"]))
    closed = draw(st.integers(0, 5))
    resources = (
        Resource("k", 2, (), ("s", "t"), change, first, {"s": draw(st.integers(0, 2))}, (HANDS,),
                 draw(st.integers(0, 2))),
        Resource("hands", 1, ((closed, closed + draw(st.integers(1, 2)), 0),)),
    )  # fmt: skip
    levels = draw(st.sampled_from([(("makespan",), ("changed:k",)), (("changed:k", "makespan"),)]))
    return Problem(HORIZON, tuple(tasks), resources, (), (), Objective(levels))


@QUIET
@given(problems())
def test_tiny_questions_are_answered_best(problem: Problem) -> None:
    """Published: none; the oracle tries every start, length, state, joining and place of every change, and keeps what
    the checker passes. Levels are compared in order; infeasible must be infeasible for both."""
    if faults(problem):
        return
    solution = solve(problem, time_limit_s=5, workers=1)
    known = [score for placed in _every_plan(problem) for score in _scores(problem, placed)]
    if not known:
        assert solution.status == "infeasible"
        return
    assert solution.status == "optimal"
    assert verify(problem, solution) == []
    assert tuple(level.value for level in solution.levels) == min(known)


@QUIET
@given(problems(), st.randoms(use_true_random=False))
def test_standing_is_found_where_there_is_one(problem: Problem, random: object) -> None:
    """Behaviour: for placements that stand still, the states and changes found pass the checker, and none are found
    where trying everything finds none."""
    if faults(problem):
        return
    plans = list(_every_plan(problem))
    for placed in random.sample(plans, min(3, len(plans))):  # type: ignore[attr-defined]
        standing, possible = standing_for(problem, placed), bool(list(_scores(problem, placed)))
        if not possible:
            assert standing is None or verify(problem, placed, standing.stretches, standing.changes)
        elif standing is not None:
            assert verify(problem, placed, standing.stretches, standing.changes) == []


def _every_plan(problem: Problem) -> Iterator[dict[str, Placed]]:
    options = [
        [
            Placed(start, start + length, "m")
            for length in range(t.modes[0].lo, t.modes[0].hi + 1)
            for start in range(t.earliest, problem.horizon - length + 1)
        ]
        for t in problem.tasks
    ]
    for chosen in product(*options):
        placed = {t.id: where for t, where in zip(problem.tasks, chosen, strict=True)}
        if not any(v.rule == "capacity" for v in verify(problem, placed)):
            yield placed


def _scores(problem: Problem, placed: Mapping[str, Placed]) -> Iterator[tuple[int, ...]]:
    for stretches in _every_stretching(problem, placed):
        for changes in _every_changing(problem.resources[0], stretches):
            if not verify(problem, placed, stretches, changes):
                terms = {
                    "makespan": max(where.end for where in placed.values()),
                    "changed:k": sum(c.end - c.start for c in changes),
                }
                yield tuple(sum(terms[term] for term in level) for level in problem.objective.levels)
                break  # where the changes lie makes no difference to the score


def _every_stretching(problem: Problem, placed: Mapping[str, Placed]) -> Iterator[tuple[StateStretch, ...]]:
    uses = sorted(
        (placed[t.id].start, placed[t.id].end, demand.states or frozenset("st"))
        for t in problem.tasks
        for demand in t.modes[0].demands
        if demand.resource == "k" and demand.amount and placed[t.id].start < placed[t.id].end
    )
    for states in product(*(sorted(allowed) for _, _, allowed in uses)):
        for joins in product((False, True), repeat=max(len(uses) - 1, 0)):
            found: list[StateStretch] = []
            for i, ((start, end, _), state) in enumerate(zip(uses, states, strict=True)):
                if i and joins[i - 1] and found[-1].state == state:
                    found[-1] = StateStretch("k", state, found[-1].start, max(found[-1].end, end))
                else:
                    found.append(StateStretch("k", state, start, end))
            yield tuple(found)


def _every_changing(resource: Resource, stretches: tuple[StateStretch, ...]) -> Iterator[tuple[StateChange, ...]]:
    choices = []
    state, free = resource.initial_state, 0
    for stretch in stretches:
        table = (
            resource.initial_change if state is None else {t: n for (s, t), n in resource.change.items() if s == state}
        )
        ticks = table.get(stretch.state, 0)
        if ticks:
            starts = range(free, stretch.start - ticks + 1)
            choices.append([StateChange("k", state, stretch.state, start, start + ticks) for start in starts])
        state, free = stretch.state, stretch.end
    yield from product(*choices)
