"""Write the pages of this folder that say the same as the code: ``python docs/reference/make_reference.py``.

A test makes them again and compares, so that none of them can drift away from what the program does.
"""

from __future__ import annotations

import ast
import inspect
import sys
import tomllib
import types
import typing
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

import typer
from pydantic import BaseModel

from smallhours import errors
from smallhours.bakery.document import Document, text_name
from smallhours.bakery.formula import audit, warnings
from smallhours.bakery.quantity import WRITERS
from smallhours.cli import schema as schemas
from smallhours.cli.main import app
from smallhours.cli.say import Ending
from smallhours.planning.check.whole import RULES as CHECK_RULES
from smallhours.planning.engine.rules import RULES as ENGINE_RULES
from smallhours.planning.shift import pans, rules
from smallhours.reference.table import TABLES, Column, Table, sources, table

HERE = Path(__file__).resolve().parent
SOURCE = Path(inspect.getfile(errors)).parent
INTROS = tomllib.loads((HERE / "intros.toml").read_text(encoding="utf-8"))
MOST_ROWS_SHOWN = 20
MADE = "<!-- Made from the code by docs/reference/make_reference.py: change the code, then run it again. -->"
_UNITS = {"_s": "duration", "_g": "mass", "_mm": "length", "_c": "temperature", "_ml": "volume"}


def pages() -> dict[str, str]:
    """File name -> text, for every page that is made."""
    made: dict[str, Callable[[], Iterable[str]]] = {
        "commands.md": _commands,
        "schemas.md": _schemas,
        "errors-and-exit-codes.md": _errors,
        "planner-rules.md": _planner_rules,
        "findings.md": _findings,
        "sources.md": _sources,
        "reference-tables.md": _tables,
    }
    return {name: "\n".join([MADE, "", *write()]).rstrip() + "\n" for name, write in made.items()}


def grid(headings: Sequence[str], rows: Iterable[Sequence[str]]) -> Iterator[str]:
    """A table in Markdown, and an empty line."""
    yield "| " + " | ".join(headings) + " |"
    yield "|" + "---|" * len(headings)
    for row in rows:
        yield "| " + " | ".join(cell.replace("|", "\\|").replace("\n", " ") for cell in row) + " |"
    yield ""


def first_sentence(text: str | None) -> str:
    """The first paragraph of a docstring on one line, its markup turned into Markdown's."""
    paragraph = inspect.cleandoc(text or "").split("\n\n")[0]
    return " ".join(paragraph.replace("``", "`").split())


def whole(text: str | None) -> str:
    """A docstring on one line."""
    return " ".join(inspect.cleandoc(text or "").replace("``", "`").split())


# --- commands --------------------------------------------------------------------------------------------------------


def _commands() -> Iterator[str]:
    root: Any = typer.main.get_command(app)
    yield INTROS["commands"]
    for name, command in _all_commands(root):
        yield f"## smallhours {name}"
        yield ""
        yield first_sentence(command.callback.__doc__)
        yield ""
        hints = typing.get_type_hints(command.callback)
        rows = [_parameter(parameter, hints) for parameter in command.params]
        yield from grid(("Word or option", "What it is", "If not given"), rows)


def _all_commands(root: Any) -> Iterator[tuple[str, Any]]:
    """Every command with its name; those of a group that are the same function together, their names side by side."""
    for name, command in root.commands.items():
        inner: dict[Any, list[str]] = {}
        for word, one in getattr(command, "commands", {}).items():
            inner.setdefault(one.callback.__wrapped__, []).append(word)
        for words in inner.values():
            yield f"{name} {'|'.join(words)}", command.commands[words[0]]
        if not inner:
            yield name, command


def _parameter(parameter: Any, hints: dict[str, Any]) -> tuple[str, str, str]:
    is_option = isinstance(parameter, typer.core.TyperOption)
    words = "`, `".join([*parameter.opts, *parameter.secondary_opts])
    takes = "" if getattr(parameter, "is_flag", False) else " " + _value(parameter, hints[parameter.name])
    named = f"`{words}{takes}`" if is_option else f"`{_value(parameter, hints[parameter.name])}`"
    return named, parameter.help or "", _default(parameter)


