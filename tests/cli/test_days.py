"""The commands plan-days and ahead: what they print, their JSON, the sheet, what they refuse."""

from __future__ import annotations

from pathlib import Path

import jsonschema
import pytest

from cli_run import Run
from smallhours.cli.schema import schema_of
from smallhours.planning.check.days import between
from smallhours.planning.plan import Plan

FIRST = "2026-11-24"


@pytest.fixture
def planned(run: Run, demo: Path) -> list[Plan]:
    """The plans of two nights of the demo bakery, in its store."""
    answer = run("plan-days", "--days", "2", "--night", FIRST, "--limit", "3", "--json", "--home", str(demo))
    assert answer.code in (0, 1), answer.err
    jsonschema.validate(answer.json, schema_of("plan-days-answer"))
    return [Plan.model_validate(plan) for plan in answer.json["plans"]]


def test_nights_are_planned_and_kept_one_around_the_other(run: Run, demo: Path, planned: list[Plan]) -> None:
    """Behaviour: two plans, each stored as its own; the second tells what the first takes; together they are sound."""
    assert [plan.night.isoformat() for plan in planned] == [FIRST, "2026-11-25"]
    assert not planned[0].taken
    assert {taken.night for taken in planned[1].taken} == {planned[0].night}
    assert between(planned) == ()
    for plan in planned:
        again = run("plan", "--again", "--night", plan.night.isoformat(), "--json", "--home", str(demo))
        assert again.json["tasks"] == plan.model_dump(mode="json")["tasks"]
    verdict = run("verify", "--night", "2026-11-25", "--json", "--home", str(demo))
    assert verdict.json["violations"] == []


def test_ahead_says_what_to_begin_from_plans_and_without(run: Run, demo: Path, planned: list[Plan]) -> None:
    """Behaviour: the poolish of the planned night at its planned time, that of the next one back from its due time."""
    answer = run("ahead", "--from", "2026-11-24", "--days", "2", "--json", "--home", str(demo))
    assert answer.code == 0
    jsonschema.validate(answer.json, schema_of("ahead-answer"))
    fed = [each for day in answer.json["days"] for each in day["begin"] if each["kind"] == "feed"]
    assert [each["planned"] for each in fed] == [True, False]
    start = min(task.start for task in planned[1].tasks if task.part == "poolish")
    assert fed[0]["start"] == start.isoformat().replace("+00:00", "Z")
    said = run("ahead", "--from", "2026-11-24", "--days", "1", "--home", str(demo)).out
    assert "Orders can be met until" in said
    assert "people are taken to be free" in said


@pytest.mark.parametrize("lang", ["en", "es"])
def test_the_days_ahead_on_paper(run: Run, demo: Path, tmp_path: Path, lang: str) -> None:
    """Behaviour: a PDF in the language."""
    file = tmp_path / "days.pdf"
    answer = run("ahead", "--from", FIRST, "--days", "1", "--pdf", str(file), "--lang", lang, "--home", str(demo))
    assert answer.code == 0
    assert file.read_bytes().startswith(b"%PDF")


def test_what_they_refuse(run: Run, demo: Path, tmp_path: Path) -> None:
    """Bad input: each told in a sentence, ending with 2."""
    home = ("--home", str(demo))
    for said, words in {
        "must be 1 to 31": ("plan-days", "--days", "0"),
        "days to look ahead must be 1 to 31": ("ahead", "--days", "40"),
        "is not a date": ("ahead", "--from", "tomorrow"),
        "cannot be written": ("ahead", "--from", FIRST, "--days", "1", "--pdf", str(tmp_path / "no" / "a.pdf")),
    }.items():
        answer = run(*words, *home)
        assert answer.code == 2, words
        assert said in answer.err
