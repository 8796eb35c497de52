"""The ``replan`` command: the rest of a running night anew, after what really happened."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated
from zoneinfo import ZoneInfo

import typer
from rich.text import Text

from smallhours.bakery.quantity import parse_duration_s
from smallhours.cli.night import end_by_plan, say_plan
from smallhours.cli.options import HomeOption, JsonOption, PlannedNightOption, open_home, read_date, read_when
from smallhours.cli.progress import watched
from smallhours.cli.say import console, give_json
from smallhours.errors import BadInput

if TYPE_CHECKING:
    from smallhours.bakery.shift.happened import Happened
    from smallhours.planning.plan import Plan

Words = list[str] | None
LimitOption = Annotated[float, typer.Option("--limit", help="Seconds the planner may think at most.")]
NowOption = Annotated[str | None, typer.Option("--now", help="The time it is, like 02:30.", show_default="this moment")]
SaidOption = Annotated[Path | None, typer.Option("--said", metavar="FILE", help="What happened, in a document.")]
LongerOption = Annotated[Words, typer.Option("--longer", help="A stage that needs longer: 'TASK=20 min'.")]
WaitsOption = Annotated[Words, typer.Option("--waits", help="A stage that has not begun, against the plan.")]
EndedOption = Annotated[Words, typer.Option("--ended", help="When a stage ended, like TASK=02:10.")]
DownOption = Annotated[
    Words, typer.Option("--down", help="Equipment out of use, like deck-oven=04:30, or just deck-oven.")
]
AwayOption = Annotated[Words, typer.Option("--away", help="Somebody not there, like nerea=03:00, or just nerea.")]
LostOption = Annotated[Words, typer.Option("--lost", help="A batch or lot that is lost; it is made anew.")]
MoreOption = Annotated[Words, typer.Option("--more", help="Another order, like harbour-bun=40@07:00.")]
TryOption = Annotated[bool, typer.Option("--try", help="Show what would come of it; keep nothing.")]
EveryOption = Annotated[bool, typer.Option("--every", help="Show the whole plan, also every stage.")]


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("replan")(replan)


def replan(
    home: HomeOption = None,
    as_json: JsonOption = False,
    night: PlannedNightOption = None,
    limit: LimitOption = 2.0,
    now: NowOption = None,
    said: SaidOption = None,
    longer: LongerOption = None,
    waits: WaitsOption = None,
    ended: EndedOption = None,
    down: DownOption = None,
    away: AwayOption = None,
    lost: LostOption = None,
    more: MoreOption = None,
    try_only: TryOption = False,
    every: EveryOption = False,
) -> None:
    """Plan the rest of a running night anew. What nothing is said of went as planned."""
    open_home(home)
    from smallhours.actions.replan_night import ReplanNight, replan_night
    from smallhours.cli.night import last_plan
    from smallhours.planning.engine.progress import Stopper

    date = read_date(night)
    reader = _Reader(last_plan(date).plan, now)
    happened = reader.read(said, longer or (), waits or (), ended or (), down or (), away or (), lost or (), more or ())
    stop = Stopper()
    with watched(stop, limit) as on_progress:
        command = ReplanNight(happened, date, limit, keep=not try_only)
        stored = replan_night(command, on_progress=on_progress, stop=stop)
    if as_json:
        give_json(stored.plan)
    else:
        say_changes(stored.plan)
        if every:
            say_plan(console(), stored.plan, every)
    end_by_plan(stored)


def say_changes(plan: Plan) -> None:
    """What changes, what is late, and how good the answer is."""
    from smallhours.planning.live.changes import sentence

    out = console()
    for note in plan.notes:
        out.print(Text(f"note: {note}"))
    if not plan.changes:
        out.print(Text("Nothing changes: everybody goes on as planned."))
    for change in plan.changes:
        mark = "!" if change.next else "-"
        out.print(Text(f"{mark} {sentence(change, plan)}"))
    if any(change.next for change in plan.changes):
        out.print(Text("(! is somebody's next work: tell them)"))
    for reason in plan.late:
        out.print(Text(f"late: {reason.sentence}"))
    if not any(order.late_s for order in plan.orders):
        out.print(Text("Every order is ready when it is due."))
    out.print(Text(f"Found in {plan.solve_s:.1f} s."))
    out.print(
        Text("Take care: what stood too long or too warm is not saved by a plan. Your food-safety rules come first.")
    )


def moment(plan: Plan, now: str) -> dt.datetime:
    """The instant that ``--now`` means in the night of a plan. Raises BadInput."""
    return _Reader(plan, now).now


class _Reader:
    """Reads what was said on a command line, with the times of the night it is about."""

    def __init__(self, plan: Plan, now: str | None) -> None:
        self.plan, self.zone = plan, ZoneInfo(plan.timezone)
        self.now = dt.datetime.now(dt.UTC) if now is None else self.instant("--now", now, plan.horizon_start)

    def instant(self, option: str, text: str, after: dt.datetime) -> dt.datetime:
        """A time of day as the first such instant not before ``after``; a date and time as it is. Raises BadInput."""
        when = read_when(option, text)
        if isinstance(when, dt.datetime):
            return when.replace(tzinfo=self.zone).astimezone(dt.UTC)
        assert when is not None
        from smallhours.bakery.kitchen.clock import instant

        first = after.astimezone(self.zone).date()
        days = (instant(first + dt.timedelta(days=day), when, self.zone) for day in range(3))
        return next(each for each in days if each >= after)

    def read(self, said: Path | None, *options: Sequence[str]) -> Happened:
        """What happened, from a file and options together."""
        from smallhours.bakery.shift.happened import Happened

        data: dict[str, object] = {"now": self.now}
        if said is not None:
            try:
                text = said.read_text(encoding="utf-8")
            except (OSError, UnicodeDecodeError) as error:
                raise BadInput(f"--said {str(said)!r} cannot be read: {error}") from None
            document = Happened.read_toml(text, str(said))
            data = dict(document.to_json_data())
        for name, found in self._options(*options).items():
            before = data.get(name, ())
            assert isinstance(before, list | tuple)
            data[name] = [*before, *found]
        return Happened.read(data, "what was said" if said is None else str(said))

    def _options(self, longer: Sequence[str], waits: Sequence[str], ended: Sequence[str], down: Sequence[str],
                 away: Sequence[str], lost: Sequence[str], more: Sequence[str]) -> dict[str, list[object]]:  # fmt: skip
        tasks: list[object] = [{"task": task, "longer_s": _length(text)} for task, text in _pairs("--longer", longer)]
        tasks += [{"task": task, "waiting": True} for task in waits]
        tasks += [
            {"task": task, "end": self.instant("--ended", text, self.plan.horizon_start)}
            for task, text in _pairs("--ended", ended)
        ]
        return {
            "tasks": tasks,
            "down": [self._out("--down", "equipment", text) for text in down],
            "away": [self._out("--away", "person", text) for text in away],
            "lost": [{"of": name} for name in lost],
            "orders": [self._order(product, text) for product, text in _pairs("--more", more)],
        }

    def _out(self, option: str, what: str, text: str) -> dict[str, object]:
        name, _, until = text.partition("=")
        return {what: name.strip(), "until": self.instant(option, until, self.now) if until else None}

    def _order(self, product: str, text: str) -> dict[str, object]:
        pieces, at, due = text.partition("@")
        if not at or not pieces.strip().isdigit():
            raise BadInput(f"--more {product}={text!r}: is not an order: write it like {product}=40@07:00")
        when = self.instant("--more", due, self.now).astimezone(self.zone)
        return {
            "customer": "Extra",
            "product": product,
            "date": when.date(),
            "due": when.time().replace(tzinfo=None),
            "pieces": int(pieces),
        }


def _pairs(option: str, texts: Sequence[str]) -> list[tuple[str, str]]:
    found = []
    for text in texts:
        name, sign, value = text.partition("=")
        if not sign or not name.strip() or not value.strip():
            raise BadInput(f"{option} {text!r}: has no '=': write it like {option} NAME=VALUE")
        found.append((name.strip(), value.strip()))
    return found


def _length(text: str) -> float:
    try:
        return float(parse_duration_s(text))
    except ValueError as error:
        raise BadInput(f"--longer: {error}") from None