def _value(parameter: Any, hint: Any) -> str:
    choices = _choices(hint)
    if choices and isinstance(parameter, typer.core.TyperOption):
        return "|".join(choices)
    known = parameter.metavar or {"paths": "FILE", "folder": "FOLDER", "name": "NAME"}.get(parameter.name, "VALUE")
    return str(known).strip("[]") + (" ..." if parameter.nargs == -1 else "")


def _choices(hint: Any) -> tuple[str, ...]:
    if typing.get_origin(hint) is typing.Literal:
        return tuple(map(str, typing.get_args(hint)))
    return tuple(choice for inner in typing.get_args(hint) for choice in _choices(inner))


def _default(parameter: Any) -> str:
    if parameter.required:
        return "must be given"
    if isinstance(parameter.show_default, str):
        return parameter.show_default
    if getattr(parameter, "is_flag", False):
        return parameter.opts[0] if parameter.default and parameter.secondary_opts else ""
    return "" if parameter.default in (None, "", ()) else str(parameter.default)


# --- documents and answers -------------------------------------------------------------------------------------------


def _schemas() -> Iterator[str]:
    yield INTROS["schemas"]
    for name, document in schemas.DOCUMENTS.items():
        yield f"## Document: {name}"
        yield ""
        for model in _models(document):
            yield f"### {model.__name__}"
            yield ""
            yield whole(model.__doc__)
            yield ""
            yield from grid(("Field", "In JSON", "Holds", "If not given"), _fields(model))
    yield INTROS["answers"]
    yield from grid(("Schema", "Name in the answer", "What it is"), map(_answer, schemas.ANSWERS.items()))


def _answer(item: tuple[str, type[BaseModel]]) -> tuple[str, str, str]:
    name, model = item
    said = str(model.model_fields["schema_name"].default)
    return f"`smallhours schema {name}-answer`", f"`{said}`", first_sentence(model.__doc__)


def _models(document: type[Document]) -> list[type[Document]]:
    """The document and everything inside it, outermost first."""
    found: list[type[Document]] = [document]
    for model in found:  # grows while it is gone through
        for field in model.model_fields.values():
            found += [inner for inner in _inside(field.annotation) if inner not in found]
    return found


def _inside(annotation: Any) -> Iterator[type[Document]]:
    if isinstance(annotation, type) and issubclass(annotation, Document):
        yield annotation
    for inner in typing.get_args(annotation):
        yield from _inside(inner)


def _fields(model: type[Document]) -> Iterator[tuple[str, str, str, str]]:
    for name, field in model.model_fields.items():
        short = text_name(name)
        suffix = name[len(short) :]
        default = "must be given" if field.is_required() else _written(field.default, suffix)
        yield f"`{short}`", f"`{name}`", _holds(field.annotation, suffix, field.metadata), default


def _written(value: Any, suffix: str) -> str:
    if value is None or value == ():
        return ""
    if isinstance(value, bool):
        return str(value).lower()
    if suffix and isinstance(value, float | int):
        return str(WRITERS[suffix](value))
    if isinstance(value, tuple):
        return ", ".join(map(str, value))
    return f"{value:g}" if isinstance(value, float) else str(value)


def _holds(annotation: Any, suffix: str, metadata: Sequence[Any]) -> str:
    limits = [f"{word} {getattr(m, sign):g}" for m in metadata for sign, word in _LIMITS if hasattr(m, sign)]
    return ", ".join([_kind(annotation, suffix), *limits])


_LIMITS = (("ge", "at least"), ("gt", "more than"), ("le", "at most"), ("lt", "less than"))


