"""Read files (formulas, kitchens, orders, ingredients; TOML, JSON, CSV, XLSX) and write what they hold, all or none."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from smallhours.actions.clock import Clock, now
from smallhours.actions.kinds import Kind, kind_of_document, read_document
from smallhours.actions.permissions import BAKER, Actor, Verb, require
from smallhours.actions.saving import OrdersMode, Saved, Sourced, check_against, save_checked
from smallhours.actions.shelf import Shelf, shelf
from smallhours.actions.tables.headings import TableKind, loosened
from smallhours.actions.tables.read import ReadTable, read_table
from smallhours.actions.tables.row import Names
from smallhours.actions.tables.text import MOST_BYTES, decoded
from smallhours.bakery.finding import Finding
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.ingredient import IngredientList
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput, DocumentError, Fault
from smallhours.records.keeping import Signature

DOCUMENT_ENDINGS = (".toml", ".json")
TABLE_ENDINGS = (".csv", ".tsv", ".txt", ".xlsx")
SAVING: Mapping[Kind, Verb] = {
    "formula": "save formula",
    "kitchen": "save kitchen",
    "orders": "save orders",
    "ingredients": "save ingredients",
}
"""What whoever imports a document has to be allowed besides importing."""


@dataclass(frozen=True)
class ImportDocuments:
    """Files or folders to read. ``only_good``: leave out bad files and bad rows instead of refusing everything.

    ``kind``: what tables hold, where their headings leave it open. ``orders_mode``: see SaveOrders.
    """

    paths: tuple[Path, ...]
    only_good: bool = False
    kind: TableKind | None = None
    orders_mode: OrdersMode = "add"
    reason: str = ""


@dataclass(frozen=True)
class FileReport:
    """What became of one file: its faults, its rows (tables), what the audit says, what was written."""

    source: str
    kind: str | None
    faults: tuple[Fault, ...] = ()
    table: ReadTable | None = None
    findings: tuple[Finding, ...] = ()
    saved: Saved | None = None

    @property
    def bad(self) -> bool:
        """Whether something in it cannot be used."""
        return bool(self.faults or (self.table and self.table.bad_rows))


@dataclass(frozen=True)
class ImportReport:
    """What became of all files. ``refused``: something was bad, and nothing was written."""

    files: tuple[FileReport, ...]
    refused: bool

    @property
    def findings(self) -> tuple[Finding, ...]:
        """Everything the audit says."""
        return tuple(finding for file in self.files for finding in file.findings)


def import_documents(command: ImportDocuments, actor: Actor = BAKER, clock: Clock = now) -> ImportReport:
    """Read the files, check them with one another and the store, and write them in one transaction.

    Bad input is in the report. Raises BadInput if a path is not there or holds no file to read, NotAllowed.
    """
    require(actor, "import")
    signature = Signature(actor.name, clock(), command.reason)
    held = shelf()
    reports, documents = read_files(command.paths, held, command.kind)
    for item in documents:
        require(actor, SAVING[kind_of_document(item.document)])
    checked = check_against(held, documents)
    while checked.faults and command.only_good:  # leaving one out may leave another without its base
        documents = [item for item in documents if item.source not in checked.faults]
        reports = {name: _with_faults(report, checked.faults) for name, report in reports.items()}
        checked = check_against(held, documents)
    reports = {
        name: _with_findings(_with_faults(report, checked.faults), checked.findings) for name, report in reports.items()
    }
    bad = any(report.bad for report in reports.values())
    if bad and not command.only_good:
        return ImportReport(tuple(reports.values()), refused=True)
    saved = save_checked(documents, checked, signature, "import", command.orders_mode)
    by_source = {one.source: one for one in saved}
    files = tuple(_with_saved(report, by_source) for report in reports.values())
    return ImportReport(files, refused=bad and not saved)


def read_files(
    paths: Iterable[Path], held: Shelf, kind: TableKind | None = None
) -> tuple[dict[str, FileReport], list[Sourced]]:
    """Every file's report so far and the documents that could be read. Raises BadInput for a path that is not there."""
    reports: dict[str, FileReport] = {}
    documents: list[Sourced] = []
    tables: list[Path] = []
    for file in files_in(paths):
        if file.suffix.lower() in TABLE_ENDINGS:
            tables.append(file)  # read last: their rows name formulas and ingredients of the other files
            continue
        source = str(file)
        try:
            document = read_document(decoded(_bytes(file), source).text, source)
        except DocumentError as error:
            reports[source] = FileReport(source, None, error.faults)
            continue
        except BadInput as error:
            reports[source] = FileReport(source, None, (Fault("", str(error).removeprefix(f"{source}: ")),))
            continue
        reports[source] = FileReport(source, kind_of_document(document))
        documents.append(Sourced(source, document))
    names = _names(held, documents) if tables else Names()
    for file in tables:
        report, item = _read_table(file, names, kind)
        reports[report.source] = report
        documents += [item] if item else []
    return reports, documents


