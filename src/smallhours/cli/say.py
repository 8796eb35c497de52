"""Saying answers: to people as text and tables, to programs as JSON; and ending with the right exit code."""

from __future__ import annotations

import enum
import json
import os
import shlex
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path

import typer
from pydantic import BaseModel
from rich.console import Console
from rich.table import Table
from rich.text import Text

from smallhours.bakery.finding import Finding
from smallhours.errors import DocumentError, SmallhoursError


class Ending(enum.IntEnum):
    """What the exit code says."""

    DONE = 0
    NEEDS_ATTENTION = 1
    BAD_INPUT = 2


_FILE_WIDTH = 160  # of tables in a file or pipe
ERROR_SCHEMA = "smallhours.error/1"
STARTER, STAMP = "start.py", "smallhours-start.json"  # the starter of a checkout, and its mark in what it made
_SEVERITY_WORDS = {"wrong": "wrong", "warn": "look at", "note": "note"}


def typed(words: str = "", home: Path | None = None) -> str:
    """A command line as whoever is at this terminal can type it; ``home``: the store they named, if they did.

    In the environment that start.py made beside itself the command is not on the path: it goes through start.py.
    """
    environment = Path(sys.prefix)
    starter = environment.parent / STARTER
    program = ["smallhours"]
    if (environment / STAMP).is_file() and starter.is_file():
        here = STARTER if Path.cwd() == starter.parent else str(starter)
        program = ["python" if os.name == "nt" else "python3", here]
    named = [] if home is None else ["--home", str(home)]
    return " ".join(word for word in (shlex.join(program), words, shlex.join(named)) if word)


def console() -> Console:
    """Where people read: standard output, made anew so that redirected output is found."""
    if sys.stdout.isatty():
        return Console(highlight=False)
    return Console(highlight=False, width=_FILE_WIDTH, soft_wrap=True)


def aside() -> Console:
    """Where progress and errors go: standard error."""
    return Console(stderr=True, highlight=False, soft_wrap=True)


def give_json(reply: BaseModel) -> None:
    """Print a reply as JSON on standard output."""
    sys.stdout.write(reply.model_dump_json(indent=2) + "\n")


def end(ending: Ending) -> None:
    """End the command with its exit code."""
    raise typer.Exit(int(ending))


def table(title: str, headings: Sequence[str], rows: Iterable[Sequence[str]], numbers: Sequence[int] = ()) -> Table:
    """A plain table; ``numbers``: the columns that hold numbers and stand to the right."""
    made = Table(title=title, title_justify="left", title_style="bold", box=None, pad_edge=False, header_style="dim")
    for index, heading in enumerate(headings):
        made.add_column(heading, justify="right" if index in numbers else "left", overflow="fold")
    for row in rows:
        made.add_row(*(Text(cell) for cell in row))
    return made


def say_findings(out: Console, findings: Iterable[Finding]) -> None:
    """One line a finding."""
    for finding in findings:
        out.print(Text(f"  {_SEVERITY_WORDS[finding.severity]}: {finding}"))


def tell_error(error: SmallhoursError, as_json: bool) -> None:
    """Say what is wrong: every fault on its own line, or as JSON on standard output."""
    lines = str(error).splitlines()
    if as_json:
        faults = (
            [{"where": fault.where, "what": fault.what} for fault in error.faults]
            if isinstance(error, DocumentError)
            else []
        )
        reply = {"schema_name": ERROR_SCHEMA, "error": str(error), "faults": faults}
        sys.stdout.write(json.dumps(reply, ensure_ascii=False, indent=2) + "\n")
    else:
        for line in lines:
            sys.stderr.write(line + "\n")
