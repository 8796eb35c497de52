"""The commands about people, tablets and backups."""

from __future__ import annotations

import io
import logging
import re
import sys
from pathlib import Path

import pytest

from cli_run import Answer, Run


@pytest.fixture
def typing(run: Run, monkeypatch: pytest.MonkeyPatch, quick_hashes: None):  # type: ignore[no-untyped-def]
    """Run a command line with something on standard input."""

    def call(text: str, *words: str) -> Answer:
        monkeypatch.setattr(sys, "stdin", io.StringIO(text))
        return run(*words)

    return call


def test_people_from_the_terminal(typing, tmp_path: Path) -> None:  # type: ignore[no-untyped-def]
    """Behaviour: add, PIN, role, password, remove; every answer is the list as it is afterwards, without any secret."""
    home = ("--home", str(tmp_path / "store"))
    assert "everybody at this machine may do everything" in typing("", "person", "list", *home).out
    added = typing("warm bread at four\n", "person", "add", "Ana Ruiz", "--role", "head-baker", "--from-stdin", *home)
    assert (added.code, "Ana Ruiz" in added.out) == (0, True)
    typing("more warm bread\n", "person", "add", "Bo", "--role", "baker", "--from-stdin", *home)
    typing("4711\n", "person", "pin", "bo", "--from-stdin", *home)
    typing("", "person", "role", "Bo", "--role", "office", *home)
    listed = typing("", "person", "list", "--json", *home)
    assert listed.json["schema_name"] == "smallhours.people/1"
    found = [(p["name"], p["role"], p["has_pin"]) for p in listed.json["people"]]
    assert found == [("Ana Ruiz", "head-baker", False), ("Bo", "office", True)]
    assert not [True for person in listed.json["people"] if {"password", "pin"} & set(person)]
    typing("", "person", "pin", "Bo", "--none", *home)
    typing("a new fine sentence\n", "person", "password", "Bo", "--from-stdin", "--reason", "forgotten", *home)
    assert typing("", "person", "remove", "Bo", *home).out.count("Bo") == 0
    from smallhours.records import queries

    verbs = [(line.author, line.verb, line.reason) for line in queries.log_lines(3)]
    assert verbs == [("baker", "remove", ""), ("baker", "set password", "forgotten"), ("baker", "withdraw PIN", "")]


@pytest.mark.parametrize(
    ("typed", "words", "sentence"),
    [
        ("2short\n", ("person", "add", "Bo", "--role", "baker", "--from-stdin"), "at least 10"),
        ("a fine sentence\n", ("person", "add", "Bo", "--role", "king", "--from-stdin"), "head-baker, baker, office"),
        ("a fine sentence\n", ("person", "add", "ana", "--role", "baker", "--from-stdin"), "already is a person"),
        ("a fine sentence\n", ("person", "add", " ", "--role", "baker", "--from-stdin"), "must not be empty"),
        ("a fine sentence\n", ("person", "password", "Anna", "--from-stdin"), "did you mean 'Ana'"),
        ("a fine sentence\n", ("person", "password", "Ana"), "say --from-stdin"),
        ("1234\n", ("person", "pin", "Ana", "--from-stdin"), "digits in a row"),
        ("\n", ("person", "pin", "Ana", "--from-stdin"), "--none takes it away"),
        ("", ("person", "remove", "Ana"), "the last head baker"),
        ("", ("person", "role", "Ana", "--role", "baker"), "the last head baker"),
        ("", ("tablet", "remove", "9"), "there is no tablet 9"),
        ("", ("tablet", "add", ""), "must not be empty"),
        ("", ("open", "--certificate", "c.pem"), "say --lan too"),
        ("", ("open", "--lan", "--name", "bakery.example"), "is no local name"),
        ("", ("open", "--lan", "--certificate", "none.pem", "--key", "none.pem"), "there is no such file"),
        ("", ("restore", "none.zip", "--replace"), "cannot be read"),
        ("", ("backup", "no such folder/b.zip"), "cannot be written"),
    ],
)
def test_one_clear_sentence(typing, staff: Path, typed: str, words: tuple[str, ...], sentence: str) -> None:  # type: ignore[no-untyped-def]
    """Bad input: exit code 2, one sentence with what would be right, and never what was typed in secret."""
    answer = typing(typed, *words, "--home", str(staff))
    assert answer.code == 2, answer.out
    assert sentence in " ".join(answer.err.split())
    assert "Traceback" not in answer.err
    assert not typed.strip() or typed.strip() not in answer.out + answer.err


