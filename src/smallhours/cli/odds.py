"""The ``odds`` command: how sure a plan is, and what a margin before the due times would bring and cost."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from rich.console import Console
from rich.text import Text

from smallhours.bakery.quantity import write_duration
from smallhours.cli.odds_replies import OddsReply
from smallhours.cli.options import HomeOption, JsonOption, PlannedNightOption, open_home, read_date
from smallhours.cli.progress import watched
from smallhours.cli.say import console, give_json, table
from smallhours.errors import BadInput

if TYPE_CHECKING:
    from smallhours.actions.odds_of_night import Compared, Odds
    from smallhours.planning.odds.document import MarginOdds, NightOdds
    from smallhours.planning.plan import Plan

_MOST_ROWS = 8


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("odds")(odds)


def odds(
    file: Annotated[
        Path | None,
        typer.Argument(
            metavar="[PLAN]", help="A plan as plan --json writes it, - for standard input; none: a plan in the store."
        ),
    ] = None,
    home: HomeOption = None,
    as_json: JsonOption = False,
    night: PlannedNightOption = None,
    nights: Annotated[int, typer.Option("--nights", help="How many nights to run it through.")] = 300,
    seed: Annotated[int, typer.Option("--seed", help="Another number: other nights.")] = 1,
    margins: Annotated[
        str | None,
        typer.Option(
            "--compare-margins",
            metavar="MINUTES",
            help="Plan the night (the coming one) with each of these margins before the due times, like 0,5,10,15.",
        ),
    ] = None,
    want: Annotated[
        float, typer.Option("--want", help="With margins: in how many of 100 nights an order should be on time.")
    ] = 90.0,
    limit: Annotated[float, typer.Option("--limit", help="With margins: seconds to think for each at most.")] = 60.0,
) -> None:
    """How sure a plan is: in how many nights like this each order is on time, and where it hurts; writes nothing."""
    from smallhours.actions.odds_of_night import OddsOf, odds_of_night

    if file is None:
        open_home(home)
    elif night is not None or margins is not None:
        raise BadInput("--night and --compare-margins go with the store; leave them out, or leave out the file")
    command = OddsOf(read_date(night), file, nights, seed)
    if margins is not None:
        _answer_margins(_compared(command, margins, want / 100.0, limit), want / 100.0, as_json)
        return
    told = odds_of_night(command)
    if as_json:
        give_json(OddsReply(plan=told.source, night=told.plan.night, odds=told.odds))
    else:
        say_odds(console(), told)


def _compared(command: object, margins: str, wanted: float, limit_s: float) -> Compared:
    from smallhours.actions.odds_of_night import CompareMargins, OddsOf, compare_night_margins
    from smallhours.planning.engine.progress import Stopper

    assert isinstance(command, OddsOf)
    stop = Stopper()
    with watched(stop, limit_s) as on_progress:
        asked = CompareMargins(command, _margins_s(margins), limit_s, wanted)
        return compare_night_margins(asked, on_progress=on_progress, stop=stop)


def _margins_s(text: str) -> tuple[float, ...]:
    try:
        return tuple(60.0 * float(part) for part in text.split(","))
    except ValueError:
        raise BadInput(
            f"--compare-margins {text!r}: are no minutes: write them with commas, like 0,5,10,15"
        ) from None  # fmt: skip


def say_odds(out: Console, told: Odds) -> None:
    """The odds of a plan as text."""
    from smallhours.planning.odds.words import in_a_line

    found, plan = told.odds, told.plan
    out.print(Text(f"{plan.kitchen_name}: the night to {plan.night:%A %d %B %Y}, {found.nights} nights", style="bold"))
    out.print(Text(in_a_line(plan, found)))
    out.print(Text(f"Give or take {100 * 2 * found.all_on_time_error:.0f} of 100, for so many nights."))
    headings = ("on time", "as wanted", "late, mean", "9 of 10", "product", "customer", "waits for")
    out.print(table("\nOrders, the least sure first", headings, _orders(plan, found), (0, 1, 2, 3)))
    if found.hurts:
        out.print(table("\nWhere it hurts", ("of 100", "then", "waiting for"), _hurts(found), (0, 1)))
    if found.doughs:
        out.print(table("\nStands too long", ("of 100", "by", "dough", "at"), _doughs(found), (0, 1)))
    for person in found.overtime:
        out.print(Text(f"{person.name} stays {_min(person.over_s)} longer in {_100(person.share)} of 100 nights."))
    out.print(
        Text("\nDrawn from the forecast's intervals, and from judgement where it gives none; no one plans again.")
    )


def _orders(plan: Plan, found: NightOdds) -> Iterator[tuple[str, ...]]:
    from smallhours.planning.odds.words import name_of

    for order in sorted(found.orders, key=lambda o: (o.on_time, -o.late_s)):
        waits = name_of(plan, order.waits_on) if order.waits_on else ""
        chances = (_100(order.on_time), _100(order.on_time_as_wanted))
        yield *chances, _min(order.late_s), _min(order.late_p90_s), order.product, order.customer, waits


def _hurts(found: NightOdds) -> Iterator[tuple[str, ...]]:
    for hurt in found.hurts[:_MOST_ROWS]:
        name = f"{hurt.name} to get ready" if hurt.kind == "dough" else hurt.name
        yield _100(hurt.share), _min(hurt.wait_s), name


def _doughs(found: NightOdds) -> Iterator[tuple[str, ...]]:
    for dough in found.doughs[:_MOST_ROWS]:
        yield _100(dough.over), _min(dough.over_s), f"{dough.name} ({dough.batch})", dough.task


def _answer_margins(compared: Compared, wanted: float, as_json: bool) -> None:
    best = compared.recommended
    if as_json:
        give_json(
            OddsReply(
                plan=None, night=compared.night, margins=compared.margins, wanted=wanted,
                recommended_s=None if best is None else best.margin_s,
            )
        )  # fmt: skip
        return
    out = console()
    headings = ("margin", "all on time", "an order", "late in the plan", "hands", "present", "waits until due")
    rows = (_margin(each) for each in compared.margins)
    out.print(table(f"Margins for the night to {compared.night}", headings, rows, range(7)))
    chance = _100(wanted)
    if best is None:
        out.print(
            Text(f"No margin here brings an order to {chance} of 100: time does not cure it, see smallhours odds.")
        )
    else:
        out.print(
            Text(f"The smallest that brings an order to {chance} of 100 on average: {_min(best.margin_s)} (--margin).")
        )


def _margin(each: MarginOdds) -> tuple[str, ...]:
    chances = (_100(each.all_on_time), _100(each.order_on_time))
    lengths = (write_duration(60 * round(s / 60)) for s in (each.hands_s, each.present_s, each.waits_s))
    return (_min(each.margin_s), *chances, str(each.late_orders), *lengths)


def _100(share: float) -> str:
    from smallhours.planning.odds.words import of_100

    return of_100(share).removesuffix(" of 100")


def _min(seconds: float) -> str:
    return f"{seconds / 60:.0f} min"