def _kind(annotation: Any, suffix: str) -> str:
    origin, inner = typing.get_origin(annotation), typing.get_args(annotation)
    if origin is typing.Literal:
        return " / ".join(f"`{choice}`" for choice in inner)
    if origin in (typing.Union, types.UnionType):
        return " or ".join(_kind(one, suffix) for one in inner if one is not type(None))
    if origin is tuple:
        return "list of " + _kind(inner[0], suffix)
    if origin is typing.Annotated:
        return _kind(inner[0], suffix)
    if isinstance(annotation, type) and issubclass(annotation, Document):
        return f"{annotation.__name__}"
    if suffix:
        return _UNITS[suffix]
    name = str(annotation.__name__)
    return {"str": "text", "int": "whole number", "float": "number", "bool": "true or false"}.get(name, name)


# --- errors ----------------------------------------------------------------------------------------------------------

_ENDINGS = {
    Ending.DONE: "Done.",
    Ending.NEEDS_ATTENTION: "Done, but look at it: an order is late, a check found something wrong or worth a look, a "
    "target temperature cannot be reached, rows were left out.",
    Ending.BAD_INPUT: "Bad input. Nothing was written. The message says what is wrong, where, and what would be right.",
}


def _errors() -> Iterator[str]:
    yield "# Errors and exit codes"
    yield ""
    rows = [(f"`{int(ending)}`", ending.name.lower().replace("_", " "), told) for ending, told in _ENDINGS.items()]
    yield from grid(
        ("Exit code", "Name", "Meaning"), [*rows, ("`130`", "stopped", "Ended by Ctrl-C before it was done.")]
    )
    yield INTROS["errors"]
    found = [cls for _, cls in inspect.getmembers(errors, inspect.isclass) if issubclass(cls, errors.SmallhoursError)]
    found.sort(key=lambda cls: [c.__name__ for c in reversed(cls.__mro__) if issubclass(c, errors.SmallhoursError)])
    rows = [(f"`{cls.__name__}`", f"`{cls.__mro__[1].__name__}`", first_sentence(cls.__doc__)) for cls in found]
    yield from grid(("Class", "Is a", "Meaning"), rows)


# --- rules and findings ----------------------------------------------------------------------------------------------


def planner_rules() -> dict[str, str]:
    """Id -> sentence, of every rule about bread that ties two steps of a plan together."""
    made = [f for _, f in inspect.getmembers(rules, inspect.isfunction) if f.__module__ == rules.__name__]
    shown = [f for f in made if not f.__name__.startswith("_") and f is not rules.all_rules]
    named = {f.__name__: first_sentence(f.__doc__) for f in shown}
    of_pans = (pans.pans_cool_before_they_are_used_again, pans.pans_wait_with_their_lot)
    return named | {f.__name__: first_sentence(f.__doc__) for f in of_pans}


def _planner_rules() -> Iterator[str]:
    yield INTROS["planner_rules"]
    yield from grid(("Rule", "What it says"), [(f"`{name}`", told) for name, told in planner_rules().items()])
    yield INTROS["engine"]
    engine = [(f"`{name}`", first_sentence(rule.__doc__)) for name, rule in ENGINE_RULES.items()]
    yield from grid(("Rule", "What it says"), engine)
    yield INTROS["check"]
    checks = [(f"`{kind}`", first_sentence(rule.__doc__)) for kind, rules in CHECK_RULES.items() for rule in rules]
    yield from grid(("Kind", "What must hold"), checks)
    yield "What the planner prefers, in which order, is in [planning](../models/planning.md)."


class Found(typing.NamedTuple):
    """A place in the code that says a finding: its id, severities, the function around it, what it is told."""

    rule: str
    severities: tuple[str, ...]
    inside: str
    about: str


