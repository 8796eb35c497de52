"""``ask`` about the oven and the rack: how long does it bake, when is it cool enough."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Literal

import typer

from smallhours.cli import dough_options as o
from smallhours.cli.answers import give_answer
from smallhours.cli.options import HomeOption, JsonOption, open_home, read_mass_g, read_temp_c
from smallhours.errors import BadInput

if TYPE_CHECKING:
    from smallhours.forecast.questions import Asked, Load

OvenOption = Annotated[str | None, typer.Option("--oven", help="Another set temperature, like '210 °C'.")]
KindOption = Annotated[
    Literal["deck", "convection"] | None, typer.Option("--oven-kind", help="Another kind of oven: deck or convection.")
]
AltitudeOption = Annotated[
    float | None, typer.Option("--altitude", help="Another height above the sea than the kitchen's, in metres.")
]
GoesInOption = Annotated[str | None, typer.Option("--goes-in", help="How warm the pieces go in, like '5 °C'.")]
BakedOption = Annotated[str | None, typer.Option("--core", help="Another core at the end of the bake.")]
LoadOption = Annotated[str | None, typer.Option("--load", help="Dough in a full oven, like '20 kg'; with --heating.")]
HeatingOption = Annotated[float | None, typer.Option("--heating", help="The oven's heating in kilowatts; with --load.")]
CutOption = Annotated[str | None, typer.Option("--core", help="Another core to be cut at than 35 °C.")]
BagOption = Annotated[
    str | None, typer.Option("--bag", help="The coldest place a closed bag will lie in, like '4 °C'; else the room.")
]
ToppingOption = Annotated[
    str | None, typer.Option("--topping", help="What goes on it: fondant, butter-icing, chocolate ...; else its own.")
]


def add_to(asking: typer.Typer) -> None:
    """Add these questions."""
    asking.command("bake", help="How long does it bake, and what changes that?")(bake)
    asking.command("cool", help="When out of the oven can it be cut, glazed and packed?")(cool)


def bake(
    formula_id: o.FormulaArgument,
    home: HomeOption = None,
    as_json: JsonOption = False,
    room: o.RoomOption = None,
    fridge: o.FridgeOption = None,
    start: o.StartOption = None,
    dough: o.DoughOption = "10 kg",
    piece_mass: o.PieceOption = None,
    oven: OvenOption = None,
    oven_kind: KindOption = None,
    altitude: AltitudeOption = None,
    goes_in: GoesInOption = None,
    core: BakedOption = None,
    load: LoadOption = None,
    heating: HeatingOption = None,
    members: o.MembersOption = 500,
    seed: o.SeedOption = 1,
) -> None:
    """How long does it bake here; twice as heavy, straight from the fridge, hotter, cooler, high up?"""
    open_home(home)
    from smallhours.forecast.questions import how_long_to_bake

    asked = _asked(formula_id, (start, room, fridge), (dough, piece_mass), (members, seed))
    oven_c, goes_in_c = read_temp_c("--oven", oven), read_temp_c("--goes-in", goes_in)
    core_c, full = read_temp_c("--core", core), _load(load, heating)
    give_answer(how_long_to_bake(asked, oven_c, oven_kind, altitude, goes_in_c, core_c, full), as_json)


def cool(
    formula_id: o.FormulaArgument,
    home: HomeOption = None,
    as_json: JsonOption = False,
    room: o.RoomOption = None,
    start: o.StartOption = None,
    dough: o.DoughOption = "10 kg",
    piece_mass: o.PieceOption = None,
    core: CutOption = None,
    bag: BagOption = None,
    topping: ToppingOption = None,
    members: o.MembersOption = 500,
    seed: o.SeedOption = 1,
) -> None:
    """When out of the oven can it be cut, glazed and put into a closed bag, in this room?"""
    open_home(home)
    from smallhours.forecast.questions import when_is_it_cool

    asked = _asked(formula_id, (start, room, None), (dough, piece_mass), (members, seed))
    answer = when_is_it_cool(asked, read_temp_c("--core", core), read_temp_c("--bag", bag), topping)
    give_answer(answer, as_json)


def _asked(
    formula_id: str,
    today: tuple[str | None, str | None, str | None],
    sizes: tuple[str, str | None],
    draws: tuple[int, int],
) -> Asked:
    from smallhours.actions.forecast_formula import asked_of

    dough, piece_mass = sizes
    return asked_of(o.command_of(formula_id, today, (dough, None, piece_mass, None), 0, draws))


def _load(load: str | None, heating: float | None) -> Load | None:
    from smallhours.forecast.questions import Load

    if (load is None) != (heating is None):
        raise BadInput("a full oven needs both --load and --heating, like --load '20 kg' --heating 12")
    if load is None or heating is None:
        return None
    return Load(read_mass_g("--load", load), heating * 1000.0)
