"""``ask`` about what stands around the dough: butter, milk and eggs, the air, and what keeps."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

import typer

from smallhours.bakery.quantity import DURATION_UNITS, LENGTH_UNITS, parse_duration_s, parse_length_mm
from smallhours.cli import dough_options as o
from smallhours.cli.answers import give_answer
from smallhours.cli.options import HomeOption, JsonOption, open_home, read_mass_g, read_percent, read_temp_c
from smallhours.errors import BadInput

if TYPE_CHECKING:
    from smallhours.forecast.questions import Here

MaybeFormula = Annotated[str, typer.Argument(metavar="[ID]", help="A formula.")]
WhatArgument = Annotated[Literal["milk", "eggs"], typer.Argument(metavar="WHAT", help="milk or eggs.")]
BlockOption = Annotated[str, typer.Option("--block", help="The mass of the block, like '1 kg'.")]
ThicknessOption = Annotated[
    str | None, typer.Option("--thickness", help="How thick a flat block is, like '15 mm'; without it: as a pack.")
]
RackOption = Annotated[bool, typer.Option("--rack", help="It lies on a rack, air under it.")]
ButterOption = Annotated[
    str | None, typer.Option("--butter", help="The butter that goes into the dough, like '8 °C'; else the formula's.")
]
WantedOption = Annotated[str, typer.Option("--to", help="How warm it is wanted, like '20 °C'.")]
MassOption = Annotated[str | None, typer.Option("--mass", help="Of the milk, or of one egg (2 kg, 60 g).")]
HumidityOption = Annotated[str | None, typer.Option("--humidity", help="How damp the room is, like '45 %'.")]
ProoferOption = Annotated[str | None, typer.Option("--proofer-humidity", help="How damp the proofer is, like '80 %'.")]
TrayOption = Annotated[
    str | None, typer.Option("--tray", help="The tray that goes into the proofer, like '8 °C'; else as the fridge.")
]
PartOption = Annotated[str | None, typer.Option("--part", help="Only this part of the formula, like 'filling'.")]
ProbeOption = Annotated[
    list[str] | None,
    typer.Option("--probe", help="What a probe said of it, like '2 h = 18 °C'; repeat it, every two hours or oftener."),
]


def add_to(asking: typer.Typer) -> None:
    """Add these questions."""
    asking.command("butter", help="How long from the fridge until butter bends; do layers break, fillings spread?")(
        butter
    )
    asking.command("temper", help="How long must milk or eggs stand in the room?")(temper)
    asking.command("air", help="Does a cold tray sweat, does the dough skin over, how hot can a core get?")(air)
    asking.command("keep", help="How far may harmful bacteria grow? A caution, never a clearance.")(keep)


def butter(
    formula_id: MaybeFormula = "",
    home: HomeOption = None,
    as_json: JsonOption = False,
    room: o.RoomOption = None,
    fridge: o.FridgeOption = None,
    start: o.StartOption = None,
    dough_temp: o.DoughTempOption = None,
    dough: o.DoughOption = "10 kg",
    block: BlockOption = "250 g",
    thickness: ThicknessOption = None,
    rack: RackOption = False,
    butter_temp: ButterOption = None,
    members: o.MembersOption = 500,
    seed: o.SeedOption = 1,
) -> None:
    """How long from the fridge until butter bends, and in a formula: do layers break, fillings spread, doughs lump?"""
    open_home(home)
    from smallhours.forecast.questions import how_soft_is_butter

    here = _here(formula_id, (start, room, fridge), (dough, dough_temp), (members, seed))
    thickness_mm = None if thickness is None else _length_mm("--thickness", thickness)
    butter_c = read_temp_c("--butter", butter_temp)
    give_answer(how_soft_is_butter(here, read_mass_g("--block", block), thickness_mm, rack, butter_c), as_json)


def temper(
    what: WhatArgument,
    home: HomeOption = None,
    as_json: JsonOption = False,
    room: o.RoomOption = None,
    fridge: o.FridgeOption = None,
    start: o.StartOption = None,
    to: WantedOption = "18 °C",
    mass: MassOption = None,
    members: o.MembersOption = 500,
    seed: o.SeedOption = 1,
) -> None:
    """How long must a jug of milk, or eggs on a tray, stand in the room until they are as warm as wanted?"""
    open_home(home)
    from smallhours.forecast.questions import how_long_to_temper

    here = _here("", (start, room, fridge), ("10 kg", None), (members, seed))
    mass_g = None if mass is None else read_mass_g("--mass", mass)
    give_answer(how_long_to_temper(here, what, read_temp_c("--to", to) or 0.0, mass_g), as_json)


def air(
    formula_id: o.FormulaArgument,
    home: HomeOption = None,
    as_json: JsonOption = False,
    room: o.RoomOption = None,
    fridge: o.FridgeOption = None,
    start: o.StartOption = None,
    dough_temp: o.DoughTempOption = None,
    dough: o.DoughOption = "10 kg",
    humidity: HumidityOption = None,
    proofer_humidity: ProoferOption = None,
    tray: TrayOption = None,
    members: o.MembersOption = 500,
    seed: o.SeedOption = 1,
) -> None:
    """Does a cold tray sweat in the proofer, does the dough skin over, how hot can a core get at this height?"""
    open_home(home)
    from smallhours.forecast.questions import what_does_the_air_do

    here = _here(formula_id, (start, room, fridge), (dough, dough_temp), (members, seed))
    damp = read_percent("--humidity", humidity), read_percent("--proofer-humidity", proofer_humidity)
    give_answer(what_does_the_air_do(here.asked(), *damp, read_temp_c("--tray", tray)), as_json)


def keep(
    formula_id: o.FormulaArgument,
    home: HomeOption = None,
    as_json: JsonOption = False,
    room: o.RoomOption = None,
    fridge: o.FridgeOption = None,
    start: o.StartOption = None,
    dough_temp: o.DoughTempOption = None,
    dough: o.DoughOption = "10 kg",
    part: PartOption = None,
    probe: ProbeOption = None,
    members: o.MembersOption = 500,
    seed: o.SeedOption = 1,
) -> None:
    """How far may harmful bacteria grow in what holds egg or dairy? A caution, never a clearance."""
    open_home(home)
    from smallhours.forecast.questions import may_it_be_kept

    here = _here(formula_id, (start, room, fridge), (dough, dough_temp), (members, seed))
    give_answer(may_it_be_kept(here.asked(), part, [_reading(text) for text in probe or ()]), as_json)


def _reading(text: str) -> tuple[float, float]:
    """Seconds and °C in what a probe said."""
    when, equals, temp = text.partition("=")
    if not equals:
        raise BadInput(f"--probe {text!r}: write it like '2 h = 18 °C'")
    try:
        at_s = parse_duration_s(when.strip())
    except ValueError as error:
        raise BadInput(f"--probe {text!r}: {error} ({', '.join(DURATION_UNITS)})") from None
    return at_s, read_temp_c(f"--probe {text!r}", temp.strip()) or 0.0


def _here(
    formula_id: str,
    today: tuple[str | None, str | None, str | None],
    dough: tuple[str, str | None],
    draws: tuple[int, int],
) -> Here:
    from smallhours.actions.forecast_formula import here_of

    return here_of(o.command_of(formula_id, today, (*dough, None, None), 0, draws))


def _length_mm(option: str, text: str) -> float:
    try:
        return parse_length_mm(text)
    except ValueError as error:
        raise BadInput(f"{option}: {error} ({', '.join(LENGTH_UNITS)})") from None