def findings() -> list[Found]:
    """Every finding the code can say, file by file."""
    found: list[Found] = []
    for path in sorted(SOURCE.rglob("*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        about = first_sentence(ast.get_docstring(tree))
        for function in ast.walk(tree):
            if isinstance(function, ast.FunctionDef):
                found += _said_in(function, about)
    return found


def _said_in(function: ast.FunctionDef, module: str) -> Iterator[Found]:
    for node in ast.walk(function):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "Finding" and node.args:
            severities = [c.value for c in ast.walk(node.args[1]) if isinstance(c, ast.Constant)]
            said = _template(node.args[3])
            about = said if said != "…" else first_sentence(ast.get_docstring(function)) or module
            known = tuple(str(s) for s in severities if s in ("wrong", "warn", "note"))
            yield Found(_template(node.args[0]), known, function.name, about)


def _template(node: ast.expr) -> str:
    """A text in the code, with … for what is filled in."""
    if isinstance(node, ast.Constant):
        return str(node.value)
    if isinstance(node, ast.JoinedStr):
        return "".join(str(v.value) if isinstance(v, ast.Constant) else "…" for v in node.values)
    return "…"


def _findings() -> Iterator[str]:
    yield INTROS["findings"]
    said = findings()
    for title, group in (("The audit: does it add up?", audit.RULES), ("Warnings of the trade", warnings.RULES)):
        yield f"## {title}"
        yield ""
        yield from grid(("Rule", "Says", "What it is about"), [_rule_row(rule, said) for rule in group])
    yield "## When two versions are compared, and when a kitchen or a night is looked at"
    yield ""
    ours = {rule.__name__ for rule in (*audit.RULES, *warnings.RULES)}
    rest: dict[str, Found] = {}
    for one in said:
        if one.rule not in ours:
            rest.setdefault(one.rule, one)
    rows = [(f"`{one.rule}`", ", ".join(one.severities), one.about) for one in rest.values()]
    yield from grid(("Rule", "Says", "What it is about"), rows)


def _rule_row(rule: Callable[..., object], said: Sequence[Found]) -> tuple[str, str, str]:
    severities = dict.fromkeys(s for one in said if one.rule == rule.__name__ for s in one.severities)
    return f"`{rule.__name__}`", ", ".join(severities), whole(rule.__doc__)


# --- sources and tables ----------------------------------------------------------------------------------------------

_KINDS = {
    "read": "read in that place",
    "memory": "from memory, not looked up yet",
    "trade": "common practice of the trade",
    "derived": "worked out from other figures",
    "judgement": "a judgement: no measurement behind it",
}


def _sources() -> Iterator[str]:
    yield INTROS["sources"]
    rows = [(f"`{s.id}`", s.title, s.place, _KINDS[s.kind]) for s in sources().values()]
    yield from grid(("Id", "What", "Where", "How it is known"), rows)


def _tables() -> Iterator[str]:
    yield INTROS["reference_tables"]
    for path in sorted(TABLES.glob("*.csv")):
        yield from _one_table(path.stem)


def _one_table(name: str) -> Iterator[str]:
    held: Table = table(name)
    yield f"## {name}"
    yield ""
    yield f"{held.title}. {held.note} Licence: {held.licence}." + (f" Cite: {held.citation}" if held.citation else "")
    yield ""
    columns = held.columns.values()
    yield from grid(("Column", "Unit", "Plausible", "Source"), [_column(column) for column in columns])
    if len(held.rows) <= MOST_ROWS_SHOWN:
        shown = [column.name for column in columns]
        yield from grid(shown, [[_cell(row[name]) for name in shown] for row in held.rows])
    else:
        yield f"{len(held.rows)} rows, in `src/smallhours/reference/tables/{name}.csv`."
        yield ""


def _column(column: Column) -> tuple[str, str, str, str]:
    spread = column.plausible.items()
    ranges = [f"{low:g} to {high:g}" + ("" if group == "*" else f" ({group})") for group, (low, high) in spread]
    return f"`{column.name}`", column.unit or column.type, "; ".join(ranges), column.source or "by row"


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return ", ".join(map(str, value))
    return f"{value:g}" if isinstance(value, float) else str(value)


def main() -> None:
    """Write every page."""
    for name, text in pages().items():
        (HERE / name).write_text(text, encoding="utf-8", newline="\n")
        sys.stdout.write(f"{HERE / name}\n")


if __name__ == "__main__":
    main()
