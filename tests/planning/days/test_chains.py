"""How early a plan begins: as early as its longest chain, and the hours of the people, ask for."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest

from planning.shift.small_bakery import CHAIN, MINUTE_S, NIGHT, formula, kitchen, order, person, planned
from smallhours.planning.engine.problem import Lag, Mode, Problem, Task
from smallhours.planning.plan import Plan
from smallhours.planning.shift.chains import latest_starts

HOUR_S = 60 * MINUTE_S


def at(days_before: int, clock: str) -> dt.datetime:
    """An instant on the clock of the small kitchen, which is UTC."""
    return dt.datetime.combine(NIGHT - dt.timedelta(days=days_before), dt.time.fromisoformat(clock), dt.UTC)


def night(hours: float, people: list[dict[str, Any]]) -> Plan:
    """The plan of a loaf, 200 min long and due at 05:30, with a preferment that takes so many hours before."""
    lines = [{"part": "levain", "percent": 30.0}, {"ingredient": "bread-flour", "percent": 100.0},
             {"ingredient": "water", "percent": 60.0}]  # fmt: skip
    own = [{"ingredient": "bread-flour", "percent": 100.0}, {"ingredient": "water", "percent": 100.0}]
    parts = [{"id": "dough", "name": "Dough", "lines": lines},
             {"id": "levain", "name": "Levain", "kind": "preferment", "lines": own}]  # fmt: skip
    ripe = {"kind": "rest", "part": "levain", "duration_s": hours * HOUR_S, "max_s": 2 * hours * HOUR_S}
    chain = ({"kind": "mix", "part": "levain", "place": "bench", "duration_s": 300.0}, ripe, *CHAIN)
    return planned([formula("loaf", chain, parts=parts)], [order("05:30")], kitchen(people=people), start=None)


ALL_DAY = [person("ana", hours=[{"start": "00:00:00", "end": "00:00:00"}])]
AT_NIGHT = [person("ana", "22:00:00", "08:00:00")]


@pytest.mark.parametrize(
    ("hours", "people", "begins"),
    [
        (8.0, ALL_DAY, at(1, "12:00")),  # levain at 18:05 at the latest
        (13.0, ALL_DAY, at(2, "12:00")),  # 13:05, less than two hours after noon
        (16.0, ALL_DAY, at(2, "12:00")),  # 10:05, before noon
        (40.0, ALL_DAY, at(3, "12:00")),  # 10:05 two days before
        (8.0, AT_NIGHT, at(2, "12:00")),  # 18:05, when nobody has been there since noon: the shift before does it
    ],
)
def test_a_plan_begins_as_early_as_its_longest_chain(
    hours: float, people: list[dict[str, Any]], begins: dt.datetime
) -> None:
    """Hand: the loaf is mixed at 02:10; the levain takes 5 min more than its rest. Each such plan is on time."""
    plan = night(hours, people)
    assert plan.horizon_start == begins
    assert not any(each.late_s for each in plan.orders)


def test_the_latest_start_goes_back_along_the_longest_chain() -> None:
    """Hand: c (5) is due at 100; b (20, or 10 another way) ends 7 before it begins, a (30) at once before b.

    The shortest way: c at 95, b at 78, a at 48. As wanted (b its first way): b at 68, a at 38.
    """
    tasks = (
        Task("a", (Mode("a", 30, 40, 30),)),
        Task("b", (Mode("slow", 20, 30, 20), Mode("fast", 10, 10, 10))),
        Task("c", (Mode("c", 5, 9, 5),)),
        Task("apart", (Mode("apart", 5, 9),)),
    )
    problem = Problem(200, tasks, lags=(Lag("a", "b", 0, 3), Lag("b", "c", 7)))
    assert latest_starts(problem, {"c": 100}) == {"c": 95, "b": 78, "a": 48}
    assert latest_starts(problem, {"c": 100}, wanted=True) == {"c": 95, "b": 68, "a": 38}
    assert latest_starts(problem, {"c": 10})["a"] == -42
