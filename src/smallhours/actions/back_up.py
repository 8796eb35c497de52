"""Take a backup of the store, and bring a store back from one."""

from __future__ import annotations

import os
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import IO

from smallhours.actions.clock import Clock, now
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.errors import BadInput
from smallhours.records import keeping
from smallhours.records.backup import BackedUp, restore_backup, write_backup
from smallhours.records.home import open_folder
from smallhours.records.setup import open_store

ENDING = ".zip"


@dataclass(frozen=True)
class BackUp:
    """``file``: where to; ``overwrite``: also if it is there."""

    file: Path
    overwrite: bool = False


@dataclass(frozen=True)
class Restore:
    """``file``: the backup; ``home``: the folder of the store; ``replace``: also if a store is there."""

    file: Path
    home: Path
    replace: bool = False


@dataclass(frozen=True)
class Restored:
    """What the backup held, and the copy of the store that was there before (None: none was)."""

    backup: BackedUp
    aside: Path | None


def back_up_to(out: IO[bytes], actor: Actor = BAKER, clock: Clock = now) -> BackedUp:
    """Write a backup of the open store to an open file; the log says who took it. Raises BadInput, NotAllowed."""
    require(actor, "back up")
    at = clock()
    made = write_backup(open_folder(), out, at)
    keeping.write_log(keeping.Done("back up", "store"), keeping.Signature(actor.name, at))
    return made


def back_up(command: BackUp, actor: Actor = BAKER, clock: Clock = now) -> BackedUp:
    """Write a backup of the open store, readable by its owner alone; nothing half written stands under its name.

    Raises BadInput if the file is there or cannot be written, NotAllowed.
    """
    require(actor, "back up")
    file = command.file.expanduser()
    if file.exists() and not command.overwrite:
        raise BadInput(f"{file}: is already there; name another file, or say --overwrite")
    try:
        handle, part = tempfile.mkstemp(prefix=f"{file.name}.", suffix=".part", dir=file.parent)
    except OSError as error:
        raise BadInput(f"{file}: cannot be written ({error.strerror}); name another place") from None
    try:
        with os.fdopen(handle, "w+b") as out:
            made = back_up_to(out, actor, clock)
        os.replace(part, file)
    except BaseException:
        Path(part).unlink(missing_ok=True)
        raise
    return made


def restore(command: Restore, actor: Actor = BAKER, clock: Clock = now) -> Restored:
    """Bring a store back to what the backup holds, and open it. What was there is kept in its ``backups`` folder.

    Raises BadInput if the file is no sound backup, is of a newer version, or a store is there; then nothing is
    changed. NotAllowed.
    """
    require(actor, "restore")
    made, aside = restore_backup(command.file.expanduser(), command.home, command.replace)
    open_store(command.home)
    details = {
        "made_at": made.made_at.isoformat(),
        "version": made.version,
        "aside": None if aside is None else aside.name,
    }
    keeping.write_log(keeping.Done("restore", "store", details=details), keeping.Signature(actor.name, clock()))
    return Restored(made, aside)
