"""The command odds: what it prints, its JSON, what it refuses; and the margin of plan."""

from __future__ import annotations

from pathlib import Path

import jsonschema
import pytest

from cli_run import Run
from smallhours.cli.schema import schema_of

NIGHT = "2026-11-26"


@pytest.fixture
def plan(run: Run, demo: Path, tmp_path: Path) -> Path:
    """A plan of the demo bakery in a file, and in its store."""
    answer = run("plan", "--night", NIGHT, "--limit", "3", "--json", "--margin", "5 min", "--home", str(demo))
    file = tmp_path / "plan.json"
    file.write_text(answer.out, encoding="utf-8")
    return file


def test_odds_of_a_file_and_of_the_store_are_the_same(run: Run, demo: Path, plan: Path) -> None:
    """Behaviour: the same plan, the same seed, the same odds; they are those that the plan itself carries."""
    there = run("odds", str(plan), "--json")
    stored = run("odds", "--night", NIGHT, "--json", "--home", str(demo))
    kept = run("plan", "--again", "--night", NIGHT, "--json", "--home", str(demo))
    assert there.code == stored.code == 0
    assert there.json["odds"] == stored.json["odds"] == kept.json["odds"]
    assert kept.json["margin_s"] == 300.0
    jsonschema.validate(there.json, schema_of("odds-answer"))
    assert len(there.json["odds"]["orders"]) == len(kept.json["orders"])
    assert run("odds", str(plan), "--seed", "2", "--json").json["odds"] != there.json["odds"]


def test_odds_are_said_in_words(run: Run, demo: Path, plan: Path) -> None:
    """Behaviour: the line under a plan, then every order, the least sure first."""
    said = run("odds", "--home", str(demo)).out
    line = next(line for line in said.splitlines() if line.startswith("Everything is on time in "))
    assert line in run("plan", "--again", "--home", str(demo)).out
    assert "Orders, the least sure first" in said


def test_margins_are_compared(run: Run, demo: Path) -> None:
    """Behaviour: a row for each margin; nothing is written: there is still no plan."""
    words = ("--compare-margins", "0,10", "--night", NIGHT, "--limit", "2", "--nights", "50", "--home", str(demo))
    reply = run("odds", *words, "--json").json
    assert [each["margin_s"] for each in reply["margins"]] == [0.0, 600.0]
    assert reply["plan"] is None
    jsonschema.validate(reply, schema_of("odds-answer"))
    assert run("plan", "--again", "--home", str(demo)).code == 2


def test_what_odds_refuses(run: Run, demo: Path, plan: Path, tmp_path: Path) -> None:
    """Bad input: each told in a sentence, ending with 2."""
    home = ("--home", str(demo))
    for said, words in {
        "cannot be read": (str(tmp_path / "nothing.json"),),
        "must be from 1 to 20,000 (found 0)": (str(plan), "--nights", "0"),
        "the seed must be 0 or more": (str(plan), "--seed=-1"),
        "go with the store": (str(plan), "--night", NIGHT),
        "are no minutes": ("--compare-margins", "ten", *home),
        "a margin must be from 0 to 360 minutes (found -5": ("--compare-margins=-5", *home),
        "there is no plan for the night to 2020-01-01": ("--night", "2020-01-01", *home),
        "the wanted chance must be above 0": ("--compare-margins", "0", "--want", "0", *home),
    }.items():
        answer = run("odds", *words)
        assert (answer.code, said in answer.err) == (2, True), (said, answer.err)
    answer = run("plan", "--margin", "soon", *home)
    assert (answer.code, "--margin" in answer.err) == (2, True)
