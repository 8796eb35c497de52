"""Say what is wrong, or only unusual, with files or with the store; writes nothing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from smallhours.actions.import_documents import FileReport, read_files
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.saving import Sourced, check_against
from smallhours.actions.shelf import Shelf, shelf
from smallhours.actions.tables.headings import TableKind
from smallhours.bakery.finding import Finding
from smallhours.bakery.ingredient import IngredientList
from smallhours.bakery.orders.document import OrderBook


@dataclass(frozen=True)
class CheckDocuments:
    """Files or folders to check against the store; none: the store itself."""

    paths: tuple[Path, ...] = ()
    kind: TableKind | None = None


@dataclass(frozen=True)
class CheckReport:
    """What was found, document by document (``saved`` is never set)."""

    documents: tuple[FileReport, ...]

    @property
    def bad(self) -> bool:
        """Whether something cannot be used."""
        return any(document.bad for document in self.documents)

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Everything the audit and the warnings say."""
        return tuple(finding for document in self.documents for finding in document.findings)


def check_documents(command: CheckDocuments = CheckDocuments(), actor: Actor = BAKER) -> CheckReport:
    """Check. Raises BadInput for a path that is not there, NotAllowed."""
    require(actor, "check")
    held = shelf()
    if command.paths:
        reports, documents = read_files(command.paths, held, command.kind)
    else:
        documents = list(_store_documents(held))
        reports = {item.source: FileReport(item.source, item.source.split(" ")[0]) for item in documents}
    checked = check_against(held, documents)
    return CheckReport(
        tuple(
            FileReport(
                source,
                report.kind,
                report.faults + tuple(checked.faults.get(source, ())),
                report.table,
                checked.findings.get(source, ()),
            )
            for source, report in reports.items()
        )
    )


def _store_documents(held: Shelf) -> Iterator[Sourced]:
    for slug, formula in held.formulas.items():
        yield Sourced(f"formula {slug!r}", formula)
    if held.kitchen is not None:
        yield Sourced(f"kitchen {held.kitchen.id!r}", held.kitchen)
    if held.ingredients != IngredientList():
        yield Sourced("ingredients", held.ingredients)
    if held.orders != OrderBook():
        yield Sourced("orders", held.orders)
