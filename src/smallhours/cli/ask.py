"""The ``ask`` command: what a baker asks of a dough."""

from __future__ import annotations

import datetime as dt
from typing import TYPE_CHECKING, Literal

import typer

from smallhours.bakery.quantity import DURATION_UNITS, parse_duration_s
from smallhours.cli import ask_baking, ask_kitchen, ask_leaven
from smallhours.cli import dough_options as o
from smallhours.cli.answers import give_answer
from smallhours.cli.options import HomeOption, JsonOption, open_home, read_clock, read_temp_c, read_when
from smallhours.errors import BadInput

if TYPE_CHECKING:
    from smallhours.forecast.questions import Answer, Asked

Question = Literal["ready", "night", "chill", "yeast", "retard-or-bake", "fridge-failed", "bigger", "flour"]
# what the help of each question says
_QUESTIONS: dict[Question, str] = {
    "ready": "When is it ready for the oven, and when is all done?",
    "night": "What does a night in the fridge do?",
    "chill": "How long must it chill until it can be sheeted?",
    "yeast": "How much yeast, to have it ready earlier or later?",
    "retard-or-bake": "Bake it now, or put it in the fridge?",
    "fridge-failed": "The fridge failed: how far is the dough, and how long is left?",
    "bigger": "What changes with larger or smaller pieces?",
    "flour": "How much liquid for other whole grain, or for a flour that takes more?",
}
_DAY_S = 86400.0


def add_to(app: typer.Typer) -> None:
    """Add ``ask`` with a command for each question."""
    asking = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help=ask.__doc__)
    for question, says in _QUESTIONS.items():
        asking.command(question, help=says)(ask)
    ask_kitchen.add_to(asking)
    ask_leaven.add_to(asking)
    ask_baking.add_to(asking)
    app.add_typer(asking, name="ask")


def ask(
    context: typer.Context,
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
    stage: o.StageOption = None,
    went_in: o.InOption = None,
    out: o.OutOption = None,
    failed: o.FailedOption = None,
    seen: o.SeenOption = None,
    stands: o.StandsOption = None,
    core: o.CoreOption = None,
    later: o.LaterOption = None,
    sooner: o.SoonerOption = None,
    due: o.DueOption = None,
    times: o.TimesOption = 2.0,
    whole_grain: o.WholeGrainOption = None,
    absorbs: o.AbsorbsOption = None,
    members: o.MembersOption = 500,
    seed: o.SeedOption = 1,
) -> None:
    """Ask the dough: when is it ready, what does a night do, how long to chill, how much yeast, what now."""
    open_home(home)
    from smallhours.actions.forecast_formula import asked_of

    sizes = (dough, dough_temp, piece_mass, yeast)
    asked = asked_of(o.command_of(formula_id, (start, room, fridge), sizes, door, (members, seed)))
    words = {"in": went_in, "out": out, "failed": failed, "seen": seen, "stands": stands, "core": core}
    words |= {"later": later, "sooner": sooner, "due": due, "stage": stage}
    question = next(word for word in _QUESTIONS if word == context.info_name)
    give_answer(_answer(question, asked, words, (times, whole_grain, absorbs)), as_json)


def _answer(
    question: Question, asked: Asked, words: dict[str, str | None], numbers: tuple[float, float | None, float | None]
) -> Answer:
    from smallhours.forecast import questions as q

    times, whole_grain, absorbs = numbers
    match question:
        case "ready":
            return q.when_ready(asked)
        case "night":
            return q.what_does_a_night_do(asked, _between(words, "in", "out"), words["stage"])
        case "chill":
            return q.how_long_to_chill(asked, read_temp_c("--core", words["core"]), words["stage"])
        case "yeast":
            return q.how_much_yeast(asked, _later_s(words))
        case "retard-or-bake":
            return q.bake_or_retard(asked, _due(asked, words))
        case "fridge-failed":
            stands_c = read_temp_c("--stands", _said(words, "stands", "'11 °C'"))
            times_s = _between(words, "in", "failed"), _between(words, "in", "seen")
            return q.fridge_failed(asked, *times_s, stands_c or 0.0, words["stage"])
        case "bigger":
            return q.what_if_pieces_are(asked, times)
        case "flour":
            if whole_grain is not None and absorbs is None:
                return q.other_whole_grain(asked, whole_grain)
            if absorbs is not None and whole_grain is None:
                return q.new_flour(asked, absorbs)
            raise BadInput("say --whole-grain (so many times as much) or --absorbs (so many points more)")


def _said(words: dict[str, str | None], name: str, example: str) -> str:
    found = words[name]
    if found is None:
        raise BadInput(f"this question needs --{name}, like {example}")
    return found


def _between(words: dict[str, str | None], first: str, second: str) -> float:
    """Seconds from one time of day to the next other."""
    if words[first] is None or words[second] is None:
        raise BadInput(f"this question needs --{first} and --{second}, each like 19:00")
    a, b = (read_clock(f"--{name}", _said(words, name, "19:00")) for name in (first, second))
    gap = dt.datetime.combine(dt.date.min, b) - dt.datetime.combine(dt.date.min, a)
    return gap.total_seconds() % _DAY_S


def _later_s(words: dict[str, str | None]) -> float:
    later, sooner = words["later"], words["sooner"]
    if (later is None) == (sooner is None):
        raise BadInput("say --later or --sooner, like --later '2 h'")
    text = later or sooner or ""
    try:
        length_s = parse_duration_s(text)
    except ValueError as error:
        raise BadInput(f"--{'later' if later else 'sooner'}: {error} ({', '.join(DURATION_UNITS)})") from None
    return length_s if later else -length_s


def _due(asked: Asked, words: dict[str, str | None]) -> dt.datetime:
    from smallhours.actions.forecast_formula import due_after

    start, due = asked.conditions.start, read_when("--due", _said(words, "due", "06:00"))
    if start is None or due is None:
        raise BadInput("to choose between baking and the fridge, say --start and --due")
    return due_after(start, due, asked.conditions.kitchen)
