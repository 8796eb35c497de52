"""Kinds of fields: how what is typed becomes a value of a document, and back. What is wrong is said by a word's key."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from smallhours.bakery import quantity
from smallhours.sheets.words import Speech

Texts = Mapping[str, str]
LONGEST_TEXT = 500
_NUMBER = re.compile(r"[+-]?(\d{1,12}([.,]\d{1,12})?|[.,]\d{1,12})", re.ASCII)
# they turn or hide the direction of what follows them, so that a name looks like another
_TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


class Wrong(Exception):
    """What was typed is not of this kind. ``key``: the sentence; ``more``: what fills its holes."""

    def __init__(self, key: str, **more: object) -> None:
        super().__init__(key)
        self.key, self.more = key, more


@dataclass(frozen=True)
class Kind:
    """How to ``read`` a text that is not empty (raises Wrong) and to ``write`` a value."""

    read: Callable[[str], Any]
    write: Callable[[Any], str]


def read_number(text: str) -> float:
    """A number with a decimal point or comma; a percent sign after it and spaces inside it are ignored."""
    bare = re.sub(r"[\s\u00a0\u2009\u202f]", "", text).removesuffix("%").replace("\u2212", "-")
    if not _NUMBER.fullmatch(bare):
        raise Wrong("form.number")
    return float(bare.replace(",", "."))


def between(low: float, high: float, whole: bool = False) -> Callable[[str], Any]:
    """Reads a number from ``low`` to ``high``."""

    def read(text: str) -> Any:
        value = read_number(text)
        if whole and value != int(value):
            raise Wrong("form.whole")
        if not low <= value <= high:
            raise Wrong("form.between", low=f"{low:g}", high=f"{high:g}")
        return int(value) if whole else value

    return read


def _quantity(parse: Callable[[str], float], key: str, most: float, unit: str = "") -> Callable[[str], float]:
    """``unit``: what a bare number means; without one it is refused."""

    def read(text: str) -> float:
        told = " ".join(text.split())
        if unit and _NUMBER.fullmatch(told):
            told = f"{told} {unit}"
        try:
            value = parse(told)
        except ValueError:
            raise Wrong(key) from None
        if not value <= most:
            raise Wrong("form.too-much")
        return value

    return read


def read_words(text: str) -> str:
    """Words on one line."""
    return _clean(" ".join(text.split()))


def read_text(text: str) -> str:
    """Words on several lines."""
    return _clean(text.replace("\r\n", "\n").strip())


def _clean(text: str) -> str:
    if len(text) > LONGEST_TEXT:
        raise Wrong("form.long", most=LONGEST_TEXT, count=len(text))
    if any(one in _TURNING or (unicodedata.category(one) in ("Cc", "Cs") and one != "\n") for one in text):
        raise Wrong("form.unseen")
    return text


def plain(value: float) -> str:
    """A number as it could be typed, exactly."""
    text = repr(float(value))
    return text.removesuffix(".0") if "e" not in text else f"{value:.12f}".rstrip("0").rstrip(".")


def _mass(mass_g: float) -> str:
    return f"{plain(round(mass_g, 3))} g"


PERCENT = Kind(between(0, 1000), plain)
LOSS = Kind(between(0, 59.9), plain)
COUNT = Kind(between(1, 1000, whole=True), str)
RISE = Kind(between(1, 10), plain)
GIVE = Kind(between(0, 30), plain)
DURATION = Kind(_quantity(quantity.parse_duration_s, "form.duration", 90 * 86400.0), quantity.write_duration)
TEMP = Kind(_quantity(quantity.parse_temp_c, "form.temp", 400.0, "°C"), quantity.write_temp)
MASS = Kind(_quantity(quantity.parse_mass_g, "form.mass", 1e6, "g"), _mass)
BULK = Kind(_quantity(quantity.parse_mass_g, "form.bulk", 1e9), _mass)
LENGTH = Kind(_quantity(quantity.parse_length_mm, "form.length", 5000.0), quantity.write_length)
WORDS = Kind(read_words, str)
TEXT = Kind(read_text, str)
CHECK = Kind(lambda text: True, lambda value: "on")


def choice(*keys: str) -> Kind:
    """One of some words."""

    def read(text: str) -> str:
        if text not in keys:
            raise Wrong("form.choice")
        return text

    return Kind(read, str)


def written(kind: Kind, value: Any, speech: Speech) -> str:
    """A value as it could be typed in a language."""
    if value is None:
        return ""
    text = kind.write(value)
    if kind in (WORDS, TEXT):
        return text
    return re.sub(r"(\d)\.(\d)", rf"\1{speech.texts['format.decimal']}\2", text)
