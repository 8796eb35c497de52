"""Options about a dough that ``forecast`` and ``ask`` share, and what they mean together."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, get_args

import typer

from smallhours.bakery.formula.document import Place
from smallhours.cli.options import read_mass_g, read_percent, read_temp_c, read_when
from smallhours.errors import BadInput

if TYPE_CHECKING:
    from smallhours.actions.forecast_formula import ForecastFormula

FormulaArgument = Annotated[str, typer.Argument(metavar="ID", help="A formula.")]
RoomOption = Annotated[str | None, typer.Option("--room", help="The room, like '17 °C'.")]
FridgeOption = Annotated[str | None, typer.Option("--fridge", help="The fridge, like '5 °C'.")]
DoughTempOption = Annotated[str | None, typer.Option("--dough-temp", help="The dough off the mixer, like '24 °C'.")]
StartOption = Annotated[
    str | None, typer.Option("--start", help="When the mixing begins, like 18:30 or '2026-03-14 18:30'.")
]
DoughOption = Annotated[str, typer.Option("--dough", help="How much dough is mixed, like '12 kg'.")]
PieceOption = Annotated[str | None, typer.Option("--piece-mass", help="Another mass of a piece, like '500 g'.")]
YeastOption = Annotated[
    str | None, typer.Option("--yeast", help="Another dose, in percent of all flour, in the formula's form of yeast.")
]
DoorOption = Annotated[int, typer.Option("--door", help="How often the fridge is opened in a stage.")]
MembersOption = Annotated[int, typer.Option("--members", help="How many draws of what is not known.")]
SeedOption = Annotated[int, typer.Option("--seed", help="Which draws: the same number gives the same.")]
WayOption = Annotated[
    list[str] | None, typer.Option("--way", help="Another way through a stage, like proof=fridge; repeat it.")
]
AsWrittenOption = Annotated[bool, typer.Option("--as-written", help="As the formula means it, not as it is here.")]
PictureOption = Annotated[
    Path | None,
    typer.Option("--picture", metavar="FILE", help="Draw it, in a file like loaf.svg or loaf.png."),
]
StageOption = Annotated[str | None, typer.Option("--stage", help="night, chill, fridge-failed: which stage.")]
InOption = Annotated[str | None, typer.Option("--in", help="night, fridge-failed: into the fridge, like 19:00.")]
OutOption = Annotated[str | None, typer.Option("--out", help="night: out of the fridge, like 06:00.")]
FailedOption = Annotated[str | None, typer.Option("--failed", help="fridge-failed: when it failed, like 02:00.")]
SeenOption = Annotated[str | None, typer.Option("--seen", help="fridge-failed: when that was seen, like 05:30.")]
StandsOption = Annotated[str | None, typer.Option("--stands", help="fridge-failed: its air then, like '11 °C'.")]
CoreOption = Annotated[str | None, typer.Option("--core", help="chill: another core than the formula's own.")]
LaterOption = Annotated[str | None, typer.Option("--later", help="yeast: ready so much later, like '2 h'.")]
SoonerOption = Annotated[str | None, typer.Option("--sooner", help="yeast: ready so much sooner, like '30 min'.")]
DueOption = Annotated[str | None, typer.Option("--due", help="retard-or-bake: when it is due, like 06:00.")]
TimesOption = Annotated[float, typer.Option("--times", help="bigger: so many times the mass of a piece.")]
WholeGrainOption = Annotated[
    float | None, typer.Option("--whole-grain", help="flour: so many times its whole-grain flour (0.5: half).")
]
AbsorbsOption = Annotated[
    float | None, typer.Option("--absorbs", help="flour: points of water that new flour takes more, like 3.")
]


def command_of(
    formula_id: str,
    today: tuple[str | None, str | None, str | None],
    sizes: tuple[str, str | None, str | None, str | None],
    door: int,
    draws: tuple[int, int],
    ways: Sequence[str] = (),
    as_written: bool = False,
) -> ForecastFormula:
    """What is asked for, read from options.

    ``today``: start, room, fridge; ``sizes``: dough, its temperature, piece mass, yeast; ``draws``: members, seed.
    Raises: BadInput for what cannot be read.
    """
    from smallhours.actions.forecast_formula import ForecastFormula

    (start, room, fridge), (dough, dough_temp, piece_mass, yeast), (members, seed) = today, sizes, draws
    return ForecastFormula(
        formula_id,
        start=read_when("--start", start),
        room_c=read_temp_c("--room", room),
        fridge_c=read_temp_c("--fridge", fridge),
        dough_temp_c=read_temp_c("--dough-temp", dough_temp),
        dough_mass_g=read_mass_g("--dough", dough),
        piece_mass_g=None if piece_mass is None else read_mass_g("--piece-mass", piece_mass),
        yeast_percent=read_percent("--yeast", yeast),
        ways=dict(_way(text) for text in ways),
        door_openings=door,
        as_written=as_written,
        members=members,
        seed=seed,
    )


def _way(text: str) -> tuple[str, Place]:
    stage, equals, place = (part.strip() for part in text.partition("="))
    places: tuple[Place, ...] = get_args(Place)
    for known in places:
        if equals and stage and known == place:
            return stage, known
    raise BadInput(f"--way {text!r}: write it like proof=fridge (places: {', '.join(places)})")