def test_a_secret_is_typed_unseen_and_twice(run: Run, staff: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Behaviour: at a terminal it is asked for, hidden and once more; nothing of it comes out."""
    from smallhours.cli import people

    asked: list[dict[str, object]] = []

    def prompt(what: str, **options: object) -> str:
        asked.append({"what": what, **options})
        return "bo bakes at night"

    monkeypatch.setattr(people.typer, "prompt", prompt)
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True, raising=False)
    answer = run("person", "password", "bo", "--home", str(staff))
    assert answer.code == 0, answer.err
    assert asked == [{"what": "New password of Bo", "hide_input": True, "confirmation_prompt": True, "err": True}]
    assert "at night" not in answer.out + answer.err


def test_tablets_from_the_terminal(run: Run, staff: Path) -> None:
    """Behaviour: the code is shown once; the list has the tablet, then not."""
    home = ("--home", str(staff))
    shown = run("tablet", "add", "By the oven", *home)
    (code,) = re.findall(r"[A-Z2-9]{4}-[A-Z2-9]{4}", shown.out)
    listed = run("tablet", "list", "--json", *home)
    assert code not in listed.out
    (tablet,) = listed.json["tablets"]
    assert (tablet["name"], tablet["paired_at"], listed.json["code"]) == ("By the oven", None, None)
    assert run("tablet", "add", "Mixer", "--json", *home).json["code"].count("-") == 1
    assert run("tablet", "remove", str(tablet["number"]), *home).out.count("By the oven") == 0


def test_backup_and_restore_from_the_terminal(run: Run, staff: Path, tmp_path: Path) -> None:
    """Round trip: into an empty folder, then back over the first one, with the former one kept."""
    file, elsewhere = tmp_path / "b.zip", tmp_path / "elsewhere"
    made = run("backup", str(file), "--json", "--home", str(staff))
    assert made.json["contents"] == ["store.sqlite3"]
    assert run("backup", str(file), "--home", str(staff)).code == 2
    assert run("backup", str(file), "--overwrite", "--home", str(staff)).code == 0
    back = run("restore", str(file), "--json", "--home", str(elsewhere))
    assert (back.json["home"], back.json["aside"]) == (str(elsewhere), None)
    people = run("person", "list", "--json", "--home", str(elsewhere)).json["people"]
    assert [person["name"] for person in people] == ["Ana", "Bo", "Cleo", "Rita"]
    assert run("restore", str(file), "--home", str(staff)).code == 2
    again = run("restore", str(file), "--replace", "--home", str(staff))
    assert again.code == 0
    assert "before-restore" in again.out


def test_no_secret_reaches_a_log(
    staff: Path, caplog: pytest.LogCaptureFixture, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Behaviour: with every logger at its most talkative, through right and wrong sign-ins, a PIN, a pairing and a
    fault of the program in the middle of a sign-in, no password, PIN, code, token or session key is in any log record,
    on the terminal, or in the store's own log."""
    from smallhours.actions.people.set_secret import SetPin, set_pin
    from smallhours.actions.people.tablets import AddTablet, add_tablet
    from smallhours.records import queries
    from smallhours.web.views import sign_in as view
    from web.doors import PASSWORD, stranger

    caplog.set_level(logging.DEBUG)
    for name in ("django", "django.request", "django.db.backends", "django.security", "django.template"):
        caplog.set_level(logging.DEBUG, logger=name)
    secrets = ["my 0ther s3cret", PASSWORD.format("ana"), "834729"]
    bo = set_pin(SetPin("Bo", "834729"))
    code = add_tablet(AddTablet("By the oven")).code
    browser = stranger()
    browser.post("/sign-in/", {"name": "Ana", "password": secrets[0]})
    browser.post("/sign-in/", {"name": secrets[0], "password": secrets[0]})
    browser.post("/sign-in/", {"name": "Ana", "password": secrets[1]})
    secrets.append(browser.cookies["smallhours-session"].value)
    browser.post("/pair/", {"code": "WRNG-C2DE"})
    browser.get(f"/pair/?code={code}")
    browser.post("/pair/", {"code": code})
    secrets += [code, "WRNG-C2DE", browser.cookies["smallhours-tablet"].value]
    browser.post(f"/tablet/{bo.id}/", {"pin": "999183"})
    browser.post(f"/tablet/{bo.id}/", {"pin": "834729"})
    secrets += ["999183", browser.cookies["smallhours-session"].value]
    monkeypatch.setattr(view, "enter", lambda request, person: 1 / 0)
    assert stranger().post("/sign-in/", {"name": "Ana", "password": secrets[1]}).status_code == 500
    said = capsys.readouterr()
    assert "ZeroDivisionError" in caplog.text
    everything = caplog.text + said.out + said.err + repr(queries.log_lines(1000))
    assert [secret for secret in secrets if secret in everything] == []
