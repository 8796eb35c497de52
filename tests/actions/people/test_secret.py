"""Passwords, PINs, codes and tokens: what is good enough, and what of them is kept."""

from __future__ import annotations

from pathlib import Path

import pytest

from smallhours.actions.people import secret
from smallhours.errors import BadInput


def test_a_password_is_kept_as_scrypt(home: Path) -> None:
    """Published: OWASP Password Storage Cheat Sheet, scrypt: N = 2^14, r = 8, p = 5 is one of its equal settings.

    The hash says its own settings, a salt of its own, and the password comes out right and no other one does."""
    kept = secret.password_hash("the oven is warm", "Ana")
    algorithm, work, _, block, parallel, _ = kept.split("$")
    assert (algorithm, int(work), int(block), int(parallel)) == ("scrypt", 2**14, 8, 5)
    assert "oven" not in kept
    assert secret.matches_password("the oven is warm", kept)
    assert not secret.matches_password("the oven is warn", kept)
    assert kept != secret.password_hash("the oven is warm", "Ana")


@pytest.mark.parametrize(
    ("password", "sentence"),
    [("short", "at least 10"), ("", "at least 10"), ("password123", "too common"), ("Anastasia1x", "too similar"),
     ("x" * 201, "at most 200")],
)  # fmt: skip
def test_a_bad_password_is_refused(home: Path, password: str, sentence: str) -> None:
    """Bad input: too short, too common, too like the name, endless."""
    with pytest.raises(BadInput, match=sentence):
        secret.password_hash(password, "Anastasia")


@pytest.mark.parametrize("pin", ["", "123", "1234567", "12a4", "１２３５", "1111", "1234", "4321", "9012", "-123"])
def test_a_bad_pin_is_refused(home: Path, quick_hashes: None, pin: str) -> None:
    """Bad input: too short, too long, no digits (also the wide ones of other scripts), all alike, in a row."""
    with pytest.raises(BadInput, match="the PIN must"):
        secret.pin_hash(pin, 1)


def test_a_pin_is_of_one_person_in_one_store(home: Path, quick_hashes: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """Behaviour: the hash fits the person and this store's key; with another key, as after a theft of the database
    alone, even the right PIN does not fit."""
    from django.conf import settings

    kept = secret.pin_hash("4711", 7)
    assert secret.matches_pin("4711", 7, kept)
    assert not secret.matches_pin("4711", 8, kept)
    assert not secret.matches_pin("4712", 7, kept)
    assert not secret.matches_pin("", 7, "")
    monkeypatch.setattr(settings, "SECRET_KEY", "another store's key")
    assert not secret.matches_pin("4711", 7, kept)


def test_codes_are_read_as_people_type_them(home: Path) -> None:
    """Round trip: small letters, spaces and hyphens do not matter; another code has another hash.

    Hand: 32 letters, 8 places: 32^8 = 2^40 codes."""
    code = secret.new_code()
    assert len(set(secret.CODE_LETTERS)) ** secret.CODE_LENGTH == len(secret.CODE_LETTERS) ** 8 == 2**40
    assert secret.code_hash(f" {code[:4].lower()}-{code[4:]} ") == secret.code_hash(code)
    assert code not in secret.code_hash(code)
    assert len({secret.new_code() for _ in range(100)}) == 100


def test_tokens_are_long_and_kept_as_hashes(home: Path) -> None:
    """Hand: 32 bytes in base64 without padding are 43 characters; SHA-256 in hexadecimal has 64 digits."""
    token = secret.new_token()
    assert len(token) == 43
    assert len(secret.token_hash(token)) == 64
    assert token not in secret.token_hash(token)