def files_in(paths: Iterable[Path]) -> Iterator[Path]:
    """The files named, and in folders all whose ending is known, in order. Raises BadInput."""
    for path in paths:
        if path.is_dir():
            inside = sorted(
                file
                for file in path.rglob("*")
                if file.is_file() and file.suffix.lower() in (*DOCUMENT_ENDINGS, *TABLE_ENDINGS)
            )
            if not inside:
                raise BadInput(f"{path}: holds no TOML, JSON, CSV or XLSX file")
            yield from inside
        elif path.is_file():
            if path.suffix.lower() not in (*DOCUMENT_ENDINGS, *TABLE_ENDINGS):
                raise BadInput(f"{path}: its ending says neither TOML, JSON, CSV nor XLSX")
            yield path
        else:
            raise BadInput(f"{path}: there is no such file or folder")


def _bytes(file: Path) -> bytes:
    try:
        if file.stat().st_size > MOST_BYTES:
            raise BadInput(
                f"{file}: {file.stat().st_size / 1e6:.1f} MB is too large (at most {MOST_BYTES / 1e6:.0f} MB)"
            )
        return file.read_bytes()
    except OSError as error:
        raise BadInput(f"{file}: cannot be read ({error.strerror})") from None


def _read_table(file: Path, names: Names, kind: TableKind | None) -> tuple[FileReport, Sourced | None]:
    source = str(file)
    try:
        table = read_table(_bytes(file), source, names, kind)
    except BadInput as error:
        return FileReport(source, None, (Fault("", str(error).removeprefix(f"{source}: ")),)), None
    report = FileReport(source, "orders" if table.kind == "orders" else "ingredients", table=table)
    if not table.items:
        return report, None
    return report, Sourced(source, table.order_book() if table.kind == "orders" else table.ingredient_list())


def _names(held: Shelf, documents: Iterable[Sourced]) -> Names:
    """What rows of tables may name: formulas and ingredients by id and by name, those of the same import too."""
    formulas = {**held.formulas}
    own = {one.id: one for one in held.ingredients.ingredients}
    for item in documents:
        if isinstance(item.document, Formula):
            formulas[item.document.id] = item.document
        if isinstance(item.document, IngredientList):
            own |= {one.id: one for one in item.document.ingredients}
    products = {loosened(formula.name): slug for slug, formula in formulas.items()}
    products |= {loosened(slug): slug for slug in formulas}
    pantry = Pantry(own.values())
    ingredients: dict[str, str] = {}
    for key in pantry.keys():  # noqa: SIM118  (a pantry is no mapping)
        stuff = pantry.find(key)
        for name in (key, stuff.name, stuff.name_es):
            ingredients.setdefault(loosened(name), key)
    return Names(products, ingredients)


def _with_faults(report: FileReport, faults: Mapping[str, tuple[Fault, ...]]) -> FileReport:
    more = faults.get(report.source, ())
    return replace(report, faults=report.faults + more) if more else report


def _with_findings(report: FileReport, findings: Mapping[str, tuple[Finding, ...]]) -> FileReport:
    return replace(report, findings=findings.get(report.source, ()))


def _with_saved(report: FileReport, saved: Mapping[str, Saved]) -> FileReport:
    return replace(report, saved=saved.get(report.source))
