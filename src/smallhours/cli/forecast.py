"""The ``forecast`` command: every stage of a formula in this kitchen, with intervals."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import typer
from rich.console import Console
from rich.text import Text

from smallhours.cli import dough_options as o
from smallhours.cli import forecast_replies as r
from smallhours.cli.options import HomeOption, JsonOption, open_home
from smallhours.cli.say import Ending, console, end, give_json, table
from smallhours.errors import BadInput

if TYPE_CHECKING:
    from smallhours.actions.forecast_formula import Forecast
    from smallhours.forecast.estimate import Estimate
    from smallhours.forecast.stage_forecast import StageForecast, Warmth

_LIKELY = 0.5
_MOMENTS = {
    "cut": "to be cut,",
    "pack": "to be packed in a closed bag that lies in the room,",
    "glaze from": "a glaze holds",
    "glaze until": "a glaze gets stiff",
}
_PICTURES = (".svg", ".png")


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("forecast")(forecast)


def forecast(
    formula_id: o.FormulaArgument,
    home: HomeOption = None,
    as_json: JsonOption = False,
    room: o.RoomOption = None,
    fridge: o.FridgeOption = None,
    start: o.StartOption = None,
    dough_temp: o.DoughTempOption = None,
    dough: o.DoughOption = "10 kg",
    piece_mass: o.PieceOption = None,
    yeast: o.YeastOption = None,
    door: o.DoorOption = 0,
    way: o.WayOption = None,
    as_written: o.AsWrittenOption = False,
    members: o.MembersOption = 500,
    seed: o.SeedOption = 1,
    picture: o.PictureOption = None,
) -> None:
    """What each stage will take here, how warm and risen the dough will be, each with its interval."""
    _check_picture(picture)
    open_home(home)
    from smallhours.actions.forecast_formula import forecast_of

    sizes = (dough, dough_temp, piece_mass, yeast)
    command = o.command_of(formula_id, (start, room, fridge), sizes, door, (members, seed), way or (), as_written)
    found = forecast_of(command)
    if picture is not None:
        _draw(picture, found)
    if as_json:
        give_json(_reply(found, picture))
    else:
        _say(console(), found, picture)
    if any(stage.reached < _LIKELY for stage in found.made.stages):
        end(Ending.NEEDS_ATTENTION)


def _check_picture(path: Path | None) -> None:
    """Before anything is reckoned: whether the name of the file says which kind of picture."""
    if path is not None and path.suffix.lower() not in _PICTURES:
        raise BadInput(f"--picture {path}: the name must end with .svg (lines) or .png (dots)")


def _draw(path: Path, found: Forecast) -> None:
    from smallhours.sheets.ribbons import forecast_svg
    from smallhours.sheets.typesetting import set_png

    svg = forecast_svg(found.made, zone=found.kitchen.zone())
    try:
        path.write_bytes(set_png(svg) if path.suffix.lower() == ".png" else svg.encode())
    except OSError as error:
        raise BadInput(f"--picture {path}: cannot be written ({error.strerror})") from None


def _say(out: Console, found: Forecast, picture: Path | None) -> None:
    made = found.made
    out.print(Text(f"{made.formula.name} ({made.formula.id})", style="bold"))
    headings = (
        "stage",
        "begins",
        "takes",
        "four times in five",
        "formula",
        "dough at its end",
        "rise",
        "most moved by",
    )
    out.print(table("", headings, _rows(found), (1, 2, 3, 4, 5, 6)))
    for name, value in (("ready for the oven", made.to_oven), ("done", made.ready)):
        if value is not None:
            out.print(Text(f"{name}: {_span(value)} after the mixing begins{_clock(found, value.median, ' (', ')')}"))
    if made.least_known:
        out.print(Text(f"least known is {made.least_known}; no bake of this formula is logged yet"))
    for stage in made.stages:
        for moment in stage.moments:
            if moment.reached >= _LIKELY:
                at = f"{_MOMENTS[moment.name]} at {moment.temp.median:.0f} °C: {_span(moment.after)}"
                out.print(Text(f"{at} after it began to cool"))
        if stage.reached < _LIKELY:
            out.print(Text(f"look at: {stage.name}: {stage.air_c:.0f} °C is too cold or too warm for it to get there"))
    for caution in _cautions(found):
        out.print(Text(f"mind: {caution}"))
    if picture is not None:
        out.print(Text(f"drawn: {picture}"))


def _cautions(found: Forecast) -> list[str]:
    """What stands out of the cold so long that it must be told."""
    if not found.kept:
        return []
    from smallhours.sheets.cautions import microbes
    from smallhours.sheets.words import speech

    return [microbes(kept, speech("en")) for kept in found.kept]


def _rows(found: Forecast) -> Iterator[tuple[str, ...]]:
    for stage in found.made.stages:
        name = stage.name if stage.part == found.made.formula.main else f"{stage.name} ({stage.part})"
        begins = _clock(found, stage.start_s, "", "") or _short(stage.start_s)
        loss = "" if stage.loss_percent is None else f", loses {stage.loss_percent.median:.0f} %"
        yield (
            f"{name}, {stage.place}" + (f" {stage.air_c:.0f} °C" if stage.air_c is not None else ""),
            begins,
            _short(stage.length.median),
            f"{_short(stage.length.low)} to {_short(stage.length.high)}",
            _short(stage.reference_s),
            f"{stage.at_end.mean.median:.0f} °C" + loss,
            f"{stage.rise.median:.1f}",
            stage.moved_by.sentence if stage.moved_by else "",
        )


def _clock(found: Forecast, after_s: float, before: str, after: str) -> str:
    at = found.made.at(after_s)
    return "" if at is None else f"{before}{at.astimezone(found.kitchen.zone()):%H:%M}{after}"


def _short(length_s: float) -> str:
    minutes = round(abs(length_s) / 60)
    return ("-" if length_s < -30 else "") + f"{minutes // 60}:{minutes % 60:02}"


def _span(value: Estimate) -> str:
    return f"{_short(value.median)} ({_short(value.low)} to {_short(value.high)})"


def _reply(found: Forecast, picture: Path | None) -> r.ForecastReply:
    made = found.made
    start: dt.datetime | None = made.start
    of = r.EstimateReply.of
    return r.ForecastReply(
        formula=made.formula.id,
        start=start,
        members=made.members,
        seed=made.seed,
        to_oven_s=None if made.to_oven is None else of(made.to_oven),
        ready_s=of(made.ready),
        moved_by=made.moved_by.sentence if made.moved_by else None,
        least_known=made.least_known,
        stages=tuple(_stage(stage) for stage in made.stages),
        curve=tuple(r.CurvePointReply(t_s=p.t_s, temp_c=of(p.temp_c), rise=of(p.rise)) for p in made.curve),
        cautions=tuple(_cautions(found)),
        picture=None if picture is None else str(picture),
    )


def _stage(stage: StageForecast) -> r.StageReply:
    of = r.EstimateReply.of
    return r.StageReply(
        part=stage.part,
        stage=stage.key,
        name=stage.name,
        place=stage.place,
        air_c=stage.air_c,
        start_s=stage.start_s,
        end_s=stage.end_s,
        reference_s=stage.reference_s,
        length_s=of(stage.length),
        earliest_s=of(stage.earliest),
        latest_s=of(stage.latest),
        at_start=_warmth(stage.at_start),
        at_end=_warmth(stage.at_end),
        rise=of(stage.rise),
        ripeness=None if stage.ripeness is None else of(stage.ripeness),
        over_share=stage.over_share,
        loss_percent=None if stage.loss_percent is None else of(stage.loss_percent),
        crust=None if stage.crust is None else of(stage.crust),
        moments=tuple(
            r.MomentReply(name=m.name, after_s=of(m.after), temp_c=of(m.temp), reached=m.reached) for m in stage.moments
        ),
        reached=stage.reached,
        basis=stage.basis,
        rests_on=stage.rests_on,
        logged_bakes=stage.logged_bakes,
        moved_by=stage.moved_by.sentence if stage.moved_by else None,
        least_known=stage.least_known,
    )


def _warmth(warmth: Warmth) -> r.WarmthReply:
    of = r.EstimateReply.of
    return r.WarmthReply(core_c=of(warmth.core), mean_c=of(warmth.mean), skin_c=of(warmth.skin))
