"""Commands that put a plan before people's eyes: ``sheets``, ``open``, ``start``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer
from rich.text import Text

from smallhours.cli import replies as r
from smallhours.cli.night import DEFAULT_LIMIT_S, LimitOption, make_plan, say_plan, sheets_folder
from smallhours.cli.options import HomeOption, JsonOption, PlannedNightOption, open_home, read_date
from smallhours.cli.say import Ending, aside, console, end, give_json, typed
from smallhours.errors import BadInput

if TYPE_CHECKING:
    from smallhours.actions.stored_plan import StoredPlan

DEFAULT_PORT = 8350
PortOption = Annotated[int, typer.Option("--port", help="The port on this machine; the next free one if it is taken.")]


def add_to(app: typer.Typer) -> None:
    """Add the commands."""
    app.command("sheets")(sheets)
    app.command("open")(open_)
    app.command("start")(start)


def sheets(
    folder: Annotated[Path | None, typer.Argument(help="Where to; none: beside the store, by night.")] = None,
    home: HomeOption = None,
    as_json: JsonOption = False,
    night: PlannedNightOption = None,
    lang: Annotated[Literal["en", "es"], typer.Option("--lang", help="Language.")] = "en",
    paper: Annotated[Literal["a4", "letter"], typer.Option("--paper", help="Paper.")] = "a4",
    only: Annotated[
        list[str] | None, typer.Option("--only", help="weigh-up, bench, oven or night; can be given several times.")
    ] = None,
) -> None:
    """Print the sheets of the last plan as PDF: weigh-up, bench, oven list, night overview."""
    store = open_home(home)
    from smallhours.actions.night_papers import NightPapersOf, night_papers
    from smallhours.sheets.papers import Papers
    from smallhours.sheets.render import SHEETS, render

    unknown = set(only or ()) - set(SHEETS)
    if unknown:
        raise BadInput(f"--only {', '.join(sorted(unknown))}: is no sheet; there are: {', '.join(SHEETS)}")
    found = night_papers(NightPapersOf(read_date(night)))
    target = folder or sheets_folder(store, found.plan.night)
    papers = Papers(found.plan, found.formulas, found.kitchen, found.pantry)
    files = render(papers, which=set(only or SHEETS), paper=paper, lang=lang)
    written = _write_all(target, files)
    if as_json:
        names = tuple(str(path) for path in written)
        give_json(r.SheetsReply(plan=found.stored.id, night=found.plan.night, language=lang, paper=paper, files=names))
        return
    for path in written:
        console().print(Text(str(path)))


def _write_all(folder: Path, files: dict[str, bytes]) -> list[Path]:
    """Write whole files, each in one step, so that a reader never finds half of one."""
    written = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, data in files.items():
            part = folder / f"{name}.part"
            part.write_bytes(data)
            part.replace(folder / name)
            written.append(folder / name)
    except OSError as error:
        raise BadInput(f"{folder}: cannot be written ({error.strerror}); name another folder") from None
    return written


def open_(
    home: HomeOption = None,
    as_json: JsonOption = False,
    port: PortOption = DEFAULT_PORT,
    lan: Annotated[bool, typer.Option("--lan", help="Serve the local network too, with TLS.")] = False,
    name: Annotated[
        list[str] | None, typer.Option("--name", help="With --lan: a further name or address of this machine.")
    ] = None,
    certificate: Annotated[
        Path | None, typer.Option("--certificate", help="With --lan: a certificate of your own (PEM).")
    ] = None,
    key: Annotated[Path | None, typer.Option("--key", help="The key of the certificate (PEM).")] = None,
) -> None:
    """Show the pages in the browser of this machine, or with --lan of every tablet in the house, until Ctrl-C."""
    store = open_home(home)
    if not lan and (name or certificate or key):
        raise BadInput("--name, --certificate and --key are for the local network; say --lan too")
    _serve(store, port, as_json, home, (tuple(name or ()), certificate, key) if lan else None)


def start(
    home: HomeOption = None,
    as_json: JsonOption = False,
    port: PortOption = DEFAULT_PORT,
    limit: LimitOption = DEFAULT_LIMIT_S,
    serve: Annotated[bool, typer.Option("--serve/--no-serve", help="Then show the pages.")] = True,
) -> None:
    """Load the invented bakery if the store is empty, plan the coming night, print the plan, show the pages.

    A plan that nothing has overtaken since (formulas, kitchen, ingredients, that day's orders) is shown as it is.
    """
    store = open_home(home)
    from smallhours.actions.load_demo import load_demo
    from smallhours.records import queries

    if queries.is_empty():
        aside().print("The store is empty: loading the invented bakery.")
        load_demo()
    from smallhours.actions.plan_at_hand import plan_at_hand

    stored = plan_at_hand() or make_plan(None, limit)
    if as_json:
        give_json(stored.plan)
    else:
        say_plan(console(), stored.plan)
        aside().print(Text(f"The store is {store}. The sheets: {typed('sheets', home)}"))
    if serve:
        _serve(store, port, as_json=False, named=home)
    _end(stored)


def _end(stored: StoredPlan) -> None:
    if stored.late:
        end(Ending.NEEDS_ATTENTION)


def _serve(
    home: Path,
    port: int,
    as_json: bool,
    named: Path | None,
    lan: tuple[tuple[str, ...], Path | None, Path | None] | None = None,
) -> None:
    from smallhours.web.serve import Commands, Lan, Ready, serve  # the server is slow to import

    def on_ready(ready: Ready) -> None:
        if as_json:
            root = None if ready.root_file is None else str(ready.root_file)
            give_json(
                r.OpenReply(
                    address=ready.address, home=str(home), root_certificate=root, fingerprint=ready.fingerprint or None
                )
            )
            return
        where = "in the local network" if lan else "only on this machine"
        console().print(Text(f"The pages are at {ready.address} ({where}). Ctrl-C ends."))
        if ready.root_file is not None:
            console().print(Text(f"Tablets have to trust this root once: {ready.address}certificate/"))
            console().print(Text(f"Its SHA-256 fingerprint: {ready.fingerprint}"))

    if not 1 <= port <= 65535:
        raise BadInput(f"--port {port}: a port is from 1 to 65535")
    commands = Commands(typed("plan", named), typed("restore FILE --replace", named))
    serve(home, port, on_ready=on_ready, commands=commands, lan=Lan(*lan) if lan else None)
