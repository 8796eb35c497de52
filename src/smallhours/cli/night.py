"""The ``plan`` command: the coming night, and how a plan is said in the terminal."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated
from zoneinfo import ZoneInfo

import typer
from rich.console import Console
from rich.text import Text

from smallhours.bakery.quantity import say_set_temp, say_temp
from smallhours.cli.levels import level_lines
from smallhours.cli.options import (
    HomeOption,
    JsonOption,
    NightOption,
    open_home,
    read_date,
    read_duration_s,
    read_temp_c,
)
from smallhours.cli.progress import watched
from smallhours.cli.say import Ending, console, end, give_json, table

if TYPE_CHECKING:
    from smallhours.actions.stored_plan import StoredPlan
    from smallhours.bakery.kitchen.document import Temperatures
    from smallhours.planning.plan import Plan, PlanTask

DEFAULT_LIMIT_S = 60.0
LimitOption = Annotated[
    float,
    typer.Option("--limit", help="Seconds the planner may think at most; 10 once no plan can be less late."),
]


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("plan")(plan)


def plan(
    home: HomeOption = None,
    as_json: JsonOption = False,
    night: NightOption = None,
    limit: LimitOption = DEFAULT_LIMIT_S,
    room: Annotated[str | None, typer.Option("--room", help="Tonight's room, like '17 °C'.")] = None,
    from_now: Annotated[
        bool,
        typer.Option("--from-now", help="Nothing may begin before this moment (else from noon of the day before)."),
    ] = False,
    again: Annotated[
        bool, typer.Option("--again", help="Show the last plan of that night instead of planning.")
    ] = False,
    every: Annotated[bool, typer.Option("--every", help="Show every stage, also those nobody works at.")] = False,
    margin: Annotated[
        str, typer.Option("--margin", help="How long before it is due every order is wanted ready, like '10 min'.")
    ] = "0 min",
    first: Annotated[
        list[str] | None,
        typer.Option("--first", help="What matters first, after being on time: hours, freshness, lengths or oven."),
    ] = None,
) -> None:
    """Plan the coming night. Ctrl-C keeps the best plan so far."""
    open_home(home)
    date, room_c = read_date(night), read_temp_c("--room", room)
    margin_s, wanted = read_duration_s("--margin", margin), tuple(first) if first else None
    stored = last_plan(date) if again else make_plan(date, limit, room_c, from_now, margin_s, wanted)
    if as_json:
        give_json(stored.plan)
    else:
        say_plan(console(), stored.plan, every)
    end_by_plan(stored)


def end_by_plan(stored: StoredPlan) -> None:
    """End with 1 when an order is late or there is no plan."""
    if stored.late or stored.plan.status in ("infeasible", "unknown"):
        end(Ending.NEEDS_ATTENTION)


def last_plan(night: dt.date | None) -> StoredPlan:
    """The newest plan in the store (of that night). Raises NotFound."""
    from smallhours.actions.night_papers import NightPapersOf, night_papers

    return night_papers(NightPapersOf(night)).stored


def make_plan(
    night: dt.date | None,
    limit_s: float = DEFAULT_LIMIT_S,
    room_c: float | None = None,
    from_now: bool = False,
    margin_s: float = 0.0,
    first: tuple[str, ...] | None = None,
) -> StoredPlan:
    """Plan and keep, with a sign of life on standard error."""
    from smallhours.actions.plan_night import PlanNight, plan_night
    from smallhours.planning.engine.progress import Stopper

    stop = Stopper()
    temperatures = None if room_c is None else _with_room(room_c)
    with watched(stop, limit_s) as on_progress:
        command = PlanNight(night, limit_s, temperatures, from_now=from_now, margin_s=margin_s, first=first)
        return plan_night(command, on_progress=on_progress, stop=stop)


def _with_room(room_c: float) -> Temperatures:
    """The kitchen's temperatures with another room, the same all night."""
    from smallhours.actions.shelf import shelf

    temperatures = shelf().the_kitchen().temperatures
    return temperatures.model_copy(update={"room_c": room_c, "room_course": ()})


