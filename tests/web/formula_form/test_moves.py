"""Rows that come, go and move: nothing that was typed is lost."""

from __future__ import annotations

import pytest

from smallhours.web.formula_form.moves import MOST_ROWS, moved

TEXTS = {
    "main": "dough",
    "p0-id": "dough",
    "p0-l0-what": "flour",
    "p0-l0-amount": "100",
    "p0-l1-what": "water",
    "p0-l1-amount": "not a number",
    "s0-kind": "mix",
    "s10-kind": "bake",
}


def test_a_line_comes_after_the_others() -> None:
    """Behaviour: a new line gets the next number and the cursor; all else stays as typed."""
    done = moved(TEXTS, "add:p0-l")
    assert done.focus == "p0-l2-what"
    assert done.texts["p0-l2-what"] == ""
    assert {name: done.texts[name] for name in TEXTS} == TEXTS


def test_what_is_dropped_goes_alone() -> None:
    """Behaviour: dropping line 1 leaves line 0, and 10 is not 1 with a nought."""
    assert {n for n in TEXTS if n not in moved(TEXTS, "drop:p0-l1").texts} == {"p0-l1-what", "p0-l1-amount"}
    assert {n for n in TEXTS if n not in moved(TEXTS, "drop:s0").texts} == {"s0-kind"}


def test_up_exchanges_with_the_row_before() -> None:
    """Round trip: up once exchanges the two rows, up again puts them back."""
    once = moved(TEXTS, "up:p0-l1")
    assert once.texts["p0-l0-what"] == "water"
    assert once.texts["p0-l0-amount"] == "not a number"
    assert once.focus == "p0-l0-up"
    assert moved(once.texts, "up:p0-l1").texts == TEXTS
    assert moved(TEXTS, "up:s10").texts["s0-kind"] == "bake"


def test_a_new_part_has_an_id_of_its_own() -> None:
    """Behaviour: the first part of an empty form is the dough, others are fillings with ids not used yet."""
    first = moved({"main": "dough"}, "add:p").texts
    assert (first["p0-id"], first["p0-kind"], first["p0-size"]) == ("dough", "dough", "")
    second = moved(TEXTS | {"p1-id": "part-1"}, "add:p").texts
    assert (second["p2-id"], second["p2-kind"], second["p2-size"]) == ("part-2", "filling", "ratio")


@pytest.mark.parametrize(
    "move", ["", "add", "drop:p9", "drop:p0-l99", "up:p0-l0", "add:x", "drop:p0-l", "add:p0-l\n", "up:"]
)
def test_a_move_that_names_nothing_changes_nothing(move: str) -> None:
    """Bad input: buttons that are not there."""
    assert moved(TEXTS, move).texts == TEXTS


def test_there_is_a_most_of_rows() -> None:
    """Limit: no more lines than a part can have."""
    texts = dict(TEXTS)
    for _ in range(MOST_ROWS["l"] + 5):
        texts = moved(texts, "add:p0-l").texts
    assert len({name for name in texts if name.startswith("p0-l") and name.endswith("-what")}) == MOST_ROWS["l"]
