"""The ``liquid`` command: how cold or warm to pour for the wanted dough temperature."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer
from rich.console import Console
from rich.text import Text

from smallhours.cli import replies as r
from smallhours.cli.options import HomeOption, JsonOption, open_home, read_mass_g, read_temp_c
from smallhours.cli.say import Ending, console, end, give_json, table

if TYPE_CHECKING:
    from smallhours.bakery.process.liquid import LiquidAnswer

_RESTS_ON = (
    "a heat balance over everything in the bowl; the range is a judgement (a dough 2 K off) until this mixer's own "
    "figures are known"
)


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("liquid")(liquid)


def liquid(
    formula_id: Annotated[str, typer.Argument(metavar="ID", help="A formula.")],
    home: HomeOption = None,
    as_json: JsonOption = False,
    part: Annotated[str | None, typer.Option("--part", help="Another part than the main one.")] = None,
    mass: Annotated[str, typer.Option("--mass", help="Mass of the batch, like '12 kg'.")] = "10 kg",
    mixer: Annotated[
        str | None, typer.Option("--mixer", help="Which mixer, or by-hand.", show_default="best filled")
    ] = None,
    target: Annotated[str | None, typer.Option("--target", help="Another dough temperature, like '24 °C'.")] = None,
    room: Annotated[str | None, typer.Option("--room", help="The room now.")] = None,
    flour: Annotated[str | None, typer.Option("--flour", help="The flour now.")] = None,
    coldest: Annotated[str | None, typer.Option("--coldest", help="The coldest liquid there is.")] = None,
) -> None:
    """How cold or warm to pour: the trade's sum rule and a heat balance, ice where needed, what to do instead."""
    open_home(home)
    from smallhours.actions.find_liquid import FindLiquid, find_liquid
    from smallhours.bakery.process.bowl import Measured

    measured = Measured(
        room_c=read_temp_c("--room", room),
        flour_c=read_temp_c("--flour", flour),
        coldest_liquid_c=read_temp_c("--coldest", coldest),
        target_c=read_temp_c("--target", target),
    )
    answer = find_liquid(FindLiquid(formula_id, part, read_mass_g("--mass", mass), mixer, measured))
    if as_json:
        give_json(_reply(formula_id, read_mass_g("--mass", mass), answer))
    else:
        _say(console(), answer)
    if answer.refusal is not None:
        end(Ending.NEEDS_ATTENTION)


def _say(out: Console, answer: LiquidAnswer) -> None:
    out.print(Text(answer.sentence, style="bold"))
    if answer.refusal is None:
        out.print(Text(f"From {answer.low_c:.0f} to {answer.high_c:.0f} °C; this rests on {_RESTS_ON}."))
    if answer.rule_remark:
        out.print(Text(answer.rule_remark))
    rows = [
        (c.name, f"{c.mass_g / 1000:.3f} kg", f"{c.temp_c:.1f} °C", f"{c.heat_j / 1000:+.1f} kJ")
        for c in answer.contributions
    ]
    out.print(table("\nHeat to reach the target", ("", "mass", "at", "takes up"), rows, (1, 2, 3)))
    out.print(Text(f"The mixing warms the dough by {answer.heat.rise_k:.1f} K."))


def _reply(formula_id: str, mass_g: float, answer: LiquidAnswer) -> r.LiquidReply:
    return r.LiquidReply(
        formula=formula_id,
        part=answer.part_id,
        mass_g=mass_g,
        liquids=answer.liquids,
        liquid_mass_g=answer.liquid_g,
        target_dough_temp_c=answer.target_c,
        dough_temp_c=answer.dough_temp_c,
        liquid_temp_c=answer.liquid_temp_c,
        balance_temp_c=answer.balance_temp_c,
        low_c=answer.low_c,
        high_c=answer.high_c,
        rule_temp_c=answer.rule_temp_c,
        rule_remark=answer.rule_remark,
        ice_g=answer.ice_g,
        mixing_rise_k=answer.heat.rise_k,
        possible=answer.refusal is None,
        sentence=answer.sentence,
        rests_on=_RESTS_ON,
        contributions=tuple(
            r.HeatReply(
                key=c.key,
                name=c.name,
                mass_g=c.mass_g,
                temp_c=c.temp_c,
                specific_heat_j_per_g_k=c.specific_heat_j_per_g_k,
                heat_j=c.heat_j,
            )
            for c in answer.contributions
        ),
    )
