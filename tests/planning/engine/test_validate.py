"""Every fault of a question is found, in a sentence that names the ids."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from planning.engine.cases import task
from smallhours.errors import BadInput, ProblemError
from smallhours.planning.engine.problem import (
    Demand,
    Due,
    Lag,
    Mode,
    Objective,
    Part,
    Problem,
    Resource,
    Task,
)
from smallhours.planning.engine.solve import solve
from smallhours.planning.engine.validate import faults, validate

BOTH_WAYS = {("cold", "hot"): 5, ("hot", "cold"): 5}
SOUND = Problem(
    50,
    (task("a", 5, Demand("r")), task("b", 5, Demand("k", 1, Part(), frozenset({"hot"})))),
    (Resource("r", 2), Resource("k", 1, (), ("cold", "hot"), BOTH_WAYS)),
    (Lag("a", "b"),),
    (Due("b", 40),),
)


def _with(**changes: Any) -> Problem:
    return replace(SOUND, **changes)


def _mode(**changes: Any) -> Problem:
    return _with(tasks=(replace(SOUND.tasks[0], modes=(replace(SOUND.tasks[0].modes[0], **changes),)), SOUND.tasks[1]))


def _resource(**changes: Any) -> Problem:
    return _with(resources=(replace(SOUND.resources[0], **changes), SOUND.resources[1]))


def _kiln(**changes: Any) -> Problem:
    return _with(resources=(SOUND.resources[0], replace(SOUND.resources[1], **changes)))


def _first(**changes: Any) -> Problem:
    return _with(tasks=(replace(SOUND.tasks[0], **changes), SOUND.tasks[1]))


CASES = {
    "The horizon is 0": _with(horizon=0),
    "The task 'a' is given 2 times": _with(tasks=(*SOUND.tasks, task("a", 3))),
    "The resource 'r' is given 2 times": _with(resources=(*SOUND.resources, Resource("r"))),
    "The due of task 'b' is given 2 times": _with(dues=(Due("b", 1), Due("b", 2))),
    "names task 'z', which is not given": _with(lags=(Lag("a", "z"),)),
    "A due names task 'z'": _with(dues=(Due("z", 3),)),
    "asks for resource 'z', which is not given": _mode(demands=(Demand("z"),)),
    "asks for state 'warm' of 'k', whose states are 'cold', 'hot'": _mode(
        demands=(Demand("k", 1, Part(), frozenset({"warm"})),)
    ),
    "asks for states of 'r', which has none": _mode(demands=(Demand("r", 1, Part(), frozenset({"hot"})),)),
    "allows no state of 'k'": _mode(demands=(Demand("k", 1, Part(), frozenset()),)),
    "Mode 'only' of task 'a' has lo 9 above hi 5": _mode(lo=9),
    "has lo -1; it must not be negative": _mode(lo=-1),
    "has preferred -2": _mode(preferred=-2),
    "has cost -3": _mode(cost=-3),
    "asks for -1 of 'r'": _mode(demands=(Demand("r", -1),)),
    "has a part of -4 ticks": _mode(demands=(Demand("r", 1, Part("first", -4)),)),
    "asks for 3 of 'r', which never has more than 2": _mode(demands=(Demand("r", 3),)),
    "asks for 'r', which never has any capacity": _resource(capacity=0),
    "Resource 'r' has capacity -1": _resource(capacity=-1),
    "has a calendar piece from 9 to 9": _resource(calendar=((9, 9, 1),)),
    "has capacity -2 from 1 to 3": _resource(calendar=((1, 3, -2),)),
    "two calendar pieces that both cover tick 4": _resource(calendar=((1, 6, 1), (4, 8, 2))),
    "does not say how long a change from state 'hot' to 'cold' takes": _kiln(change={("cold", "hot"): 5}),
    "has a change from 'hot' to 'mild'": _kiln(change={**BOTH_WAYS, ("hot", "mild"): 1}),
    "takes -5 ticks from state 'hot' to 'cold'": _kiln(change={**BOTH_WAYS, ("hot", "cold"): -5}),
    "starts in state 'mild'": _kiln(initial_state="mild"),
    "has a first change to 'mild'": _kiln(initial_change={"mild": 3}),
    "takes -3 ticks to first reach state 'hot'": _kiln(initial_change={"hot": -3}),
    "Task 'a' has no mode": _first(modes=()),
    "The mode of task 'a', 'x' is given 2 times": _first(modes=(Mode("x", 1, 1), Mode("x", 2, 2))),
    "Task 'a' has earliest -1": _first(earliest=-1),
    "Task 'a' has latest 60, beyond the horizon 50": _first(latest=60),
    "which does not fit between its earliest 40 and its latest 44": _first(earliest=40, latest=44),
    "which does not fit between its earliest 46 and the horizon 50": _first(earliest=46),
    "Task 'a' is fixed in mode 'z', but its modes are 'only'": _first(fixed=(0, 5, "z")),
    "Task 'a' is started in mode 'z'": _first(started=(0, "z")),
    "both as fixed and as started": _first(fixed=(0, 5, "only"), started=(0, "only")),
    "has lo 4 above hi 2": _with(lags=(Lag("a", "b", 4, 2),)),
    "The due of task 'b' has late -1": _with(dues=(Due("b", 40, late=-1),)),
    "The due of task 'b' has max_early -1": _with(dues=(Due("b", 40, max_early=-1),)),
    "The objective names 'fun'": _with(objective=Objective((("fun",),))),
    "The objective names 'late:r'": _with(objective=Objective((("late:r",),))),
    "names resource 'z', which is not given": _with(objective=Objective((("span:z",),))),
    "needs a resource with states; 'r' has none": _with(objective=Objective((("held:r",),))),
    "A level of the objective has no terms": _with(objective=Objective(((),))),
    "The objective term 'late' is given 2 times": _with(objective=Objective((("late",), ("late",)))),
    "The weight of objective term 'late' is -1": _with(objective=Objective((("late",),), {"late": -1})),
    "is fixed at 0 to 5, outside its window 3 to 50": _first(fixed=(0, 5, "only"), earliest=3),
    "is fixed with length 7, but its mode 'only' takes between 5 and 5": _first(fixed=(0, 7, "only")),
    "started at 48 and takes at least 5, which does not fit before 50": _first(started=(48, "only")),
}


@pytest.mark.parametrize("sentence", CASES)
def test_a_fault_is_named(sentence: str) -> None:
    """Bad input: one thing is wrong with an otherwise sound question, and the sentence says which."""
    found = faults(CASES[sentence])
    assert any(sentence in fault for fault in found), found
    assert all(fault.endswith(".") and "\n" not in fault for fault in found)
    with pytest.raises(BadInput):
        solve(CASES[sentence], time_limit_s=1)


def test_a_sound_question_has_no_faults() -> None:
    """Behaviour: the question that the cases above break holds together as it stands."""
    assert faults(SOUND) == []


def test_all_faults_are_reported_at_once() -> None:
    """Bad input: three faults in three places come in one error."""
    problem = _with(horizon=0, lags=(Lag("a", "z"),), dues=(Due("y", 1),))
    with pytest.raises(ProblemError) as caught:
        validate(problem)
    assert len(caught.value.faults) >= 3
    assert "'z'" in str(caught.value)
    assert "'y'" in str(caught.value)


def test_contradictory_lags_are_named_as_a_ring() -> None:
    """Hand: b starts at least 10 after a ends, c at least 5 after b ends, and c ends at most 20 after a starts.
    From the start of a: 5 + 10 + 5 + 5 + 5 = 30 > 20. The ring has these three lags and the three lengths; d is not in
    it. With at most 30 it holds."""

    def problem(most: int) -> Problem:
        lags = (
            Lag("a", "b", 10),
            Lag("b", "c", 5),
            Lag("a", "c", 0, most, "start", "end"),
            Lag("c", "d", 0, 3),
        )
        return Problem(100, tuple(task(name, 5) for name in "abcd"), (), lags)

    (fault,) = faults(problem(20))
    for part in (
        "start of 'b' is at least 10 after end of 'a'",
        "start of 'c' is at least 5 after end of 'b'",
        "end of 'c' is at most 20 after start of 'a'",
        "'a' takes at least 5",
    ):
        assert part in fault
    assert "'d'" not in fault
    assert faults(problem(30)) == []


def test_a_past_that_contradicts_itself() -> None:
    """Bad input: two fixed tasks break the lag between them, and two overlap on a resource with room for one."""
    fixed = (
        replace(task("a", 5, Demand("m")), fixed=(0, 5, "only")),
        replace(task("b", 5, Demand("m")), fixed=(3, 8, "only")),
        replace(task("c", 5), fixed=(20, 25, "only")),
    )
    problem = Problem(50, fixed, (Resource("m"),), (Lag("a", "c", 0, 10),))
    found = faults(problem)
    assert any("'a' and 'c' are both fixed, with 15 ticks" in fault for fault in found)
    assert any("use 2 of resource 'm' at tick 3, where it has 1" in fault for fault in found)


def test_a_fixed_past_may_use_less_than_there_is() -> None:
    """Behaviour: fixed tasks that keep every rule, in sequence on one resource, are accepted."""
    fixed = (
        replace(task("a", 5, Demand("m")), fixed=(0, 5, "only")),
        Task("b", (Mode("only", 3, 9, None, (Demand("m"),)),), fixed=(5, 12, "only")),
    )
    assert faults(Problem(50, fixed, (Resource("m"),), (Lag("a", "b", 0, 0),))) == []
