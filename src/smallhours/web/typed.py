"""What people type into a form, field by field: a value, or one sentence in the page's language and the text kept."""

from __future__ import annotations

import datetime as dt
import re
import unicodedata
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from typing import TypeVar

from smallhours.actions.tables import cells
from smallhours.bakery.orders.document import MOST_PIECES
from smallhours.sheets.words import Speech

T = TypeVar("T")
MOST_LETTERS = 500
_FIRST, _LAST = dt.date(2000, 1, 1), dt.date(2199, 12, 31)  # a week more or less is still a date
_TURNS_TEXT = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
"""Characters that change the direction of what follows: a name with one could make a line say something else."""


@dataclass
class Typed:
    """The fields of one form. Each reader gives None for an empty or unusable field; ``faults`` has the sentences."""

    posted: Mapping[str, str]
    speech: Speech
    faults: dict[str, str] = field(default_factory=dict)

    def raw(self, name: str) -> str:
        """The text of a field as it was typed."""
        return self.posted.get(name, "")

    def fault(self, name: str, key: str, **values: object) -> None:
        """Note what is wrong with a field; the first sentence stays."""
        self.faults.setdefault(name, self.speech.say(f"typed.{key}", **values))

    def text(self, name: str, needed: bool = True, most: int = MOST_LETTERS) -> str | None:
        """A name or remark on one line: spaces put together, nothing in it that cannot be seen."""
        text = " ".join(unicodedata.normalize("NFC", self.raw(name)).split())
        hidden = next((c for c in text if unicodedata.category(c) in ("Cc", "Cs") or c in _TURNS_TEXT), None)
        if hidden is not None:
            self.fault(name, "hidden", code=f"U+{ord(hidden):04X}")
        elif len(text) > most:
            self.fault(name, "long", most=most, count=len(text))
        elif not text and needed:
            self.fault(name, "empty")
        else:
            return text or None
        return None

    def pieces(self, name: str) -> int | None:
        """A whole number of pieces, 0 and up."""
        return self._read(name, _pieces, "pieces", most=MOST_PIECES - 1)

    def whole(self, name: str, low: int, high: int, needed: bool = True) -> int | None:
        """A whole number from ``low`` to ``high``."""

        def read(text: str) -> int:
            value = cells.number(text, None)
            if not low <= value <= high or value != int(value):
                raise ValueError
            return int(value)

        return self._read(name, read, "whole", needed, low=low, high=high)

    def quantity(
        self, name: str, unit: str, factor: float, written: Callable[[str], float] | None, needed: bool = True
    ) -> float | None:
        """A number in ``unit``, which stands beside the field (times ``factor`` is our own unit); or, where ``written``
        reads it, any other unit that is written with it."""

        def read(text: str) -> float:
            if re.search(r"[^\W\d_]|°", text) and written is not None:
                return written(text)
            value = round(self._number(text) * factor, 9)
            if abs(value) > 1e12:
                raise ValueError
            return value

        return self._read(name, read, "quantity", needed, unit=unit)

    def numbers(self, name: str, unit: str, commas: bool = False) -> list[float] | None:
        """Numbers above 0 parted by semicolons or spaces. ``commas``: also by commas without a space behind them, which
        are decimal marks otherwise."""

        def read(text: str) -> list[float]:
            parts = re.split(r"[;,\s]+" if commas else r"[;\s]+|,\s+", text)
            found = [self._number(part.strip()) for part in parts if part.strip()]
            if not found or min(found) <= 0 or max(found) > 1e6:
                raise ValueError
            return found

        return self._read(name, read, "numbers", True, unit=unit)

    def time(self, name: str, needed: bool = True) -> dt.time | None:
        """A time of day."""
        return self._read(name, cells.time, "time", needed)

    def date(self, name: str, needed: bool = True) -> dt.date | None:
        """A date, also as day/month/year."""

        def read(text: str) -> dt.date:
            value = cells.date(text)
            if not _FIRST <= value <= _LAST:
                raise ValueError
            return value

        return self._read(name, read, "date", needed)

    def choice(self, name: str, among: Collection[str], needed: bool = True) -> str | None:
        """One of the values a list offers."""
        text = self.raw(name).strip()
        if text in among:
            return text
        if text:
            self.fault(name, "choice", found=text[:40])
        elif needed:
            self.fault(name, "choose")
        return None

    def _number(self, text: str) -> float:
        """A number with either decimal mark; ``1.250``, which can be read two ways, goes by the page's language."""
        mark = self.speech.texts["format.decimal"]
        own = re.fullmatch(rf"[+-]?\d{{1,3}}{re.escape(mark)}\d{{3}}", text)
        return cells.number(text, mark if own else None)

    def _read(self, name: str, read: Callable[[str], T], key: str, needed: bool = False, **values: object) -> T | None:
        text = self.raw(name).strip()
        if not text:
            if needed:
                self.fault(name, "empty")
            return None
        try:
            if len(text) > 60:
                raise ValueError
            return read(text)
        except (ValueError, ArithmeticError):
            self.fault(name, key, found=text[:40], **values)
            return None


def _pieces(text: str) -> int:
    value = cells.whole(text, None)
    if not 0 <= value < MOST_PIECES:
        raise ValueError
    return value
