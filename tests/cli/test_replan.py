"""The command replan: a running night planned anew from the terminal, and what is refused."""

from __future__ import annotations

import datetime as dt
import shutil
from pathlib import Path

import pytest

from cli_run import Run

NIGHT = "2026-11-26"


@pytest.fixture(scope="module")
def planned_store(demo_store: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A store with a plan of one night; tests copy it."""
    from django.db import connections

    from smallhours.actions.plan_night import PlanNight, plan_night
    from smallhours.records.setup import open_store

    home = tmp_path_factory.mktemp("planned") / "store"
    shutil.copytree(demo_store, home)
    open_store(home)
    plan_night(PlanNight(dt.date.fromisoformat(NIGHT), 4.0))
    connections.close_all()
    return home


@pytest.fixture
def planned(planned_store: Path, tmp_path: Path) -> Path:
    """A copy of the store with a plan."""
    home = tmp_path / "planned"
    shutil.copytree(planned_store, home)
    return home


def test_what_goes_as_planned_changes_nothing(run: Run, planned: Path) -> None:
    """Behaviour: nothing said, nothing changed; and nothing is kept where it is only tried."""
    answer = run("replan", "--night", NIGHT, "--now", "03:00", "--limit", "3", "--try", "--home", str(planned))
    assert "Nothing changes: everybody goes on as planned." in answer.out
    kept = run("plan", "--again", "--night", NIGHT, "--json", "--home", str(planned)).json
    assert kept["happened"] is None


def test_a_late_order_is_kept_and_every_change_told(run: Run, planned: Path) -> None:
    """Behaviour: the order is in the new plan, which is followed from then on; a line for each change."""
    words = ("--night", NIGHT, "--home", str(planned))
    answer = run("replan", "--now", "00:30", "--more", "muffin=12@07:30", "--limit", "4", "--json", *words)
    assert answer.code in (0, 1)
    assert [order["pieces"] for order in answer.json["orders"] if order["customer"] == "Extra"] == [12]
    assert {change["kind"] for change in answer.json["changes"]} >= {"new"}
    again = run("replan", "--now", "00:40", "--limit", "4", *words)
    assert "new, at" not in again.out
    kept = run("plan", "--again", "--json", *words).json
    assert kept["happened"]["orders"][0]["product"] == "muffin"


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--more", "muffin=dozen@07:30"), "is not an order: write it like muffin=40@07:00"),
        (("--more", "muffin"), "has no '=': write it like --more NAME=VALUE"),
        (("--longer", "a:b:c=soon"), "--longer"),
        (("--down", "tractor=04:00"), "there is no 'tractor' in this night"),
        (("--away", "nobody"), "nobody is called 'nobody' in this kitchen"),
        (("--ended", "x:y:z=02:00"), "has no task 'x:y:z'"),
        (("--said", "nowhere.toml"), "--said 'nowhere.toml' cannot be read"),
        (("--limit", "0"), "must be above 0"),
        (("--now", "25:00"), "is not a time"),
    ],
)
def test_what_cannot_be_meant_is_one_sentence(run: Run, planned: Path, words: tuple[str, ...], told: str) -> None:
    """Bad input: what is wrong, and how it is written; the plan stays as it was."""
    at = () if "--now" in words else ("--now", "03:00")
    answer = run("replan", "--night", NIGHT, *at, *words, "--home", str(planned))
    assert answer.code == 2
    assert told in answer.err
    assert len(answer.err.strip().splitlines()) <= 2


def test_without_a_plan_there_is_nothing_to_plan_anew(run: Run, demo: Path) -> None:
    """Bad input: a night that was never planned."""
    answer = run("replan", "--night", "2027-01-04", "--home", str(demo))
    assert answer.code == 2
    assert "there is no plan for the night to 2027-01-04 yet" in answer.err
