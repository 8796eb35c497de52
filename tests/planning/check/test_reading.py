"""What is handed over as a plan and is none, is refused in one sentence."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest

from planning.check.good_night import good, plan
from smallhours.errors import DocumentError
from smallhours.planning.check.reading import LARGEST_BYTES, read_plan


def refusal(data: bytes) -> str:
    """What is said of a file that is no plan; it names the file."""
    with pytest.raises(DocumentError) as caught:
        read_plan(data, "night.json")
    said = str(caught.value)
    assert said.startswith("night.json: ")
    return said


def test_a_plan_reads_back() -> None:
    """Round trip: what was written is read back the same, also with a mark of its encoding before it."""
    text = good()
    assert read_plan(text.encode(), "plan").model_dump_json() == text
    assert read_plan(b"\xef\xbb\xbf" + text.encode(), "plan").model_dump_json() == text


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "no valid JSON: Expecting value (at line 1, column 1)"),
        (b"\x00\xff\xfe", "no text in UTF-8"),
        (b"From 04:30: shape the buns.", "no valid JSON"),
        (b"[1, 2]", "one object in braces"),
        (b"{}", "it has no schema_name"),
        (b'{"schema_name": "smallhours.check/1"}', "it calls itself 'smallhours.check/1'"),
        (b'{"schema_name": "smallhours.plan/9"}', "is a plan of the schema 'smallhours.plan/9'"),
        (b'{"schema_name": 7}', "it has no schema_name"),
        (b"[" * 100_000, "nested too deep"),
        (b'{"a": 1, "a": 2}', "has 'a' twice"),
        (b'{"solve_s": ' + b"9" * 5000 + b"}", "no plan"),
        (b" " * (LARGEST_BYTES + 1), "a plan has 67 MB at most"),
    ],
)
def test_what_is_no_plan_is_refused(data: bytes, said: str) -> None:
    """Bad input: nothing, noise, other text, other JSON, another schema, far too much."""
    found = refusal(data)
    assert said in found
    assert "\n" not in found


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.999])
def test_a_plan_that_was_cut_off_is_refused(share: float) -> None:
    """Bad input: a download that stopped."""
    text = good().encode()
    assert "it may have been cut off" in refusal(text[: int(len(text) * share)])


def _missing(p: dict[str, Any]) -> None:
    del p["tasks"][0]["window"]


def _unknown(p: dict[str, Any]) -> None:
    p["tasks"][0]["colour"] = "green"


def _a_word_for_a_number(p: dict[str, Any]) -> None:
    p["batches"][0]["mass_g"] = "heavy"


def _a_number_for_an_instant(p: dict[str, Any]) -> None:
    p["orders"][0]["due"] = 1_800_000_000


def _no_offset(p: dict[str, Any]) -> None:
    p["made_at"] = "2026-11-26T12:00:00"


@pytest.mark.parametrize(
    ("spoil", "where"),
    [
        (_missing, "tasks[1].window: field required"),
        (_unknown, "tasks[1].colour: "),
        (_a_word_for_a_number, "batches[1].mass_g: input should be a valid number (found 'heavy')"),
        (_a_number_for_an_instant, "orders[1].due: "),
        (_no_offset, "made_at: input should have timezone info"),
    ],
)
def test_a_fault_says_where_it_is(spoil: Callable[[dict[str, Any]], None], where: str) -> None:
    """Bad input: a field that is missing, unknown or of the wrong kind is named with its place."""
    spoilt = plan()
    spoil(spoilt)
    assert where in refusal(json.dumps(spoilt).encode())


@pytest.mark.parametrize("number", ["NaN", "Infinity", "-Infinity", "1e999"])
def test_numbers_are_finite(number: str) -> None:
    """Bad input: a mass that is no number."""
    spoilt = plan()
    spoilt["batches"][0]["mass_g"] = "@"
    text = json.dumps(spoilt).replace('"@"', number)
    assert f"it holds {number}, and every number in a plan is finite" in refusal(text.encode())


def test_of_many_faults_some_are_told() -> None:
    """Bad input: a plan in which nothing is right is not refused in a thousand lines."""
    spoilt = plan()
    for task in spoilt["tasks"]:
        task["start"] = "soon"
    assert len(refusal(json.dumps(spoilt).encode()).splitlines()) <= 11
