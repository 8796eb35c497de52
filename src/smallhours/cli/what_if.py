"""The commands ``what-if``, ``cure``, ``headroom`` and ``fits``: a night otherwise; none of them writes anything."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from smallhours.cli.options import HomeOption, JsonOption, PlannedNightOption, open_home, read_clock, read_date
from smallhours.cli.progress import trying
from smallhours.cli.say import Ending, console, end, give_json
from smallhours.cli.variations import read_variations
from smallhours.cli.what_if_replies import CureReply, FitsReply, HeadroomReply, WhatIfReply
from smallhours.cli.what_if_said import say_cures, say_fit, say_headroom, say_nights
from smallhours.errors import BadInput

if TYPE_CHECKING:
    import datetime as dt

Words = list[str] | None
AllTriesOption = Annotated[float, typer.Option("--limit", help="Seconds for all tries together, at most.")]
_EXTRA = re.compile(r"(?P<product>[a-z0-9-]+)=(?P<pieces>\d+)@(?P<due>[\d:]+)")


def add_to(app: typer.Typer) -> None:
    """Add the commands."""
    app.command("what-if")(what_if)
    app.command("cure")(cure)
    app.command("headroom")(headroom)
    app.command("fits")(fits)


def what_if(
    home: HomeOption = None,
    as_json: JsonOption = False,
    night: PlannedNightOption = None,
    limit: Annotated[float, typer.Option("--limit", help="Seconds to think for each night at most.")] = 10.0,
    files: Annotated[
        list[Path] | None, typer.Option("--file", metavar="FILE", help="A document of it (schema variation).")
    ] = None,
    each: Annotated[bool, typer.Option("--each", help="Every option is a night of its own, not all together.")] = False,
    more: Annotated[Words, typer.Option("--more", help="More of something, like loaf-tin=4 or deck-oven.top.")] = None,
    fewer: Annotated[Words, typer.Option("--fewer", help="Fewer of something, like still-fridge=3.")] = None,
    without: Annotated[Words, typer.Option("--without", help="Equipment that is not there.")] = None,
    earlier: Annotated[Words, typer.Option("--earlier", help="Somebody begins earlier, like nerea='25 min'.")] = None,
    later: Annotated[Words, typer.Option("--later", help="Somebody begins later, like nerea='25 min'.")] = None,
    stays: Annotated[Words, typer.Option("--stays", help="Somebody stays longer, like nerea='25 min'.")] = None,
    leaves: Annotated[Words, typer.Option("--leaves", help="Somebody leaves earlier, like nerea='25 min'.")] = None,
    ill: Annotated[Words, typer.Option("--ill", help="Somebody who does not come.")] = None,
    helper: Annotated[Words, typer.Option("--helper", help="One more pair of hands, like 02:00-05:00.")] = None,
    room: Annotated[str | None, typer.Option("--room", help="Another room, like '17 °C'.")] = None,
    order: Annotated[
        Words, typer.Option("--order", help="More or fewer pieces, like harbour-bun=+12@07:00 or quay-loaf=-6.")
    ] = None,
    due: Annotated[Words, typer.Option("--due", help="Another due time, like quay-loaf@05:45=06:30.")] = None,
    retard: Annotated[Words, typer.Option("--retard", help="A product whose proof is in the fridge.")] = None,
    way: Annotated[Words, typer.Option("--way", help="A stage in one place only, like braid:proof=fridge.")] = None,
    deck: Annotated[
        Words, typer.Option("--deck", help="A deck at one set temperature, like deck-oven.top='190 °C'.")
    ] = None,
    bake: Annotated[Words, typer.Option("--bake", help="Another bake, like quay-loaf='220 °C, 32 min'.")] = None,
) -> None:
    """The same night otherwise, side by side with the night as it is; writes nothing."""
    given = {
        "--more": more, "--fewer": fewer, "--without": without, "--earlier": earlier, "--later": later,
        "--stays": stays, "--leaves": leaves, "--ill": ill, "--helper": helper, "--order": order, "--due": due,
        "--retard": retard, "--way": way, "--deck": deck, "--bake": bake,
    }  # fmt: skip
    said = [(option, text) for option, texts in given.items() for text in texts or ()]
    _compare(home, as_json, read_date(night), limit, files or [], said, room, each)


def _compare(
    home: Path | None, as_json: bool, night: dt.date | None, limit: float, files: list[Path],
    said: list[tuple[str, str]], room: str | None, each: bool,
) -> None:  # fmt: skip
    from smallhours.actions.what_if import WhatIf, what_if
    from smallhours.planning.engine.progress import Stopper

    variations = read_variations(files, said, room, each)
    open_home(home)
    stop = Stopper()
    with trying(stop) as on_step:
        told = what_if(WhatIf(variations, night, limit), on_step=on_step, stop=stop)
    if as_json:
        give_json(WhatIfReply(night=told.night, timezone=told.timezone, nights=told.nights))
    else:
        say_nights(console(), told)


def cure(
    home: HomeOption = None, as_json: JsonOption = False, night: PlannedNightOption = None, limit: AllTriesOption = 60.0
) -> None:
    """The smallest changes with which what is late would be on time, each planned before it is told; writes nothing."""
    from smallhours.actions.cure_night import OfNight, cure_night
    from smallhours.planning.engine.progress import Stopper

    open_home(home)
    stop = Stopper()
    with trying(stop) as on_step:
        found = cure_night(OfNight(read_date(night), limit), on_step=on_step, stop=stop)
    if as_json:
        give_json(CureReply(cures=found))
    else:
        say_cures(console(), found)
    if found.late:
        end(Ending.NEEDS_ATTENTION)


def headroom(
    home: HomeOption = None, as_json: JsonOption = False, night: PlannedNightOption = None, limit: AllTriesOption = 90.0
) -> None:
    """What a night that is on time has left, and what one thing more would bring; writes nothing."""
    from smallhours.actions.cure_night import OfNight, headroom_of_night
    from smallhours.planning.engine.progress import Stopper

    open_home(home)
    stop = Stopper()
    with trying(stop) as on_step:
        found = headroom_of_night(OfNight(read_date(night), limit), on_step=on_step, stop=stop)
    if as_json:
        give_json(HeadroomReply(headroom=found))
    else:
        say_headroom(console(), found)


def fits(
    order: Annotated[str, typer.Argument(metavar="ORDER", help="The order, like harbour-bun=40@07:00.")],
    home: HomeOption = None,
    as_json: JsonOption = False,
    night: PlannedNightOption = None,
    limit: AllTriesOption = 60.0,
    now: Annotated[
        str | None,
        typer.Option("--now", help="When it is asked for, like 02:30.", show_default="this moment"),
    ] = None,
) -> None:
    """Does an extra order fit with all the rest on time, at what cost, and until when? Writes nothing."""
    from smallhours.actions.fit_order import FitOrder, fit_order
    from smallhours.cli.night import last_plan
    from smallhours.cli.replan import moment
    from smallhours.planning.engine.progress import Stopper

    asked = _EXTRA.fullmatch(order.strip())
    if asked is None:
        raise BadInput(f"{order!r}: is not an order: write it like harbour-bun=40@07:00")
    open_home(home)
    date = read_date(night)
    at = None if now is None else moment(last_plan(date).plan, now)
    command = FitOrder(asked["product"], int(asked["pieces"]), read_clock("ORDER", asked["due"]), date, at, limit)
    stop = Stopper()
    with trying(stop) as on_step:
        found = fit_order(command, on_step=on_step, stop=stop)
    if as_json:
        give_json(FitsReply(fit=found))
    else:
        say_fit(console(), found)
    if not found.fits:
        end(Ending.NEEDS_ATTENTION)
