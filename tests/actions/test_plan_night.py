"""Planning a night from the store, and the papers of a plan."""

from __future__ import annotations

import datetime as dt
import zoneinfo
from pathlib import Path

import pytest

from smallhours.actions.load_demo import LoadDemo, load_demo
from smallhours.actions.night_date import coming_night
from smallhours.actions.night_papers import NightPapersOf, night_papers
from smallhours.actions.permissions import Actor
from smallhours.actions.plan_night import PlanNight, plan_night
from smallhours.actions.publish_plan import PublishPlan, publish_plan
from smallhours.actions.save_formula import SaveFormula, save_formula
from smallhours.actions.weigh_bowls import weigh_bowls
from smallhours.bakery.kitchen.document import Temperatures
from smallhours.errors import BadInput, NotAllowed, NotFound
from smallhours.planning.engine.progress import Stopper
from smallhours.records import queries

NIGHT = dt.date(2026, 1, 15)
AT = dt.datetime(2026, 1, 14, 10, 0, tzinfo=dt.UTC)


def _clock() -> dt.datetime:
    return AT


def test_a_plan_is_kept_with_the_revisions_it_was_made_from(bakery: Path) -> None:
    """Behaviour: 30 loaves and 80 rolls are planned; the row names revisions; the log has a line; it reads back."""
    stored = plan_night(PlanNight(NIGHT, 4.0), clock=_clock)
    assert stored.plan.status in ("optimal", "feasible")
    assert sorted((order.product, order.pieces) for order in stored.plan.orders) == [
        ("hearth-loaf", 6), ("hearth-loaf", 24), ("hearth-roll", 80),
    ]  # fmt: skip
    assert stored.made_from == {
        "formulas": {"hearth-loaf": 1, "hearth-roll": 1},
        "ingredients": {"mill-white": 1},
        "kitchen": ["corner-bakery", 1],
    }
    papers = night_papers()
    assert (papers.stored.id, papers.stored.plan) == (stored.id, stored.plan)
    assert queries.log_lines(1)[0].details == {
        "plan": stored.id, "night": "2026-01-15", "status": stored.plan.status,
    }  # fmt: skip


def test_the_papers_are_those_the_plan_was_made_from(bakery: Path) -> None:
    """Behaviour: after the formula was edited the plan's papers still hold its former revision; bowls follow it."""
    plan_night(PlanNight(NIGHT, 3.0), clock=_clock)
    loaf = queries.kept_formula("hearth-loaf").document
    part = loaf.parts[0]
    lines = (part.lines[0], part.lines[1].model_copy(update={"percent": 80.0}), *part.lines[2:])
    save_formula(SaveFormula(loaf.model_copy(update={"parts": (part.model_copy(update={"lines": lines}),)})))
    papers = night_papers(NightPapersOf(NIGHT))
    assert papers.formulas["hearth-loaf"].parts[0].lines[1].percent == 65
    for bowl in weigh_bowls(papers):
        if bowl.batch.part == "dough":
            flour, water = (row.exact_g for row, _ in bowl.rows[:2])
            assert water / flour == pytest.approx(0.65)
            assert bowl.liquids == (("Water", "Agua"),)


def test_the_solver_never_runs_inside_a_transaction(bakery: Path) -> None:
    """Behaviour: while the planner reports, no transaction is open and the store can be written by others."""
    import sqlite3

    from django.db import connection

    seen: list[bool] = []

    def look(_: object) -> None:
        if not seen:
            with sqlite3.connect(bakery / "store.sqlite3", timeout=0.2) as other:
                other.execute("INSERT INTO records_closedday (date) VALUES ('2026-12-25')")
        seen.append(connection.in_atomic_block)

    plan_night(PlanNight(NIGHT, 3.0), clock=_clock, on_progress=look)
    assert seen
    assert not any(seen)
    assert queries.order_book().closed == (dt.date(2026, 12, 25),)


def test_tonights_temperatures_go_into_the_papers_and_nothing_else(bakery: Path) -> None:
    """Behaviour: a cold room tonight is in the plan's kitchen, not the kitchen's document; unkept leaves no trace."""
    before = len(queries.log_lines())
    cold = Temperatures.read({"room_c": 15, "tap_water_c": 8}, "tonight")
    unkept = plan_night(PlanNight(NIGHT, 2.0, cold, keep=False), clock=_clock)
    assert unkept.id == 0
    assert len(queries.log_lines()) == before
    plan_night(PlanNight(NIGHT, 2.0, cold), clock=_clock)
    assert night_papers().kitchen.temperatures.room_c == 15
    assert queries.kept_kitchen().document.temperatures.room_c == 21


