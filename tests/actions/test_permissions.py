"""Who may do what: the table, and that every verb of the code is in it."""

from __future__ import annotations

import ast
from pathlib import Path
from typing import get_args

import pytest

import smallhours.actions
from smallhours.actions.permissions import BAKER, MAY, ON_TABLETS, ROLES, Actor, Verb, may, require
from smallhours.errors import NotAllowed

ACTIONS = Path(smallhours.actions.__file__).parent


def test_every_verb_is_in_the_table() -> None:
    """Behaviour: the table has a line for each verb, and a head baker is in every line."""
    assert set(MAY) == set(get_args(Verb))
    assert all("head-baker" in roles for roles in MAY.values())


def test_every_verb_that_is_asked_for_is_one() -> None:
    """Behaviour: a word given to ``require`` anywhere in the actions is a verb of the table, and most are asked for."""
    asked = {
        call.args[1].value
        for file in ACTIONS.rglob("*.py")
        for call in ast.walk(ast.parse(file.read_text("utf-8")))
        if isinstance(call, ast.Call)
        and getattr(call.func, "id", "") == "require"
        and isinstance(call.args[1], ast.Constant)
    }
    assert asked <= set(MAY)
    assert len(asked) >= 12


@pytest.mark.parametrize(
    ("role", "may_not"),
    [
        ("head-baker", set()),
        ("baker", {"load demo", "save formula", "save kitchen", "save orders", "save ingredients", "import", "publish",
                   "read log", "manage people", "pair tablets", "back up", "restore"}),
        ("office", {"load demo", "save formula", "save kitchen", "plan", "publish", "note shift", "read log",
                    "manage people", "pair tablets", "back up", "restore"}),
        ("reader", set(get_args(Verb)) - {"look", "own account"}),
    ],
)  # fmt: skip
def test_what_each_role_may_not_do(role: str, may_not: set[str]) -> None:
    """Behaviour: the table, read the other way round."""
    actor = Actor("Somebody", role)  # type: ignore[arg-type]
    known = {"load demo", "save formula", "save kitchen", "save orders", "save ingredients", "import", "export",
             "check", "plan", "publish", "note shift", "look", "own account", "read log", "manage people",
             "pair tablets", "back up", "restore"}  # fmt: skip
    assert {verb for verb in MAY if verb in known and not may(actor, verb)} == may_not & known


@pytest.mark.parametrize("role", ROLES)
def test_a_shared_tablet_gives_no_more_than_the_shift(role: str) -> None:
    """Behaviour: tapped in on a tablet even a head baker may only look and note; nobody gets more than at the desk."""
    tablet, desk = Actor("Ana", role, "shift"), Actor("Ana", role)  # type: ignore[arg-type]
    for verb in MAY:
        assert not may(tablet, verb) or (verb in ON_TABLETS and may(desk, verb))
    assert {"save formula", "save orders", "manage people", "back up", "own account", "plan"}.isdisjoint(ON_TABLETS)


def test_a_refusal_says_who_may() -> None:
    """Bad input: the sentence names the roles that may, or the desk."""
    with pytest.raises(NotAllowed, match=r"Rita \(reader\) may not save orders; ask the head-baker or the office"):
        require(Actor("Rita", "reader"), "save orders")
    with pytest.raises(NotAllowed, match="Ana may not back up from a shared tablet; sign in with the password"):
        require(Actor("Ana", "head-baker", "shift"), "back up")
    require(BAKER, "back up")
