"""``ask`` about what raises a dough: its starter, and what sugar and salt do to it."""

from __future__ import annotations

from typing import Annotated

import typer

from smallhours.bakery.quantity import DURATION_UNITS, parse_duration_s
from smallhours.cli import dough_options as o
from smallhours.cli.answers import give_answer
from smallhours.cli.options import HomeOption, JsonOption, open_home, read_percent
from smallhours.errors import BadInput

PartOption = Annotated[
    str | None, typer.Option("--part", help="Which preferment, where there are several, like poolish.")
]
ReadyInOption = Annotated[
    str | None, typer.Option("--ready-in", help="To be ready so long after it is fed, like '8 h'.")
]
SugarOption = Annotated[str | None, typer.Option("--sugar", help="So much sugar in all, of the flour, like '18 %'.")]
SaltOption = Annotated[str | None, typer.Option("--salt", help="So much salt in all, of the flour, like '1.8 %'.")]


def add_to(asking: typer.Typer) -> None:
    """Add these questions."""
    asking.command("starter", help="When is the levain or poolish ready, and how much does it take for another time?")(
        starter
    )
    asking.command("sweeter", help="How much longer with other sugar or salt, and how much yeast makes up for it?")(
        sweeter
    )


def starter(
    formula_id: o.FormulaArgument,
    home: HomeOption = None,
    as_json: JsonOption = False,
    room: o.RoomOption = None,
    fridge: o.FridgeOption = None,
    start: o.StartOption = None,
    dough: o.DoughOption = "10 kg",
    part: PartOption = None,
    ready_in: ReadyInOption = None,
    members: o.MembersOption = 500,
    seed: o.SeedOption = 1,
) -> None:
    """When is the levain, poolish or sponge ready here, and how much does it take to be ready at another time?"""
    open_home(home)
    from smallhours.actions.forecast_formula import asked_of
    from smallhours.forecast.questions import when_is_the_starter_ready

    command = o.command_of(formula_id, (start, room, fridge), (dough, None, None, None), 0, (members, seed))
    ready_s = None if ready_in is None else _length_s("--ready-in", ready_in)
    give_answer(when_is_the_starter_ready(asked_of(command), ready_s, part), as_json)


def sweeter(
    formula_id: o.FormulaArgument,
    home: HomeOption = None,
    as_json: JsonOption = False,
    room: o.RoomOption = None,
    fridge: o.FridgeOption = None,
    start: o.StartOption = None,
    dough: o.DoughOption = "10 kg",
    sugar: SugarOption = None,
    salt: SaltOption = None,
    members: o.MembersOption = 500,
    seed: o.SeedOption = 1,
) -> None:
    """How much longer does it take with other sugar or salt, and how much yeast makes up for it?"""
    open_home(home)
    from smallhours.actions.forecast_formula import asked_of
    from smallhours.forecast.questions import what_if_sugar_and_salt_are

    command = o.command_of(formula_id, (start, room, fridge), (dough, None, None, None), 0, (members, seed))
    wanted = read_percent("--sugar", sugar), read_percent("--salt", salt)
    give_answer(what_if_sugar_and_salt_are(asked_of(command), *wanted), as_json)


def _length_s(option: str, text: str) -> float:
    try:
        return parse_duration_s(text)
    except ValueError as error:
        raise BadInput(f"{option}: {error} ({', '.join(DURATION_UNITS)})") from None
