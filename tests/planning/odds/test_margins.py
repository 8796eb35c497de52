"""A margin before the due times: what the planner does with it, and what the comparison says."""

from __future__ import annotations

import pytest

from planning.shift.small_bakery import MADE_AT, MIDNIGHT, NIGHT, formula, kitchen, minutes, order, stages
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput
from smallhours.planning.engine.problem import Due, Mode, Objective, Problem, Solution, Task
from smallhours.planning.engine.solve import solve
from smallhours.planning.odds.document import MarginOdds
from smallhours.planning.odds.margins import checked_margins_s, compare_margins, recommended
from smallhours.planning.odds.night_odds import night_odds
from smallhours.planning.odds.words import in_a_line
from smallhours.planning.plan import Plan
from smallhours.planning.shift.ahead import ahead
from smallhours.planning.shift.plan_night import plan_night

SOFT = stages(("ferment", {"min_s": 3600.0, "max_s": 2 * 3600.0, "at_temp_c": 24.0}),
              ("proof", {"min_s": 3000.0, "max_s": 2 * 3000.0, "at_temp_c": 24.0}))  # fmt: skip


def made(margin_s: float, due: str = "08:00") -> Plan:
    """One loaf for eight, planned with a margin."""
    loaf = formula(chain=SOFT)
    return plan_night(
        {loaf.id: loaf}, [order(due)], kitchen(), Pantry(), NIGHT, made_at=MADE_AT, start=MIDNIGHT,
        time_limit_s=4.0, workers=1, deterministic=True, margin_s=margin_s,
    )  # fmt: skip


def test_with_time_enough_everything_is_ready_a_margin_before_it_is_due() -> None:
    """Hand: chain of 200 minutes, eight hours: ready at eight without a margin, half an hour before it with one, and on
    time in both."""
    sharp, calm = made(0.0), made(1800.0)
    assert sharp.orders[0].ready == sharp.orders[0].due
    assert calm.orders[0].ready == calm.orders[0].due - minutes(30)
    assert (sharp.margin_s, calm.margin_s) == (0.0, 1800.0)
    assert sharp.orders[0].late_s == calm.orders[0].late_s == 0.0


def test_a_margin_that_does_not_fit_makes_nothing_late() -> None:
    """Hand: the chain takes 200 minutes; due after 210, a margin of 30 is 20 short of fitting. The order is ready
    before its due time, counted as on time, and the objective says so."""
    tight = made(1800.0, due="03:30")
    assert tight.orders[0].late_s == 0.0
    assert tight.objective[0].terms["late"] == 0.0
    assert tight.late == ()


def test_more_margin_more_chance() -> None:
    """Limit: one order, three margins, the same nights: its chance never goes down, and goes up from half an hour."""
    compared = compare_margins(made, (0.0, 600.0, 1800.0), nights=400)
    chances = [each.order_on_time for each in compared]
    assert chances == sorted(chances)
    assert chances[-1] > chances[0]
    assert [each.waits_s for each in compared] == [0.0, 600.0, 1800.0]
    assert all(each.late_orders == 0 and each.hands_s > 0 for each in compared)


def test_the_smallest_margin_that_is_enough_is_recommended() -> None:
    """Hand: chances 0.7, 0.92, 0.95: ten minutes are enough for 90 of 100, nothing for 99."""
    some = MarginOdds(
        margin_s=0, all_on_time=0.5, order_on_time=0.7, late_orders=0, hands_s=1, present_s=1, waits_s=0
    )  # fmt: skip
    each = [
        some.model_copy(update={"margin_s": m, "order_on_time": p}) for m, p in ((0, 0.7), (600, 0.92), (900, 0.95))
    ]
    found = recommended(each, 0.9)
    assert found is not None
    assert found.margin_s == 600
    assert recommended(each, 0.99) is None


def _solved(problem: Problem) -> Solution:
    return solve(problem, time_limit_s=2, workers=1)


def test_an_engine_asked_ahead_answers_for_the_true_dues() -> None:
    """Hand: two tasks of 10 on the one day, due at 12 and 30, wanted 5 ahead. The first can end at 10: 3 after what is
    wanted, 2 before it is due. Lateness is told as 0, and 0 is proven, for no plan is less."""
    tasks = (Task("a", (Mode("m", 10, 10),)), Task("b", (Mode("m", 10, 10),)))
    objective = Objective(levels=(("late",), ("early",)))
    problem = Problem(60, tasks, dues=(Due("a", 12, late=1), Due("b", 30, late=1)), objective=objective)
    solution = ahead(_solved, 5)(problem)
    assert (solution.placed["a"].end, solution.placed["b"].end) == (10, 25)
    assert (solution.levels[0].value, solution.levels[0].bound, solution.levels[0].proven) == (0, 0, True)


def test_what_cannot_be_made_in_time_stays_late() -> None:
    """Hand: a task of 10 due at 6: late by 4 whatever the margin; asked 3 ahead the engine proves 7, which proves 4."""
    task = Task("a", (Mode("m", 10, 10),))
    problem = Problem(60, (task,), dues=(Due("a", 6, late=1),), objective=Objective(levels=(("late",),)))
    level = ahead(_solved, 3)(problem).levels[0]
    assert (level.terms["late"], level.value, level.bound, level.proven) == (4, 4, 4, True)
    assert level == _solved(problem).levels[0]


@pytest.mark.parametrize("margins", [(), (-60.0,), (float("nan"),), (10 * 3600.0,)])
def test_what_is_no_margin_is_said(margins: tuple[float, ...]) -> None:
    """Bad input: none, negative, no number, longer than six hours."""
    with pytest.raises(BadInput, match="margin"):
        checked_margins_s(margins)


def test_a_plan_in_a_line() -> None:
    """Behaviour: how often all is on time, and the weakest order by name; a sure plan only says that."""
    plan = made(0.0)
    line = in_a_line(plan, night_odds(plan))
    assert line.startswith("Everything is on time in ")
    assert "weakest: Loaf for Shop (" in line
    sure = night_odds(plan, nights=3).model_copy(update={"all_on_time": 1.0, "weakest": None})
    assert in_a_line(plan, sure) == "Everything is on time in 100 of 100 nights like this."
