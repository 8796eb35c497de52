"""Options that every command takes."""

from __future__ import annotations

import datetime as dt
from pathlib import Path
from typing import Annotated

import typer

from smallhours.bakery.quantity import parse_duration_s, parse_mass_g, parse_temp_c
from smallhours.errors import BadInput

HomeOption = Annotated[
    Path | None,
    typer.Option("--home", metavar="DIR", help="The folder that is the store.", show_default="this user's data folder"),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Answer as JSON (its schema: the command schema).")]
NightOption = Annotated[
    str | None,
    typer.Option(
        "--night",
        metavar="DATE",
        help="The day the bake is sold, like 2026-03-14.",
        show_default="tomorrow; with --again the newest plan",
    ),
]
PlannedNightOption = Annotated[
    str | None,
    typer.Option(
        "--night",
        metavar="DATE",
        help="The night whose plan it is, by the day the bake is sold, like 2026-03-14.",
        show_default="the newest plan",
    ),
]


def open_home(home: Path | None) -> Path:
    """Open the store; returns its folder. Raises BadInput."""
    from smallhours.records.setup import open_store  # the database layer takes a moment to load

    return open_store(home)


def read_date(text: str | None) -> dt.date | None:
    """A date written as year-month-day. Raises BadInput."""
    if text is None:
        return None
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise BadInput(f"--night {text!r}: is not a date: write it like 2026-03-14") from None


def read_mass_g(option: str, text: str) -> float:
    """A mass as people write it, in g. Raises BadInput."""
    return _read(option, text, parse_mass_g)


def read_duration_s(option: str, text: str) -> float:
    """A duration as people write it, in s. Raises BadInput."""
    return _read(option, text, parse_duration_s)


def read_temp_c(option: str, text: str | None) -> float | None:
    """A temperature as people write it, in °C. Raises BadInput."""
    return None if text is None else _read(option, text, parse_temp_c)


def read_percent(option: str, text: str | None) -> float | None:
    """A percentage as people write it (``0.8``, ``0.8 %``). Raises BadInput."""
    if text is None:
        return None
    try:
        return float(text.replace("%", "").replace(",", ".").strip())
    except ValueError:
        raise BadInput(f"{option} {text!r}: is not a percentage: write it like '0.8 %'") from None


def read_clock(option: str, text: str) -> dt.time:
    """A time of day on the kitchen's clock. Raises BadInput."""
    try:
        return dt.datetime.strptime(text.strip(), "%H:%M").time()
    except ValueError:
        raise BadInput(f"{option} {text!r}: is not a time of day: write it like 18:30") from None


def read_when(option: str, text: str | None) -> dt.time | dt.datetime | None:
    """A time of day, or a date and time, on the kitchen's clock. Raises BadInput."""
    if text is None:
        return None
    try:
        return dt.datetime.strptime(" ".join(text.replace("T", " ").split()), "%Y-%m-%d %H:%M")
    except ValueError:
        pass
    try:
        return read_clock(option, text)
    except BadInput:
        raise BadInput(f"{option} {text!r}: is not a time: write it like 18:30 or '2026-03-14 18:30'") from None


def _read(option: str, text: str, parse: object) -> float:
    assert callable(parse)
    try:
        return float(parse(text))
    except ValueError as error:
        raise BadInput(f"{option}: {error}") from None