def test_a_night_without_orders_is_an_empty_plan(home: Path, files: Path) -> None:
    """Bad input: an empty order book makes a plan with the status "empty", and its papers can be read."""
    from smallhours.actions.import_documents import ImportDocuments, import_documents

    (files / "orders.toml").unlink()
    import_documents(ImportDocuments((files,)))
    assert plan_night(PlanNight(NIGHT, 1.0), clock=_clock).plan.status == "empty"
    assert weigh_bowls(night_papers()) == ()


def test_what_cannot_be_planned(home: Path) -> None:
    """Bad input: no kitchen yet, no time or endless time to think, a reader who asks."""
    with pytest.raises(NotFound, match="no kitchen in this store"):
        plan_night(PlanNight(NIGHT))
    for seconds in (0.0, -1.0, 1e9, float("nan")):
        with pytest.raises(BadInput, match="seconds to think"):
            plan_night(PlanNight(NIGHT, seconds))
    with pytest.raises(NotAllowed):
        plan_night(PlanNight(NIGHT), Actor("Vera", "reader"))
    with pytest.raises(NotFound, match="no plan"):
        night_papers()


@pytest.mark.parametrize(
    ("instant", "night"),
    [
        ("2026-01-14T22:30:00+00:00", "2026-01-15"),
        ("2026-01-14T23:30:00+00:00", "2026-01-16"),
        ("2026-03-28T12:00:00+00:00", "2026-03-29"),
        ("2026-10-24T22:30:00+00:00", "2026-10-26"),
    ],
)
def test_the_coming_night_is_tomorrow_on_the_kitchens_clock(bakery: Path, instant: str, night: str) -> None:
    """Hand: 23:30 in Madrid is still the 14th, half past midnight is the 15th; also about both clock changes."""
    kitchen = queries.kept_kitchen().document
    assert kitchen.zone() == zoneinfo.ZoneInfo("Europe/Madrid")
    assert coming_night(kitchen, dt.datetime.fromisoformat(instant)).isoformat() == night


def test_the_demo_bakery_goes_into_an_empty_store_only(home: Path) -> None:
    """Behaviour: at least 12 products, a kitchen, orders; nothing wrong in it; a second time only when forced."""
    saved = load_demo()
    assert sum(one.kind == "formula" for one in saved) >= 12
    assert {"formula", "kitchen", "orders", "ingredients"} == {one.kind for one in saved}
    assert not [finding for one in saved for finding in one.findings if finding.severity == "wrong"]
    with pytest.raises(BadInput, match="already holds a bakery"):
        load_demo()
    again = load_demo(LoadDemo(even_if_filled=True))
    assert not any(one.changed for one in again)


def test_the_published_plan_is_the_one_of_its_night(bakery: Path) -> None:
    """Behaviour: of two plans the newest counts until one is published; publishing is logged."""
    first, second = (plan_night(PlanNight(NIGHT, 1.0), clock=_clock).id for _ in range(2))
    assert night_papers(NightPapersOf(NIGHT)).stored.id == second
    assert publish_plan(PublishPlan(first, "agreed with everybody")).published
    assert night_papers(NightPapersOf(NIGHT)).stored.id == first
    publish_plan(PublishPlan(second))
    assert night_papers(NightPapersOf(NIGHT)).stored.id == second
    assert not night_papers(NightPapersOf(plan_id=first)).stored.published
    assert [line.verb for line in queries.log_lines(2)] == ["publish", "publish"]
    with pytest.raises(NotFound, match="no plan 99"):
        publish_plan(PublishPlan(99))


def test_no_plan_does_not_hide_the_last_one(bakery: Path) -> None:
    """Behaviour: planning that is stopped before anything was found keeps nothing, and the former plan still shows."""
    kept = plan_night(PlanNight(NIGHT, 2.0), clock=_clock)
    stop = Stopper()
    stop.stop()
    nothing = plan_night(PlanNight(NIGHT, 2.0), clock=_clock, stop=stop)
    assert nothing.id == 0
    assert not nothing.plan.tasks
    assert "stopped before a first plan was found" in nothing.plan.notes
    assert night_papers(NightPapersOf(NIGHT)).stored.id == kept.id
