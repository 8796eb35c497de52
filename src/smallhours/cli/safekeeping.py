"""Commands that keep a store safe: ``backup`` and ``restore``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer
from rich.text import Text

from smallhours.cli import people_replies as r
from smallhours.cli.options import HomeOption, JsonOption, open_home
from smallhours.cli.say import console, give_json


def add_to(app: typer.Typer) -> None:
    """Add the commands."""
    app.command("backup")(backup)
    app.command("restore")(restore)


def backup(
    file: Annotated[Path, typer.Argument(help="The file to write, such as monday.zip.")],
    home: HomeOption = None,
    as_json: JsonOption = False,
    overwrite: Annotated[bool, typer.Option("--overwrite", help="Also if the file is already there.")] = False,
) -> None:
    """Write the whole store into one file, also while it is in use."""
    open_home(home)
    from smallhours.actions.back_up import BackUp, back_up

    made = back_up(BackUp(file, overwrite))
    if as_json:
        contents = tuple(made.files)
        give_json(r.BackupReply(file=str(file), made_at=made.made_at, version=made.version, contents=contents))
        return
    console().print(Text(f"Everything is in {file} ({file.expanduser().stat().st_size / 1e6:.1f} MB)."))


def restore(
    file: Annotated[Path, typer.Argument(help="A file that the command backup (or the button) wrote.")],
    home: HomeOption = None,
    as_json: JsonOption = False,
    replace: Annotated[
        bool, typer.Option("--replace", help="Also if a store is there; a copy of it is kept in its backups folder.")
    ] = False,
) -> None:
    """Bring a store back from a backup; everything is checked before anything is changed."""
    from smallhours.actions.back_up import Restore
    from smallhours.actions.back_up import restore as act
    from smallhours.records.home import default_home

    folder = (default_home() if home is None else home).expanduser().resolve()
    made = act(Restore(file, folder, replace))
    if as_json:
        aside = None if made.aside is None else str(made.aside)
        backup = made.backup
        give_json(r.RestoreReply(home=str(folder), made_at=backup.made_at, version=backup.version, aside=aside))
        return
    console().print(Text(f"The store in {folder} is as it was on {made.backup.made_at:%Y-%m-%d %H:%M} UTC."))
    if made.aside is not None:
        console().print(Text(f"What was there before is in {made.aside}."))
