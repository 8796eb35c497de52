"""Hold a plan against itself and its documents, as an outsider: what is wrong with it; writes nothing."""

from __future__ import annotations

import datetime as dt
import sys
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from smallhours.actions.import_documents import files_in
from smallhours.actions.kinds import kind_of_document, read_document
from smallhours.actions.night_papers import papers_of
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.stored_plan import stored_plan
from smallhours.actions.tables.text import decoded
from smallhours.bakery.document import Document
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.join import joined
from smallhours.bakery.ingredient import Ingredient, IngredientList
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.document import OrderBook
from smallhours.bakery.orders.products import finder
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput
from smallhours.planning.check.case import Documents
from smallhours.planning.check.reading import LARGEST_BYTES, read_plan, too_large
from smallhours.planning.check.violation import Violation
from smallhours.planning.check.whole import violations
from smallhours.planning.plan import Plan
from smallhours.records import queries

STDIN = Path("-")
D = TypeVar("D", bound=Document)


@dataclass(frozen=True)
class VerifyFile:
    """A plan in a JSON file (``-``: standard input) and files of the documents to hold it against, as far as given.

    ``formulas``: files or folders, of which formulas and ingredients are read.
    """

    plan: Path
    kitchen: Path | None = None
    formulas: tuple[Path, ...] = ()
    orders: Path | None = None


@dataclass(frozen=True)
class VerifyNight:
    """The stored plan of a night (the newest of all, if not said), held against the documents it was made from."""

    night: dt.date | None = None


@dataclass(frozen=True)
class Verdict:
    """What was found. ``source``: which plan; ``against``: what it was held against besides itself."""

    source: str
    plan: Plan
    against: tuple[str, ...]
    violations: tuple[Violation, ...]


def verify_plan(command: VerifyFile | VerifyNight = VerifyNight(), actor: Actor = BAKER) -> Verdict:
    """Verify a plan. A file needs no open store; a stored plan is held against the order book as it is now.

    Raises DocumentError for a file that is no plan or no such document, BadInput for one that cannot be read, NotFound
    if there is no such plan, NotAllowed.
    """
    require(actor, "look")
    if isinstance(command, VerifyNight):
        papers = papers_of(stored_plan(queries.kept_plan(command.night)))
        documents = Documents(papers.kitchen, papers.formulas, queries.order_book(), papers.pantry)
        return _verdict(f"plan {papers.stored.id}", papers.plan, documents)
    kitchen = None if command.kitchen is None else _document(command.kitchen, Kitchen, "--kitchen")
    orders = None if command.orders is None else _document(command.orders, OrderBook, "--orders")
    formulas, pantry = _formulas(command.formulas)
    plan = read_plan(_bytes(command.plan), str(command.plan))
    return _verdict(str(command.plan), plan, Documents(kitchen, formulas or None, orders, pantry))


def _verdict(source: str, plan: Plan, documents: Documents) -> Verdict:
    against = []
    if documents.kitchen is not None:
        against.append(f"kitchen {documents.kitchen.id!r}")
    if documents.formulas is not None:
        against.append(f"{len(documents.formulas)} formulas")
    if documents.orders is not None:
        against.append("the order book")
    return Verdict(source, plan, tuple(against), violations(plan, documents))


def _formulas(paths: Iterable[Path]) -> tuple[dict[str, Formula], Pantry]:
    """Formulas by id with their bases joined in, and their ingredients; what else lies in a folder is left alone."""
    found: dict[str, Formula] = {}
    own: list[Ingredient] = []
    for path in paths:
        for file in files_in([path]):
            if path.is_dir() and file.suffix.lower() not in (".toml", ".json"):
                continue
            document = _read(file)
            if isinstance(document, Formula):
                found[document.id] = document
            elif isinstance(document, IngredientList):
                own += document.ingredients
            elif not path.is_dir():
                raise BadInput(f"{file}: is a document of kind {kind_of_document(document)}; --formulas takes formulas")
    return {name: joined(formula, finder(found)) for name, formula in found.items()}, Pantry(own)


def _document(file: Path, kind: type[D], option: str) -> D:
    document = _read(file)
    if not isinstance(document, kind):
        wanted = "a kitchen" if kind is Kitchen else "orders"
        raise BadInput(f"{file}: is a document of kind {kind_of_document(document)}; {option} takes {wanted}")
    return document


def _read(file: Path) -> Document:
    return read_document(decoded(_bytes(file), str(file)).text, str(file))


def _bytes(file: Path) -> bytes:
    """What is in a file, if it is not too large to be a plan. Raises BadInput."""
    if file == STDIN:
        data = sys.stdin.buffer.read(LARGEST_BYTES + 1)
        if len(data) > LARGEST_BYTES:
            raise BadInput(f"standard input: is more than the {LARGEST_BYTES / 1e6:.0f} MB that a plan has at most")
        return data
    try:
        if file.is_file() and file.stat().st_size > LARGEST_BYTES:
            raise BadInput(f"{file}: {too_large(file.stat().st_size)}")
        return file.read_bytes()
    except OSError as error:
        raise BadInput(f"{file}: cannot be read ({error.strerror})") from None
