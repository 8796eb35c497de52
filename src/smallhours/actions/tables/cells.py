"""One cell to one value: numbers with either decimal mark, dates, times, weekdays, masses.

Each function raises ValueError with what was found and what would be right.
"""

from __future__ import annotations

import datetime as dt
import math
import re
from collections.abc import Iterable
from decimal import Decimal
from typing import Literal

from smallhours.actions.tables.grid import Cell
from smallhours.actions.tables.headings import loosened
from smallhours.bakery.kitchen.document import DAYS, Day
from smallhours.bakery.quantity import MASS_UNITS

Mark = Literal[",", "."]

_DAY_NAMES: dict[str, Day] = {}
for _day, _names in {
    "mon": "mon monday lun lunes l",
    "tue": "tue tues tuesday mar martes",
    "wed": "wed wednesday mie miercoles x",
    "thu": "thu thur thurs thursday jue jueves j",
    "fri": "fri friday vie viernes v",
    "sat": "sat saturday sab sabado s",
    "sun": "sun sunday dom domingo d",
}.items():
    for _name in _names.split():
        _DAY_NAMES[_name] = _day  # type: ignore[assignment]
_EVERY_DAY = {"daily", "every day", "all", "all days", "diario", "todos", "todos los dias", "cada dia"}
_THOUSANDS = {",": re.compile(r"[+-]?\d{1,3}(,\d{3})+(\.\d+)?"), ".": re.compile(r"[+-]?\d{1,3}(\.\d{3})+(,\d+)?")}


def decimal_mark(cells: Iterable[Cell]) -> Mark | None:
    """The decimal mark a table uses, where its numbers prove it: ``12,5`` or ``1.234,50`` prove the comma."""
    proofs: set[Mark] = set()
    for cell in cells:
        if not isinstance(cell, str):
            continue
        for text in re.findall(r"\d[\d.,]*\d", cell):
            marks = re.findall(r"[.,]", text)
            if len(set(marks)) == 2 or (len(marks) == 1 and not re.fullmatch(r"\d{1,3}[.,]\d{3}", text)):
                proofs.add(marks[-1])
            elif len(marks) > 1 and len(set(marks)) == 1:
                proofs.add("." if marks[0] == "," else ",")
    return proofs.pop() if len(proofs) == 1 else None


def number(cell: Cell, mark: Mark | None) -> float:
    """A number in a cell; ``mark`` is the table's decimal mark, None if nothing proves it."""
    return float(exact(cell, mark))


def exact(cell: Cell, mark: Mark | None) -> Decimal:
    """A number in a cell, as written."""
    if isinstance(cell, int | float):
        if not math.isfinite(cell):
            raise ValueError(f"{cell} is not a number")
        return Decimal(repr(cell))
    if not isinstance(cell, str):
        raise ValueError(f"{cell} is not a number")
    text = cell.replace(" ", "")
    if re.fullmatch(r"[+-]?\d+", text):
        return Decimal(text)
    if not re.fullmatch(r"[+-]?[\d.,]*\d", text):
        raise ValueError(f"{cell!r} is not a number")
    if mark is None:
        if re.fullmatch(r"[+-]?[1-9]\d{0,2}[.,]\d{3}", text):  # no thousands begin with 0
            raise ValueError(f"{cell!r} can be read two ways; write it without a thousands mark")
        mark = "," if text.rfind(",") > text.rfind(".") else "."
    other = "." if mark == "," else ","
    if other in text:
        if not _THOUSANDS[other].fullmatch(text):
            raise ValueError(f"{cell!r} is not a number ({mark!r} is the decimal mark of this table)")
        text = text.replace(other, "")
    if text.count(mark or ".") > 1:
        raise ValueError(f"{cell!r} is not a number ({mark!r} is the decimal mark of this table)")
    return Decimal(text.replace(",", "."))


def whole(cell: Cell, mark: Mark | None) -> int:
    """A whole number of pieces. ``1,250`` and ``1.250`` are 1250: nobody orders part of a piece."""
    if isinstance(cell, str) and re.fullmatch(r"\d{1,3}([.,]\d{3})+", cell.strip()):
        return int(re.sub(r"[.,]", "", cell))
    value = number(cell, mark)
    if value != int(value):
        raise ValueError(f"{cell} is not a whole number of pieces")
    return int(value)


