"""Fields that hold several short rows: working hours, breaks, the room's course over the day."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from smallhours.bakery.kitchen.document import DAYS
from smallhours.bakery.quantity import parse_duration_s, parse_temp_c
from smallhours.sheets.words import Speech
from smallhours.web.typed import Typed

BLANK = 1
MOST_ROWS = 48


@dataclass
class Cell:
    """One field of a row: which word names it, what is in it; ``days``: it is a row of seven ticks."""

    word: str
    id: str
    value: str = ""
    fault: str = ""
    unit: str = ""
    days: tuple[tuple[str, bool], ...] = ()


ROWS: Mapping[str, tuple[str, ...]] = {
    "hours": ("start", "end", "days"),
    "breaks": ("earliest", "latest", "duration"),
    "course": ("at", "temp"),
}
"""The fields of each kind of row."""
_UNITS = {"duration": "min", "temp": "°C"}


def show_rows(kind: str, name: str, rows: Iterable[Mapping[str, Any]], speech: Speech) -> list[list[Cell]]:
    """Rows as fields, and an empty one to add to them."""
    shown = [_texts(kind, row, speech) for row in rows]
    shown += [{}] * BLANK
    return [_cells(kind, f"{name}-{number}", texts) for number, texts in enumerate(shown)]


def read_rows(kind: str, name: str, typed: Typed) -> tuple[list[list[Cell]], list[dict[str, Any]]]:
    """Rows as they were typed, with an empty one at the end, and as data; rows with no time in them are left out."""
    count = next((n for n in range(MOST_ROWS) if f"{name}-{n}-{ROWS[kind][0]}" not in typed.posted), MOST_ROWS)
    shown, found = [], []
    for number in range(count):
        row = f"{name}-{number}"
        texts = {word: typed.raw(f"{row}-{word}") for word in ROWS[kind] if word != "days"}
        days = {day for day in DAYS if f"{row}-days-{day}" in typed.posted}
        if not any(text.strip() for text in texts.values()):
            continue
        data = _read(kind, row, typed, days)
        cells = _cells(kind, row, {**texts, "days": days})
        for cell in cells:
            cell.fault = typed.faults.get(cell.id, "")
        shown.append(cells)
        found.append(data)
    shown.append(_cells(kind, f"{name}-{count}", {}))
    return shown, found


def _read(kind: str, row: str, typed: Typed, days: set[str]) -> dict[str, Any]:
    def time(word: str) -> str | None:
        value = typed.time(f"{row}-{word}")
        return None if value is None else value.isoformat()

    if kind == "hours":
        if not days:
            typed.fault(f"{row}-days", "days")
        return {"start": time("start"), "end": time("end"), "days": [day for day in DAYS if day in days]}
    if kind == "breaks":
        duration_s = typed.quantity(f"{row}-duration", "min", 60.0, parse_duration_s)
        if duration_s is not None and not 0 < duration_s <= 12 * 3600:
            typed.fault(f"{row}-duration", "quantity", unit="min", found=typed.raw(f"{row}-duration")[:40])
        return {"earliest": time("earliest"), "latest": time("latest"), "duration_s": duration_s}
    temp_c = typed.quantity(f"{row}-temp", "°C", 1.0, parse_temp_c)
    if temp_c is not None and not -60 <= temp_c <= 60:
        typed.fault(f"{row}-temp", "quantity", unit="°C", found=typed.raw(f"{row}-temp")[:40])
    return {"at": time("at"), "temp_c": temp_c}


def _texts(kind: str, row: Mapping[str, Any], speech: Speech) -> dict[str, Any]:
    def clock(word: str) -> str:
        return f"{dt.time.fromisoformat(row[word]):%H:%M}"

    def number(value: float) -> str:
        return f"{value:g}".replace(".", speech.texts["format.decimal"])

    if kind == "hours":
        return {"start": clock("start"), "end": clock("end"), "days": set(row.get("days", DAYS))}
    if kind == "breaks":
        return {"earliest": clock("earliest"), "latest": clock("latest"), "duration": number(row["duration_s"] / 60)}
    return {"at": clock("at"), "temp": number(row["temp_c"])}


def _cells(kind: str, name: str, texts: Mapping[str, Any]) -> list[Cell]:
    cells = []
    for word in ROWS[kind]:
        cell = Cell(word, f"{name}-{word}", unit=_UNITS.get(word, ""))
        if word == "days":
            cell.days = tuple((day, day in texts.get("days", DAYS)) for day in DAYS)
        else:
            cell.value = texts.get(word, "")
        cells.append(cell)
    return cells
