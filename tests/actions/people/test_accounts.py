"""Accounts: added, changed, removed, with their lines in the log."""

from __future__ import annotations

from pathlib import Path

import pytest

from smallhours.actions.people.add_person import AddPerson, add_person
from smallhours.actions.people.change_person import ChangeRole, RemovePerson, change_role, remove_person
from smallhours.actions.people.find_person import find_person, list_people
from smallhours.actions.people.names import persons_name
from smallhours.actions.people.set_secret import SetPassword, SetPin, set_password, set_pin
from smallhours.actions.people.sign_in import SignIn, sign_in
from smallhours.actions.permissions import Actor
from smallhours.errors import BadInput, NotAllowed, NotFound, NotLetIn
from smallhours.records import people, queries

ANA, BO = Actor("Ana", "head-baker"), Actor("Bo", "baker")


def test_the_first_account_is_a_head_bakers(home: Path, quick_hashes: None) -> None:
    """Bad input: anybody else first would lock everybody out; nothing is written."""
    with pytest.raises(BadInput, match="the first account has to be a head baker's"):
        add_person(AddPerson("Bo", "baker", "bo likes warm bread"))
    assert not people.any_person()
    add_person(AddPerson("Ana", "head-baker", "ana likes warm bread"))
    assert people.any_person()


def test_names_are_one_persons(staff: Path) -> None:
    """Bad input: a name that is taken, also in capitals; the name of the terminal; names that cannot be read."""
    for name, sentence in (
        ("ANA", "already is a person named 'Ana'"),
        ("Baker", "what the log calls whoever sits at the terminal"),
        ("", "must not be empty"),
        ("x" * 61, "at most 60"),
        ("An\u200ba", "can be seen"),
        ("\u202eanA", "can be seen"),
        ("A\x00b", "can be seen"),
    ):
        with pytest.raises(BadInput, match=sentence):
            add_person(AddPerson(name, "baker", "a fine long sentence"))
    assert [person.name for person in list_people()] == ["Ana", "Bo", "Cleo", "Rita"]


@pytest.mark.parametrize("name", ["مريم", "Łucja 🥐", "O'Neill-Vörös", "<b>Bo</b>", "李娜"])
def test_names_of_all_scripts_are_names(staff: Path, name: str) -> None:
    """Round trip: right-to-left, emoji, marks and signs come back as they were and let in."""
    add_person(AddPerson(name, "reader", "a fine long sentence"))
    assert sign_in(SignIn(name, "a fine long sentence")).name == persons_name(name) == name


def test_the_last_head_baker_stays_one(staff: Path) -> None:
    """Bad input: neither removed nor made something else, until there is another."""
    for attempt in (
        lambda: remove_person(RemovePerson("Ana")),
        lambda: change_role(ChangeRole("Ana", "reader")),
    ):
        with pytest.raises(BadInput, match="Ana is the last head baker"):
            attempt()
    change_role(ChangeRole("Bo", "head-baker"))
    remove_person(RemovePerson("Ana"))
    assert [person.name for person in list_people()] == ["Bo", "Cleo", "Rita"]


def test_a_removed_person_comes_back_without_the_former_secrets(staff: Path) -> None:
    """Behaviour: same row, new password, no PIN; accounts stay counted as existing."""
    set_pin(SetPin("Bo", "4711"))
    former = find_person("Bo")
    remove_person(RemovePerson("Bo"))
    with pytest.raises(NotFound, match="there is no person named 'Bo'"):
        find_person("Bo")
    back = add_person(AddPerson("BO", "office", "another fine sentence"))
    assert (back.id, back.name, back.role, back.has_pin) == (former.id, "BO", "office", False)
    with pytest.raises(NotLetIn):
        sign_in(SignIn("bo", "bo likes warm bread"))


def test_an_unknown_name_gets_near_spellings(staff: Path) -> None:
    """Bad input: the sentence names who was probably meant."""
    with pytest.raises(NotFound, match="did you mean 'Cleo'"):
        set_password(SetPassword("Cloe", "a fine long sentence"))


def test_ones_own_secret_is_changed_with_the_former_one(staff: Path) -> None:
    """Behaviour: at a page everybody changes their own, proven by the password that counts; a head baker anybody's."""
    with pytest.raises(NotLetIn, match="not the password that counts"):
        set_password(SetPassword("Bo", "another fine sentence", former="wrong"), BO)
    with pytest.raises(NotLetIn):
        set_pin(SetPin("Ana", "4711"), ANA)
    set_password(SetPassword("Bo", "another fine sentence", former="bo likes warm bread"), BO)
    set_pin(SetPin("Bo", "4711", password="another fine sentence"), BO)
    with pytest.raises(NotAllowed, match=r"Bo \(baker\) may not manage people"):
        set_password(SetPassword("Ana", "another fine sentence"), BO)
    set_password(SetPassword("Bo", "a third fine sentence"), ANA)
    assert sign_in(SignIn("Bo", "a third fine sentence")).has_pin


@pytest.mark.parametrize("role", ["baker", "office", "reader"])
def test_only_head_bakers_manage_people(staff: Path, role: str) -> None:
    """Bad input: add, change, remove and list are refused to every other role."""
    actor = Actor("Somebody", role)  # type: ignore[arg-type]
    for attempt in (
        lambda: add_person(AddPerson("New", "head-baker", "a fine long sentence"), actor),
        lambda: change_role(ChangeRole("Rita", "head-baker"), actor),
        lambda: remove_person(RemovePerson("Rita"), actor),
        lambda: list_people(actor),
    ):
        with pytest.raises(NotAllowed, match="may not manage people; ask the head-baker"):
            attempt()


def test_every_change_is_in_the_log_without_secrets(staff: Path) -> None:
    """Behaviour: who did what to whom and why; no password, PIN or hash of one."""
    change_role(ChangeRole("Rita", "baker", "she bakes now"), ANA)
    set_pin(SetPin("Rita", "4711"), ANA)
    remove_person(RemovePerson("Rita", "moved away"), ANA)
    lines = queries.log_lines()
    assert [(line.author, line.verb, line.slug, line.reason) for line in lines[:3]] == [
        ("Ana", "remove", "Rita", "moved away"),
        ("Ana", "set PIN", "Rita", ""),
        ("Ana", "change role", "Rita", "she bakes now"),
    ]
    assert [line.verb for line in lines[3:]] == ["add"] * 4
    said = repr(lines)
    assert "warm bread" not in said
    assert "4711" not in said
    assert not [True for person in people.people() for kept in people.secrets_of(person.id) if kept and kept in said]
