"""The commands ``plan-days`` and ``ahead``: several nights at once, and what has to be begun on which day."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal
from zoneinfo import ZoneInfo

import typer
from rich.text import Text

from smallhours.cli.days_replies import PlanDaysReply
from smallhours.cli.night import DEFAULT_LIMIT_S, LimitOption, clock
from smallhours.cli.options import HomeOption, JsonOption, open_home, read_date, read_duration_s
from smallhours.cli.progress import watched
from smallhours.cli.say import Ending, console, end, give_json, table
from smallhours.errors import BadInput

if TYPE_CHECKING:
    from smallhours.actions.stored_plan import StoredPlan
    from smallhours.planning.days.document import Ahead, AheadDay, Begin
    from smallhours.planning.plan import Plan

FirstNight = Annotated[
    str | None,
    typer.Option("--night", metavar="DATE", help="The day the first bake is sold.", show_default="tomorrow"),
]
SAID = {
    "feed": "feed", "soak": "soak", "mix": "mix", "make": "make", "chill": "into the cold", "take-out": "take out",
    "soften": "let soften",
}  # fmt: skip


def add_to(app: typer.Typer) -> None:
    """Add the commands."""
    app.command("plan-days")(plan_days)
    app.command("ahead")(ahead)


def plan_days(
    home: HomeOption = None,
    as_json: JsonOption = False,
    night: FirstNight = None,
    days: Annotated[int, typer.Option("--days", help="How many nights.")] = 3,
    limit: LimitOption = DEFAULT_LIMIT_S,
    from_now: Annotated[bool, typer.Option("--from-now", help="Nothing may begin before this moment.")] = False,
    margin: Annotated[
        str, typer.Option("--margin", help="How long before it is due every order is wanted ready, like '10 min'.")
    ] = "0 min",
    first: Annotated[
        list[str] | None,
        typer.Option("--first", help="What matters first, after being on time: hours, freshness, lengths or oven."),
    ] = None,
) -> None:
    """Plan the coming nights, each around what the others take of the kitchen; each is kept as a plan of its own."""
    open_home(home)
    from smallhours.actions.plan_days import PlanDays
    from smallhours.actions.plan_days import plan_days as act
    from smallhours.planning.engine.progress import Stopper

    margin_s = read_duration_s("--margin", margin)
    stop = Stopper()
    wanted = tuple(first) if first else None
    command = PlanDays(read_date(night), days, limit, from_now=from_now, margin_s=margin_s, first=wanted)
    stored: list[StoredPlan] = []
    with watched(stop, limit) as on_progress:
        for one in act(command, on_progress=lambda _, progress: on_progress(progress), stop=stop):
            stored.append(one)
            if not as_json:
                _say_night(one.plan)
    if as_json:
        give_json(PlanDaysReply(plans=tuple(one.plan for one in stored)))
    if any(one.late or one.plan.status in ("infeasible", "unknown") for one in stored):
        end(Ending.NEEDS_ATTENTION)


def _say_night(plan: Plan) -> None:
    """A night in a few lines; ``plan --again --night`` says the rest."""
    out, zone = console(), ZoneInfo(plan.timezone)
    day = f"{plan.night:%A %d %B %Y}"
    if not plan.tasks:
        out.print(Text(f"{day}: {'nothing to bake' if plan.status == 'empty' else 'there is no plan'}"))
    else:
        late = sum(order.late_s > 0 for order in plan.orders)
        worked = [hands for task in plan.tasks for hands in task.hands]
        first = f"first work {clock(min(h.start for h in worked), zone)}, " if worked else ""
        said = "all on time" if not late else f"{late} of {len(plan.orders)} orders late"
        out.print(Text(f"{day}: {first}{said}; found in {plan.solve_s:.0f} s", style="bold" if late else ""))
    for reason in plan.late:
        out.print(Text(f"  late: {reason.sentence}"))


def ahead(
    home: HomeOption = None,
    as_json: JsonOption = False,
    day: Annotated[
        str | None, typer.Option("--from", metavar="DATE", help="The first day.", show_default="today")
    ] = None,
    days: Annotated[int, typer.Option("--days", help="How many days.")] = 3,
    pdf: Annotated[Path | None, typer.Option("--pdf", metavar="FILE", help="Write it as a sheet.")] = None,
    lang: Annotated[Literal["en", "es"], typer.Option("--lang", help="Language of the sheet.")] = "en",
    paper: Annotated[Literal["a4", "letter"], typer.Option("--paper", help="Paper of the sheet.")] = "a4",
) -> None:
    """Say what to feed, soak, make, load and take out on the days ahead, and until when orders can be met."""
    open_home(home)
    from smallhours.actions.look_ahead import LookAhead, look_ahead

    found = look_ahead(LookAhead(_date(day), days))
    if pdf is not None:
        from smallhours.sheets.ahead import ahead_pdf

        _write(pdf, ahead_pdf(found, paper, lang))
    if as_json:
        give_json(found)
    elif pdf is not None:
        console().print(Text(str(pdf)))
    else:
        _say_ahead(found)


def _date(text: str | None) -> dt.date | None:
    if text is None:
        return None
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise BadInput(f"--from {text!r}: is not a date: write it like 2026-03-14") from None


def _write(file: Path, data: bytes) -> None:
    try:
        part = file.with_name(f"{file.name}.part")
        part.write_bytes(data)
        part.replace(file)
    except OSError as error:
        raise BadInput(f"{file}: cannot be written ({error.strerror}); name another file") from None


def _say_ahead(found: Ahead) -> None:
    out, zone = console(), ZoneInfo(found.timezone)
    for note in found.notes:
        out.print(Text(f"note: {note}"))
    for day in found.days:
        out.print(Text(f"\n{day.day:%A %d %B %Y}", style="bold"))
        if day.begin:
            headings = ("at", "what", "", "how much", "ready", "for", "where", "")
            out.print(table("", headings, _rows(day, zone), (3,)))
        else:
            out.print(Text("Nothing has to be begun for later days."))
        if day.cut_offs:
            out.print(table("\nOrders can be met until", ("", "product", "due", ""), _until(day, zone)))
    out.print(Text(f"\n{found.rests_on}"))


def _rows(day: AheadDay, zone: ZoneInfo) -> Iterator[tuple[str, ...]]:
    for begin in day.begin:
        ready = "" if begin.end is None else clock(begin.end, zone)
        use = f"{begin.used_in} ({clock(begin.used, zone)})" if begin.used is not None else ", ".join(begin.products)
        how = "planned" if begin.planned else "at the latest"
        yield (
            f"{begin.start.astimezone(zone):%H:%M}",
            SAID[begin.kind],
            begin.what,
            _much(begin),
            ready,
            use,
            (begin.place),
            how,
        )


def _much(begin: Begin) -> str:
    return f"{begin.pieces} pieces" if begin.pieces is not None else f"{begin.mass_g / 1000:.2f} kg"


def _until(day: AheadDay, zone: ZoneInfo) -> Iterator[tuple[str, ...]]:
    for off in day.cut_offs:
        first = f"{off.first}" + ("" if off.ordered else "; nobody ordered it yet")
        yield f"{off.latest.astimezone(zone):%H:%M}", f"{off.name} ({off.pieces})", clock(off.due, zone), first
