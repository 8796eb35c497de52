"""Commands that move documents: ``demo``, ``import``, ``export``, ``check``."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal

import typer
from rich.console import Console
from rich.text import Text

from smallhours.cli import replies as r
from smallhours.cli.options import HomeOption, JsonOption, open_home
from smallhours.cli.say import Ending, console, end, give_json, say_findings, table, typed

if TYPE_CHECKING:
    from smallhours.actions.import_documents import FileReport, ImportReport
    from smallhours.actions.saving import Saved

KindOption = Annotated[
    Literal["orders", "prices", "ingredients"] | None,
    typer.Option("--kind", help="What a table holds, where its headings leave it open."),
]


def add_to(app: typer.Typer) -> None:
    """Add the commands."""
    app.command("demo")(demo)
    app.command("import")(import_)
    app.command("export")(export)
    app.command("check")(check)


def demo(
    home: HomeOption = None,
    as_json: JsonOption = False,
    force: Annotated[bool, typer.Option("--force", help="Also into a store that is not empty.")] = False,
) -> None:
    """Load the invented bakery into an empty store."""
    folder = open_home(home)
    from smallhours.actions.load_demo import LoadDemo, load_demo

    saved = load_demo(LoadDemo(even_if_filled=force))
    if as_json:
        give_json(r.ImportReply(home=str(folder), refused=False, files=tuple(_saved(one) for one in saved)))
        return
    out = console()
    formulas = sum(one.kind == "formula" for one in saved)
    out.print(f"The invented bakery is in {folder}: {formulas} formulas, a kitchen, a week of orders, ingredients.")
    out.print(Text(f"Next: {typed('plan', home)}"))


def import_(
    paths: Annotated[list[Path], typer.Argument(help="TOML, JSON, CSV or XLSX files, or folders of them.")],
    home: HomeOption = None,
    as_json: JsonOption = False,
    only_good: Annotated[
        bool, typer.Option("--only-good", help="Leave out bad files and rows instead of refusing everything.")
    ] = False,
    kind: KindOption = None,
    replace_orders: Annotated[
        bool, typer.Option("--replace-orders", help="These orders take the place of all that are there.")
    ] = False,
    reason: Annotated[str, typer.Option("--reason", help="Why, for the log.")] = "",
) -> None:
    """Read documents and tables into the store; nothing is written if anything is bad."""
    folder = open_home(home)
    from smallhours.actions.import_documents import ImportDocuments, import_documents

    command = ImportDocuments(tuple(paths), only_good, kind, "replace" if replace_orders else "add", reason)
    report = import_documents(command)
    if as_json:
        files = tuple(_file(one) for one in report.files)
        give_json(r.ImportReply(home=str(folder), refused=report.refused, files=files))
    else:
        out = console()
        _say_files(out, report.files)
        out.print(_what_was_written(report))
    if report.refused:
        end(Ending.BAD_INPUT)
    _end_by(any(file.bad for file in report.files), [f.severity for f in report.findings])


def export(
    folder: Annotated[Path, typer.Argument(help="The folder to write into.")],
    home: HomeOption = None,
    as_json: JsonOption = False,
    only: Annotated[
        str | None, typer.Option("--only", help="One document: a formula's id, kitchen, orders or ingredients.")
    ] = None,
    overwrite: Annotated[bool, typer.Option("--overwrite", help="Also files that are already there.")] = False,
) -> None:
    """Write the store's documents as TOML files."""
    open_home(home)
    from smallhours.actions.export_documents import ExportDocuments, export_documents

    written = export_documents(ExportDocuments(folder, only, overwrite))
    if as_json:
        give_json(r.ExportReply(files=tuple(str(path) for path in written)))
        return
    for path in written:
        console().print(Text(str(path)))


def check(
    paths: Annotated[list[Path] | None, typer.Argument(help="Files or folders; none: the store itself.")] = None,
    home: HomeOption = None,
    as_json: JsonOption = False,
    kind: KindOption = None,
) -> None:
    """Say what does not add up in files or in the store; writes nothing."""
    open_home(home)
    from smallhours.actions.check_documents import CheckDocuments, check_documents

    report = check_documents(CheckDocuments(tuple(paths or ()), kind))
    if as_json:
        give_json(r.CheckReply(bad=report.bad, documents=tuple(_file(one) for one in report.documents)))
    else:
        out = console()
        _say_files(out, report.documents)
        if not report.bad and not report.findings:
            out.print("Everything adds up.")
    if report.bad:
        end(Ending.BAD_INPUT)
    _end_by(False, [f.severity for f in report.findings])


def _what_was_written(report: ImportReport) -> str:
    if report.refused:
        return "Nothing was written."
    saved = [file.saved for file in report.files if file.saved is not None]
    if not any(one.changed for one in saved):
        return "Nothing was written: everything in it is in the store already."
    old = sum(not one.changed for one in saved)
    return f"Written; {old} of {len(saved)} documents said nothing new." if old else "Written."


def _end_by(bad: bool, severities: Sequence[str]) -> None:
    if bad or any(severity in ("wrong", "warn") for severity in severities):
        end(Ending.NEEDS_ATTENTION)


def _say_files(out: Console, files: Sequence[FileReport]) -> None:
    for file in files:
        if not (file.bad or file.findings or file.table or file.saved):
            continue
        state = ""
        if file.saved is not None:
            number = f" (revision {file.saved.number})" if file.saved.number else ""
            state = f": written{number}" if file.saved.changed else ": says nothing new"
        out.print(Text(f"{file.source} [{file.kind or 'not read'}]{state}"))
        for fault in file.faults:
            out.print(Text(f"  wrong: {fault}"))
        if file.table is not None:
            for note in file.table.notes:
                out.print(Text(f"  note: {note}"))
            rows = [
                (str(row.number), "; ".join(f"{k} {v}" for k, v in row.values.items()), row.problem or "")
                for row in file.table.rows
            ]
            out.print(table("", ("row", "understood", "what is wrong"), rows, numbers=(0,)))
        say_findings(out, file.findings)


def _file(file: FileReport) -> r.FileReply:
    rows = file.table.rows if file.table else ()
    return r.FileReply(
        source=file.source,
        kind=file.kind,
        faults=tuple(r.Wrong(where=f.where, what=f.what) for f in file.faults),
        rows=tuple(r.RowReply(row=x.number, understood=dict(x.values), problem=x.problem) for x in rows),
        assumed=file.table.notes if file.table else (),
        findings=tuple(r.Said.of(finding) for finding in file.findings),
        written=file.saved is not None,
        changed=bool(file.saved and file.saved.changed),
        revision=file.saved.number if file.saved else None,
    )


def _saved(saved: Saved) -> r.FileReply:
    return r.FileReply(
        source=saved.source,
        kind=saved.kind,
        findings=tuple(r.Said.of(finding) for finding in saved.findings),
        written=True,
        changed=saved.changed,
        revision=saved.number,
    )
