"""Signing in with name and password."""

from __future__ import annotations

import datetime as dt
import statistics
import time
from pathlib import Path

import pytest

from smallhours.actions.people.add_person import AddPerson, add_person
from smallhours.actions.people.change_person import RemovePerson, remove_person
from smallhours.actions.people.set_secret import SetPassword, set_password
from smallhours.actions.people.sign_in import SignIn, sign_in
from smallhours.errors import NotLetIn, TooSoon
from smallhours.records import queries

AT = dt.datetime(2026, 1, 15, 3, 0, tzinfo=dt.UTC)
GOOD = "ana likes warm bread"


@pytest.mark.parametrize("name", ["Ana", "ana", "  ANA ", "Ａna"])
def test_the_right_password_lets_in(staff: Path, name: str) -> None:
    """Behaviour: however the name is capitalised, spaced, or in which width of letters."""
    assert sign_in(SignIn(name, GOOD)).name == "Ana"


@pytest.mark.parametrize(
    ("name", "password"), [("Ana", "wrong"), ("Nobody", GOOD), ("", ""), ("Ana", ""), ("Ana", "x" * 9999)]
)
def test_everything_else_gets_one_sentence(staff: Path, name: str, password: str) -> None:
    """Bad input: a wrong password, a name nobody has, nothing at all: the same words."""
    with pytest.raises(NotLetIn) as refused:
        sign_in(SignIn(name, password))
    assert str(refused.value) == "name and password do not belong together"


def test_who_was_removed_is_like_a_stranger(staff: Path) -> None:
    """Behaviour: the right password of an ended account is as wrong as any."""
    remove_person(RemovePerson("Bo"))
    with pytest.raises(NotLetIn, match="name and password do not belong together"):
        sign_in(SignIn("Bo", "bo likes warm bread"))


def test_a_name_nobody_has_takes_as_long(home: Path) -> None:
    """Behaviour: with the real hash, the median time for a name that is not there is between half and twice that for a
    wrong password; without the extra hash it would be a hundredth."""
    add_person(AddPerson("Ana", "head-baker", GOOD))

    def seconds(name: str, at: dt.datetime) -> float:
        started = time.perf_counter()
        with pytest.raises(NotLetIn):
            sign_in(SignIn(name, "wrong", address=f"{name}{at}"), clock=lambda: at)
        return time.perf_counter() - started

    days = [AT + dt.timedelta(days=2 * n) for n in range(3)]
    there = statistics.median(seconds("Ana", at) for at in days)
    not_there = statistics.median(seconds("Nobody", at) for at in days)
    assert 0.5 < not_there / there < 2


def test_guessing_has_to_wait_and_the_log_says_so_once(staff: Path) -> None:
    """Behaviour: after five wrong passwords even the right one waits; a new password ends the waiting; the log has one
    line with the address and no password. A name nobody has waits alike and is not in the log."""
    for name in ("Ana", "Zoe"):
        for _ in range(5):
            with pytest.raises(NotLetIn):
                sign_in(SignIn(name, "wrong guess", address="192.168.1.9"), clock=lambda: AT)
        with pytest.raises(TooSoon):
            sign_in(SignIn(name, GOOD, address="192.168.1.9"), clock=lambda: AT)
    (line,) = [line for line in queries.log_lines() if line.verb == "keep out"]
    assert (line.author, line.slug, line.details) == ("nobody", "Ana", {"address": "192.168.1.9", "failed": 5})
    set_password(SetPassword("Ana", "another fine sentence"))
    assert sign_in(SignIn("Ana", "another fine sentence", address="192.168.1.9"), clock=lambda: AT).name == "Ana"


def test_many_names_from_one_address_have_to_wait(staff: Path) -> None:
    """Behaviour: the twenty-first name tried from one address within a moment waits; another address does not."""
    for number in range(20):
        with pytest.raises(NotLetIn):
            sign_in(SignIn(f"name {number}", "wrong", address="192.168.1.9"), clock=lambda: AT)
    with pytest.raises(TooSoon):
        sign_in(SignIn("Ana", GOOD, address="192.168.1.9"), clock=lambda: AT)
    assert sign_in(SignIn("Ana", GOOD, address="192.168.1.10"), clock=lambda: AT).name == "Ana"


def test_secrets_are_not_shown(home: Path) -> None:
    """Behaviour: what a command shows of itself (in an error, a log, a debugger) has no secret."""
    from smallhours.actions.people.set_secret import SetPin
    from smallhours.actions.people.tablets import PairTablet
    from smallhours.records.people import KeptTablet

    tablet = KeptTablet(1, "T", "Ana", None, None, None, None)
    from smallhours.actions.people.tap_in import TapIn

    shown = [
        SignIn("Ana", "s3cr3t"), AddPerson("Ana", "baker", "s3cr3t"), SetPassword("Ana", "s3cr3t", "s3cr3t"),
        SetPin("Ana", "s3cr3t", "s3cr3t"), PairTablet("s3cr3t"), TapIn(1, tablet, "s3cr3t"),
    ]  # fmt: skip
    assert "s3cr3t" not in repr(shown)