def date(cell: Cell) -> dt.date:
    """A date: a spreadsheet's own, ``2026-11-25``, or day/month/year."""
    if isinstance(cell, dt.datetime):
        return cell.date()
    if isinstance(cell, dt.date):
        return cell
    text = str(cell).strip()
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        pass
    found = re.fullmatch(r"(\d{1,2})[/.-](\d{1,2})[/.-](\d{4}|\d{2})", text)
    if found:
        day, month, year = (int(part) for part in found.groups())
        try:
            return dt.date(year + 2000 if year < 100 else year, month, day)
        except ValueError:
            pass
    raise ValueError(f"{text!r} is not a date; write it like 2026-11-25, or day/month/year like 25/11/2026")


def time(cell: Cell) -> dt.time:
    """A time of day: a spreadsheet's own, ``06:30``, ``6.30``, ``6 h 30`` or ``6:30 am``."""
    if isinstance(cell, dt.datetime):
        return cell.time()
    if isinstance(cell, dt.time):
        return cell
    if isinstance(cell, float) and 0 <= cell < 1:  # a spreadsheet's share of a day
        minutes = round(cell * 1440)
        return dt.time(minutes // 60 % 24, minutes % 60)
    text = str(cell).strip().lower()
    found = re.fullmatch(r"(\d{1,2})\s*(?:[:.h]\s*(\d{2})?)?(?::(\d{2}))?\s*([ap])?\.?(?:m\.?)?\s*h?", text)
    if found and (":" in text or "." in text or "h" in text or found.group(4)):
        hour, minute = int(found.group(1)), int(found.group(2) or 0)
        if found.group(4) and 1 <= hour <= 12:
            hour = hour % 12 + (12 if found.group(4) == "p" else 0)
        if hour < 24 and minute < 60:
            return dt.time(hour, minute)
    raise ValueError(f"{text!r} is not a time of day; write it like 06:30")


def days(cell: Cell) -> tuple[Day, ...]:
    """Weekdays: ``mon, wed``, ``mon-fri``, ``L-V``, ``lunes a viernes``, ``daily``."""
    text = loosened(str(cell).replace("-", " to ").replace("–", " to "))
    if text in _EVERY_DAY:
        return DAYS
    chosen: set[Day] = set()
    words = [word for word in text.split() if word not in ("and", "y", "e")]
    index = 0
    while index < len(words):
        first = _day_named(words[index], cell)
        if index + 2 < len(words) and words[index + 1] in ("to", "a", "hasta", "al"):
            last = _day_named(words[index + 2], cell)
            span = (DAYS.index(last) - DAYS.index(first)) % 7
            chosen.update(DAYS[(DAYS.index(first) + step) % 7] for step in range(span + 1))
            index += 3
        else:
            chosen.add(first)
            index += 1
    if not chosen:
        raise ValueError(f"{cell!r} names no weekday; write days like 'mon, wed' or 'mon-fri'")
    return tuple(day for day in DAYS if day in chosen)


def _day_named(word: str, cell: Cell) -> Day:
    if word not in _DAY_NAMES:
        raise ValueError(f"{word!r} in {cell!r} is not a weekday; write days like 'mon, wed' or 'mon-fri'")
    return _DAY_NAMES[word]


def slugs(cell: Cell) -> tuple[str, ...]:
    """Words such as allergens, parted by commas or the like; none for an empty cell.

    >>> slugs("Nuts; sesame / Brazil nut"), slugs(None)
    (('nuts', 'sesame', 'brazil-nut'), ())
    """
    parts = (loosened(part) for part in re.split(r"[,;/+]", "" if cell is None else str(cell)))
    return tuple(part.replace(" ", "-") for part in parts if part)


def mass_g(cell: Cell, mark: Mark | None) -> float:
    """A written mass: ``25 kg``, ``12,5kg``, ``500 g``, ``50 lb``."""
    found = re.fullmatch(r"\s*([\d.,\s]*\d)\s*([a-zA-Z]+)\.?\s*", str(cell))
    unit = found.group(2).lower().removesuffix("s") if found else ""
    unit = {"gr": "g", "kilo": "kg", "gramo": "g", "pound": "lb", "ounce": "oz", "libra": "lb"}.get(unit, unit)
    if found is None or unit not in MASS_UNITS:
        raise ValueError(f"{cell!r} is not a mass; write it with its unit, like '25 kg'")
    return number(found.group(1), mark) * MASS_UNITS[unit]
