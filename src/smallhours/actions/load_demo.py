"""Put the invented bakery into an empty store."""

from __future__ import annotations

from dataclasses import dataclass
from importlib.resources import as_file, files
from pathlib import Path

from smallhours.actions.clock import Clock, now
from smallhours.actions.import_documents import read_files
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.saving import Saved, check_against, save_checked
from smallhours.actions.shelf import shelf
from smallhours.errors import BadInput, DocumentError
from smallhours.records import queries
from smallhours.records.keeping import Signature


@dataclass(frozen=True)
class LoadDemo:
    """``even_if_filled``: also when something is there; what has the demo's ids is then revised,
    and its orders take the place of all others."""

    even_if_filled: bool = False


def load_demo(command: LoadDemo = LoadDemo(), actor: Actor = BAKER, clock: Clock = now) -> tuple[Saved, ...]:
    """Write every document of the demo bakery.

    Raises BadInput if the store is not empty (unless asked to go on), NotAllowed, DocumentError.
    """
    require(actor, "load demo")
    if not command.even_if_filled and not queries.is_empty():
        raise BadInput("this store already holds a bakery; load the demo into another folder (--home), or force it")
    held = shelf()
    with as_file(files("smallhours") / "demo") as folder:
        reports, documents = read_files([Path(folder)], held)
    faults = [fault for report in reports.values() for fault in report.faults]
    if faults:
        raise DocumentError("the demo bakery", faults)
    checked = check_against(held, documents)
    if checked.faults:
        raise DocumentError("the demo bakery", [fault for some in checked.faults.values() for fault in some])
    return save_checked(documents, checked, Signature(actor.name, clock(), "demo bakery"), "load demo", "replace")
