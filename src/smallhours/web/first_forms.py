"""The short forms of the first steps: which fields, what is in them, reading what was typed."""

from __future__ import annotations

import datetime as dt
import os
import zoneinfo
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from smallhours.actions.tables.headings import loosened
from smallhours.bakery.formula.first import USUAL, FirstFormula, Style
from smallhours.bakery.quantity import parse_duration_s, parse_mass_g, parse_temp_c
from smallhours.sheets.words import Speech
from smallhours.web.typed import Typed

Read = Callable[[Typed, str], Any]


@dataclass(frozen=True)
class Field:
    """A field: the answer it gives, how it is read, the unit beside it and what that is in our own; a list to choose
    from; the subject of its help."""

    name: str
    read: Read
    unit: str = ""
    factor: float = 1.0
    choices: tuple[str, ...] = ()
    help: str = ""


@dataclass
class Entry:
    """A field as the page shows it."""

    field: Field
    value: str
    fault: str = ""


def _text(typed: Typed, name: str) -> str | None:
    return typed.text(name, most=100)


def _whole(low: int, high: int) -> Read:
    return lambda typed, name: typed.whole(name, low, high)


def _number(unit: str, factor: float, low: float, high: float, written: Callable[[str], float] | None = None) -> Read:
    """A number in its unit from ``low`` to ``high``, in that unit."""

    def read(typed: Typed, name: str) -> float | None:
        value = typed.quantity(name, unit, factor, written)
        if value is not None and not low * factor <= value <= high * factor:
            typed.fault(name, "between", low=f"{low:g}", high=f"{high:g}", unit=unit, found=typed.raw(name)[:40])
        return value

    return read


def _zone(typed: Typed, name: str) -> str | None:
    return typed.choice(name, zoneinfo.available_timezones())


def _choice(*among: str) -> Read:
    return lambda typed, name: typed.choice(name, among)


def _temp(name: str, low: float, high: float, help_on: str = "") -> Field:
    return Field(name, _number("°C", 1.0, low, high, parse_temp_c), "°C", help=help_on)


def _minutes(name: str, low: float, high: float) -> Field:
    return Field(name, _number("min", 60.0, low, high, parse_duration_s), "min", 60.0)


def _percent(name: str, low: float, high: float) -> Field:
    return Field(name, _number("%", 1.0, low, high), "%")


def _time(typed: Typed, name: str) -> dt.time | None:
    return typed.time(name)


def _date(typed: Typed, name: str) -> dt.date | None:
    return typed.date(name)


_MIXERS, _OVENS = ("spiral", "planetary", "fork", "hand"), ("deck", "convection")
KITCHEN = (
    Field("name", _text),
    Field("timezone", _zone),
    Field("person", _text),
    Field("start", _time, help="hours"),
    Field("end", _time),
    Field("mixer", _choice(*_MIXERS), choices=_MIXERS),
    Field("mixer_g", _number("kg", 1000.0, 0.5, 500, parse_mass_g), "kg", 1000.0, help="largest"),
    Field("oven", _choice(*_OVENS), choices=_OVENS),
    Field("decks", _whole(1, 20)),
    Field("deck_trays", _whole(1, 200), help="places"),
    Field("trays", _whole(1, 10_000)),
    Field("fridge_places", _whole(0, 2000)),
    _temp("fridge_c", -5, 15),
    _temp("room_c", 5, 45),
    _temp("tap_water_c", 1, 35),
)
FORMULA = (
    Field("name", _text),
    Field("piece_g", _number("g", 1.0, 10, 5000, parse_mass_g), "g"),
    Field("pieces_per_pan", _whole(1, 500)),
    _percent("liquid_percent", 30, 110),
    _percent("salt_percent", 0, 5),
    _percent("yeast_percent", 0.05, 5),
    _minutes("rest_s", 5, 1440),
    _minutes("proof_s", 5, 1440),
    _minutes("bake_s", 2, 180),
    _temp("set_temp_c", 100, 350),
)
ORDER = (
    Field("customer", _text),
    Field("pieces", _whole(1, 100_000)),
    Field("due", _time, help="waves"),
    Field("date", _date),
)


def filled(fields: tuple[Field, ...], usual: object, speech: Speech) -> list[Entry]:
    """A form with what is usual in it."""
    get = usual.get if isinstance(usual, Mapping) else lambda name: getattr(usual, name)
    return [Entry(field, _shown(get(field.name), field, speech)) for field in fields]


def as_typed(fields: tuple[Field, ...], typed: Typed) -> list[Entry]:
    """A form with what was typed, and what is wrong with it."""
    return [Entry(field, typed.raw(field.name), typed.faults.get(field.name, "")) for field in fields]


def read(fields: tuple[Field, ...], typed: Typed) -> dict[str, Any]:
    """The answers; complete if nothing was wrong."""
    return {field.name: field.read(typed, field.name) for field in fields}


def formula_of(style: Style, tray: str | None, answers: Mapping[str, Any]) -> FirstFormula:
    """The answers of the formula's form as one, with an id from its name where that has letters for one."""
    slug = loosened(str(answers["name"])).replace(" ", "-")[:60].strip("-") or USUAL[style].id
    return replace(USUAL[style], id=slug, pan=tray, **answers)


def zone_here() -> str:
    """The time zone of this machine if it says so, else UTC."""
    named = os.environ.get("TZ", "").lstrip(":")
    link = Path("/etc/localtime")
    if not named and link.is_symlink():
        named = link.readlink().as_posix().partition("zoneinfo/")[2]
    return named if named in zoneinfo.available_timezones() else "UTC"


def _shown(value: Any, field: Field, speech: Speech) -> str:
    if isinstance(value, dt.time):
        return f"{value:%H:%M}"
    if isinstance(value, int | float):
        return f"{value / field.factor:g}".replace(".", speech.texts["format.decimal"])
    return "" if value is None else str(value)
