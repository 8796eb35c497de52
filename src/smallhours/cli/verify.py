"""The ``verify`` command: what an outsider finds wrong with a plan."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer
from rich.text import Text

from smallhours.cli import replies as r
from smallhours.cli.options import HomeOption, JsonOption, PlannedNightOption, open_home, read_date
from smallhours.cli.say import Ending, console, end, give_json
from smallhours.errors import BadInput

if TYPE_CHECKING:
    from smallhours.actions.verify_plan import Verdict


PlanFile = Annotated[
    Path | None,
    typer.Argument(
        metavar="[PLAN]", help="A plan as plan --json writes it, - for standard input; none: a plan in the store."
    ),
]
KitchenFile = Annotated[
    Path | None, typer.Option("--kitchen", metavar="FILE", help="The kitchen to hold a file's plan against.")
]
FormulaFiles = Annotated[
    list[Path] | None,
    typer.Option("--formulas", metavar="FILE", help="Formulas and ingredients: files or folders; repeat it."),
]
OrdersFile = Annotated[Path | None, typer.Option("--orders", metavar="FILE", help="The order book to hold it against.")]


def add_to(app: typer.Typer) -> None:
    """Add the command."""
    app.command("verify")(verify)


def verify(
    file: PlanFile = None,
    home: HomeOption = None,
    as_json: JsonOption = False,
    night: PlannedNightOption = None,
    kitchen: KitchenFile = None,
    formulas: FormulaFiles = None,
    orders: OrdersFile = None,
) -> None:
    """Say everything that is wrong with a plan, found from the documents alone; writes nothing."""
    from smallhours.actions.verify_plan import STDIN, VerifyFile, VerifyNight, verify_plan

    if file is None:
        if kitchen or formulas or orders:
            raise BadInput("--kitchen, --formulas and --orders go with a plan in a file; the store's plan has its own")
        open_home(home)
        verdict = verify_plan(VerifyNight(read_date(night)))
    else:
        if night is not None:
            raise BadInput("--night names a plan in the store; leave it out, or leave out the file")
        if file != STDIN and not file.is_file():
            raise BadInput(f"{file}: there is no such file")
        verdict = verify_plan(VerifyFile(file, kitchen, tuple(formulas or ()), orders))
    if as_json:
        give_json(_reply(verdict))
    else:
        _say(verdict)
    if verdict.violations:
        end(Ending.NEEDS_ATTENTION)


def _say(verdict: Verdict) -> None:
    out = console()
    for violation in verdict.violations:
        out.print(Text(str(violation)))
    count = len(verdict.violations)
    wrong = {0: "Nothing is", 1: "One thing is"}.get(count, f"{count} things are")
    held = ", ".join(("itself", *verdict.against))
    out.print(Text(f"{wrong} wrong with {verdict.source} (the night to {verdict.plan.night}), held against {held}."))


def _reply(verdict: Verdict) -> r.VerifyReply:
    return r.VerifyReply(
        plan=verdict.source,
        night=verdict.plan.night,
        against=verdict.against,
        sound=not verdict.violations,
        violations=tuple(r.ViolationReply(kind=v.kind, where=v.where, what=v.what) for v in verdict.violations),
    )
