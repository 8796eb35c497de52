"""Passwords, PINs, codes and tokens: which are good enough, and what of them is kept (never themselves)."""

from __future__ import annotations

import hashlib
import secrets
from itertools import pairwise

import smallhours.records.configured  # noqa: F401  (before anything of Django that reads its settings)
from smallhours.errors import NotGoodEnough

SHORTEST_PIN, LONGEST_PIN = 4, 6
LONGEST_PASSWORD = 200
CODE_LENGTH = 8
CODE_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"
"""32 letters and digits; those that are taken for one another (I and 1, O and 0) are not among them."""


def password_hash(password: str, name: str) -> str:
    """What is kept of a password. Raises NotGoodEnough with everything that is wrong with it."""
    from django.contrib.auth.hashers import make_password
    from django.contrib.auth.password_validation import validate_password
    from django.core.exceptions import ValidationError

    from smallhours.records.models import Person

    if len(password) > LONGEST_PASSWORD:
        sentence = f"the password must have at most {LONGEST_PASSWORD} characters (found {len(password)})"
        raise NotGoodEnough(["password_too_long"], sentence)
    try:
        validate_password(password, Person(name=name))
    except ValidationError as error:
        rules = [str(one.code) for one in error.error_list]
        raise NotGoodEnough(rules, " ".join(error.messages)) from None
    return str(make_password(password))


def pin_hash(pin: str, person_id: int) -> str:
    """What is kept of a PIN. Raises NotGoodEnough if it is none, or one of the first that anybody tries."""
    from django.contrib.auth.hashers import make_password

    if not (pin.isascii() and pin.isdigit() and SHORTEST_PIN <= len(pin) <= LONGEST_PIN):
        raise NotGoodEnough(["pin_digits"], f"the PIN must be {SHORTEST_PIN} to {LONGEST_PIN} digits")
    steps = {(int(b) - int(a)) % 10 for a, b in pairwise(pin)}
    if steps <= {0} or steps <= {1} or steps <= {9}:
        raise NotGoodEnough(["pin_easy"], "the PIN must not be one digit again and again, nor digits in a row")
    return str(make_password(_peppered(pin, person_id)))


def matches_password(password: str, kept: str | None) -> bool:
    """Whether a password is the one whose hash is kept; takes as long if there is none (None)."""
    from django.contrib.auth.hashers import check_password, make_password

    if kept is None or len(password) > LONGEST_PASSWORD:
        make_password(password[:LONGEST_PASSWORD])
        return False
    return bool(check_password(password, kept))


def matches_pin(pin: str, person_id: int, kept: str) -> bool:
    """Whether a PIN is the one whose hash is kept; takes as long if there is none."""
    return matches_password(_peppered(pin[:LONGEST_PASSWORD], person_id), kept or None)


def keyed(purpose: str, text: str) -> str:
    """A hash that only this store's key can make (64 hexadecimal digits)."""
    from django.utils.crypto import salted_hmac

    return str(salted_hmac(f"smallhours.{purpose}", text, algorithm="sha256").hexdigest())


def new_code() -> str:
    """A code for pairing a tablet: 40 random bits in eight letters and digits."""
    return "".join(secrets.choice(CODE_LETTERS) for _ in range(CODE_LENGTH))


def code_hash(code: str) -> str:
    """What is kept of a code, however it was typed (small letters, spaces, hyphens)."""
    return keyed("code", "".join(one for one in code.upper() if one in CODE_LETTERS)[: 2 * CODE_LENGTH])


def new_token() -> str:
    """The key of a tablet: 256 random bits."""
    return secrets.token_urlsafe(32)


def token_hash(token: str) -> str:
    """What is kept of a token; so long a random text needs no salt."""
    return hashlib.sha256(token.encode()).hexdigest()


def _peppered(pin: str, person_id: int) -> str:
    """A PIN mixed with the store's key: from the database alone, ten thousand PINs are quickly tried."""
    return keyed("pin", f"{person_id}:{pin}")
