"""The checker catches every kind of broken plan, and only those."""

from __future__ import annotations

from dataclasses import replace

import pytest

from smallhours.planning.engine.problem import (
    Demand,
    Due,
    Lag,
    Mode,
    Part,
    Placed,
    Problem,
    Resource,
    StateStretch,
    Task,
)
from smallhours.planning.engine.verify import lateness, verify

PROBLEM = Problem(
    100,
    (
        Task("past", (Mode("only", 5, 5, None, (Demand("hands"),)),), fixed=(0, 5, "only")),
        Task("runs", (Mode("x", 5, 20), Mode("y", 5, 20)), started=(3, "x")),
        Task("mix", (Mode("only", 10, 12, None, (Demand("hands", 1, Part("first", 4)),)),), 5, 40),
        Task("wait", (Mode("only", 10, 30, None, (Demand("place", 2),)),)),
        Task("heat", (Mode("only", 10, 10, None, (Demand("kiln", 1, Part("but_last", 2), frozenset({"hot"})),)),)),
        Task("warm", (Mode("only", 10, 10, None, (Demand("kiln", 1, Part(), frozenset({"mild", "hot"})),)),)),
        Task("more", (Mode("only", 8, 8, None, (Demand("place"), Demand("hands", 1, Part("last", 3)))),)),
    ),
    (
        Resource("hands", 1, ((30, 34, 0),)),
        Resource("place", 2, ((60, 70, 1),)),
        Resource("kiln", 1, (), ("hot", "mild"), {("hot", "mild"): 8, ("mild", "hot"): 5}, None, {"mild": 7}),
    ),
    (Lag("mix", "wait", 0, 0), Lag("wait", "heat", 0, 10), Lag("heat", "warm", 5, None, "start", "end")),
    (Due("heat", 40, max_early=15), Due("warm", 60)),
)
GOOD = {
    "past": Placed(0, 5, "only"),
    "runs": Placed(3, 15, "x"),
    "mix": Placed(5, 15, "only"),
    "wait": Placed(15, 25, "only"),
    "heat": Placed(25, 35, "only"),
    "warm": Placed(45, 55, "only"),
    "more": Placed(27, 35, "only"),
}
STRETCHES = (StateStretch("kiln", "hot", 25, 33), StateStretch("kiln", "mild", 41, 55))


def test_a_good_plan_passes() -> None:
    """Hand: the hands are used 0-5 and 5-9, and by the last 3 ticks of ``more``; they are away 30-34. With ``more`` at
    27-35 that is 32-35: one fault. At 29-37 it is 34-37, which is free. All else keeps every rule: the place has 2
    and is used by 2 at 15-25 and by 1 at 29-37; the kiln is hot 25-33 (all but the last 2 ticks of 25-35), takes 8
    to change, and is mild from 41 to 55."""
    good = {**GOOD, "more": Placed(29, 37, "only")}
    assert verify(PROBLEM, good, STRETCHES) == []
    found = verify(PROBLEM, GOOD, STRETCHES)
    assert [(v.rule, v.resource, v.at, v.tasks) for v in found] == [("capacity", "hands", 32, ("more",))]


SOUND = {**GOOD, "more": Placed(29, 37, "only")}


@pytest.mark.parametrize(
    ("rule", "change"),
    [
        ("placed", {"more": None}),
        ("placed", {"ghost": Placed(1, 2, "only")}),
        ("mode", {"more": Placed(29, 37, "other")}),
        ("length", {"more": Placed(29, 38, "only")}),
        ("length", {"wait": Placed(15, 24, "only")}),
        ("window", {"mix": Placed(4, 15, "only")}),
        ("window", {"warm": Placed(95, 105, "only")}),
        ("fixed", {"past": Placed(1, 6, "only")}),
        ("started", {"runs": Placed(4, 15, "x")}),
        ("started", {"runs": Placed(3, 15, "y")}),
        ("lag", {"mix": Placed(5, 16, "only")}),
        ("lag", {"heat": Placed(36, 46, "only")}),
        ("lag", {"heat": Placed(51, 61, "only")}),
        ("capacity", {"more": Placed(22, 30, "only")}),
        ("capacity", {"wait": Placed(60, 70, "only")}),
        ("capacity", {"more": Placed(0, 8, "only")}),
        ("capacity", {"warm": Placed(30, 40, "only")}),
        ("state", {"warm": Placed(34, 44, "only")}),
        ("state", {"heat": Placed(24, 34, "only")}),
        ("max_early", {"heat": Placed(14, 24, "only")}),
    ],
)
def test_a_broken_plan_is_caught(rule: str, change: dict[str, Placed | None]) -> None:
    """Behaviour: one placement moved, shortened, given another mode, taken out or added breaks the rule it should."""
    placed = {name: where for name, where in {**SOUND, **change}.items() if where is not None}
    assert rule in {violation.rule for violation in verify(PROBLEM, placed, STRETCHES)}


@pytest.mark.parametrize(
    ("rule", "stretches"),
    [
        ("state", ()),
        ("state", STRETCHES[:1]),
        ("state", (STRETCHES[0], replace(STRETCHES[1], start=46))),
        ("state", (replace(STRETCHES[0], state="mild"), STRETCHES[1])),
        ("change", (STRETCHES[0], replace(STRETCHES[1], start=40))),
        ("change", (replace(STRETCHES[0], end=34), STRETCHES[1])),
        ("change", (StateStretch("kiln", "mild", 6, 7), *STRETCHES)),
        ("change", (StateStretch("kiln", "mild", 15, 21), *STRETCHES)),
        ("change", (*STRETCHES, StateStretch("kiln", "cold", 90, 95))),
        ("change", (*STRETCHES, StateStretch("kiln", "hot", 95, 101))),
        ("change", (StateStretch("kiln", "hot", 25, 33), StateStretch("kiln", "mild", 30, 55))),
    ],
)
def test_broken_stretches_are_caught(rule: str, stretches: tuple[StateStretch, ...]) -> None:
    """Behaviour: a missing, short or wrong stretch, one too soon after another or after the beginning, in an unknown
    state or beyond the horizon is caught."""
    assert rule in {violation.rule for violation in verify(PROBLEM, SOUND, stretches)}


def test_capacity_is_checked_where_a_calendar_begins() -> None:
    """Hand: a task at 55-65 uses 2 of a place that has 2 until 60 and 1 from then on: overrun at 60, not before."""
    longer = replace(PROBLEM, lags=(), dues=())
    found = verify(longer, {**SOUND, "wait": Placed(55, 65, "only")}, STRETCHES)
    assert [(v.rule, v.at) for v in found] == [("capacity", 60)]


def test_lateness_is_counted_not_forbidden() -> None:
    """Hand: ``warm`` at 55-65 is due at 60: 5 late; ``heat`` ends at 35, due 40: not late."""
    placed = {**SOUND, "warm": Placed(55, 65, "only")}
    assert lateness(PROBLEM, placed) == {"warm": 5}
    later = (STRETCHES[0], replace(STRETCHES[1], end=65))
    assert verify(PROBLEM, placed, later) == []


def test_sentences_name_what_is_wrong() -> None:
    """Behaviour: the text of a violation names the tasks or the resource and the ticks."""
    found = verify(PROBLEM, {**SOUND, "more": Placed(22, 30, "only")}, STRETCHES)
    text = next(violation.text for violation in found if violation.resource == "place")
    assert text == "At 22, 3 of 'place' are used, but there are 2."
