"""The ``smallhours`` command."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from smallhours import __version__
from smallhours.cli import (
    ask,
    days,
    documents,
    forecast,
    formulas,
    liquid,
    night,
    odds,
    pages,
    people,
    replan,
    safekeeping,
    schema,
    verify,
    what_if,
)
from smallhours.cli.say import Ending, aside, tell_error, typed
from smallhours.errors import SmallhoursError

app = typer.Typer(
    name="smallhours",
    help="A dough clock: what to weigh, how cold the liquid, when each dough is ready, who does what where.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)
for group in (
    documents,
    formulas,
    liquid,
    forecast,
    ask,
    night,
    days,
    odds,
    replan,
    what_if,
    pages,
    people,
    safekeeping,
    schema,
    verify,
):
    group.add_to(app)


def _say_version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"smallhours {__version__}")
        raise typer.Exit


@app.callback()
def _program(
    _version: Annotated[
        bool, typer.Option("--version", help="Say the version and end.", callback=_say_version, is_eager=True)
    ] = False,
) -> None:
    """Options of the program itself."""


def run(arguments: list[str] | None = None) -> None:
    """Run a command line; ends the process with its exit code (0 done, 1 needs attention, 2 bad input)."""
    words = sys.argv[1:] if arguments is None else arguments
    try:
        app(args=words, prog_name=typed())
    except SmallhoursError as error:
        tell_error(error, "--json" in words)
        sys.exit(int(Ending.BAD_INPUT))
    except KeyboardInterrupt:
        aside().print("stopped")
        sys.exit(130)