def say_plan(out: Console, plan: Plan, every: bool = False) -> None:
    """A plan as text: orders, bowls, ovens, who does what when (or every stage), and why anything is late."""
    from smallhours.planning.odds.words import in_a_line

    zone = ZoneInfo(plan.timezone)
    out.print(Text(f"{plan.kitchen_name}: the night to {plan.night:%A %d %B %Y}", style="bold"))
    for note in plan.notes:
        out.print(Text(f"note: {note}"))
    if not plan.tasks:
        out.print(Text("There is no plan." if plan.status in ("infeasible", "unknown") else "Nothing to bake."))
        return
    out.print(table("\nOrders", ("due", "ready", "pieces", "product", "customer", ""), _orders(plan, zone), (2,)))
    for reason in plan.late:
        out.print(Text(f"  late: {reason.sentence}"))
    out.print(table("\nBowls", ("batch", "dough", "liquid", "dough at", "mixer"), _bowls(plan), (1, 2, 3)))
    out.print(table("\nOvens", ("oven", "on from", "ready", "until", "set"), _ovens(plan, zone), (4,)))
    out.print(table("\nThe night", ("from", "to", "what", "of", "where", "who"), _tasks(plan, zone, every)))
    out.print(Text(f"\n{_how_good(plan)}"))
    for line in level_lines(plan):
        out.print(Text(f"  {line}"))
    if plan.residual_s >= plan.tick_s:
        minutes = f"{plan.residual_s / 60:.0f} min"
        out.print(Text(f"Stages are planned with the forecast for their own hours, to within {minutes}."))
    if plan.odds is not None:
        out.print(Text(in_a_line(plan, plan.odds)))
    out.print(
        Text("Take care: raw flour and egg, allergens, hot ovens, mixers. Your local food-safety rules come first.")
    )


def _orders(plan: Plan, zone: ZoneInfo) -> Iterator[tuple[str, ...]]:
    for order in sorted(plan.orders, key=lambda o: (o.due, o.customer, o.product)):
        late = f"{order.late_s / 60:.0f} min late" if order.late_s else ""
        ready = clock(order.ready, zone) if order.ready else "-"
        yield clock(order.due, zone), ready, str(order.pieces), order.product, order.customer, late


def _bowls(plan: Plan) -> Iterator[tuple[str, ...]]:
    for batch in plan.batches:
        liquid = batch.liquid
        cold = "" if liquid is None else f"{liquid.liquid} {liquid.liquid_temp_c:.0f} °C"
        if liquid is not None and liquid.ice_g:
            cold += f" + {liquid.ice_g / 1000:.2f} kg ice"
        target = "" if liquid is None else say_temp(liquid.target_dough_temp_c)
        yield batch.id, f"{batch.mass_g / 1000:.2f} kg", cold, target, batch.mixer or ""


def _ovens(plan: Plan, zone: ZoneInfo) -> Iterator[tuple[str, ...]]:
    names = {resource.id: resource.name for resource in plan.resources}
    for s in plan.ovens:
        times = (clock(t, zone) for t in (s.heat_from, s.start, s.end))
        yield names[s.deck], *times, say_set_temp(s.set_temp_c)


def _tasks(plan: Plan, zone: ZoneInfo, every: bool) -> Iterator[tuple[str, ...]]:
    from smallhours.planning.plan import PANS  # the plan takes a moment to load

    people = {person.id: person.name for person in plan.people}
    names = {r.id: r.name for r in plan.resources if r.id not in ("bench", "rack")}
    for task in plan.tasks:
        if task.kind in PANS or not (every or task.hands):
            continue
        who = ", ".join(dict.fromkeys(people[hands.person] for hands in task.hands))
        yield (
            clock(task.start, zone), clock(task.end, zone), task.name, _of(task), names.get(task.place, task.place), who
        )  # fmt: skip


def _of(task: PlanTask) -> str:
    pieces = f" ({task.pieces})" if task.pieces and task.lot else ""
    return f"{task.lot or task.batch}{pieces}"


def _how_good(plan: Plan) -> str:
    late = sum(order.late_s > 0 for order in plan.orders)
    first = plan.objective[0] if plan.objective else None
    if not late:
        said = "Every order is ready when it is due."
    elif first is not None and first.proven:
        said = f"{late} orders are late; no plan with these people and this equipment is less late in all (proven)."
    else:
        said = f"{late} orders are late; the planner has not shown that less is impossible."
    return f"{said} Found in {plan.solve_s:.1f} s."


def clock(instant: dt.datetime, zone: ZoneInfo) -> str:
    """The day and time on the kitchen's clock.

    >>> clock(dt.datetime(2026, 1, 15, 4, 30, tzinfo=dt.UTC), ZoneInfo("Europe/Madrid"))
    'Thu 05:30'
    """
    return f"{instant.astimezone(zone):%a %H:%M}"


def sheets_folder(home: Path, night: dt.date) -> Path:
    """Where the sheets of a night go, when nobody says."""
    return home / "sheets" / night.isoformat()
