"""What all saves share: check documents against the store and one another, then write and log them together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal

from django.db import transaction

from smallhours.actions.kinds import Kind, kind_of_document
from smallhours.actions.shelf import Shelf
from smallhours.actions.soundness import (
    formula_faults,
    formula_findings,
    ingredient_faults,
    kitchen_findings,
    order_faults,
)
from smallhours.bakery.document import Document
from smallhours.bakery.finding import Finding
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.ingredient import IngredientList
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.document import OrderBook
from smallhours.bakery.pantry import Pantry
from smallhours.errors import DocumentError, Fault
from smallhours.records.keeping import Done, Signature, add_prices, keep, keep_orders, write_log
from smallhours.records.queries import order_book

OrdersMode = Literal["add", "replace"]


@dataclass(frozen=True)
class Sourced:
    """A document and where it came from (a file, a page)."""

    source: str
    document: Document


@dataclass(frozen=True)
class Saved:
    """What became of one document. ``number``: its revision (formulas and kitchens); ``changed``: False if it said
    nothing new; ``findings``: what the audit and the trade's warnings say of it."""

    source: str
    kind: Kind
    slug: str
    before: int | None
    number: int | None
    changed: bool
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class Checked:
    """Documents against the store: faults by source (empty: all can be written) and findings by source."""

    faults: Mapping[str, tuple[Fault, ...]]
    findings: Mapping[str, tuple[Finding, ...]] = field(default_factory=dict)


def check_against(shelf: Shelf, documents: Sequence[Sourced]) -> Checked:
    """Faults and findings of documents as if all of them were written to the store together."""
    formulas = {**shelf.formulas}
    own = {one.id: one for one in shelf.ingredients.ingredients}
    for item in documents:
        if isinstance(item.document, Formula):
            formulas[item.document.id] = item.document
        if isinstance(item.document, IngredientList):
            own |= {one.id: one for one in item.document.ingredients}
    pantry = Pantry(own.values())
    faults: dict[str, tuple[Fault, ...]] = {}
    findings: dict[str, tuple[Finding, ...]] = {}
    for item in documents:
        found = tuple(_faults(item.document, formulas, pantry))
        if found:
            faults[item.source] = faults.get(item.source, ()) + found
        elif isinstance(item.document, Formula):
            findings[item.source] = formula_findings(item.document, formulas, pantry)
        elif isinstance(item.document, Kitchen):
            findings[item.source] = tuple(kitchen_findings(item.document, formulas))
    return Checked(faults, findings)


def save_checked(
    documents: Sequence[Sourced], checked: Checked, signature: Signature, verb: str, orders_mode: OrdersMode
) -> tuple[Saved, ...]:
    """Write documents that were checked, with their lines of the log, all or none."""
    with transaction.atomic():
        return tuple(
            _write(item, checked.findings.get(item.source, ()), signature, verb, orders_mode) for item in documents
        )


def save_one(
    shelf: Shelf, document: Document, source: str, signature: Signature, orders_mode: OrdersMode = "add"
) -> Saved:
    """Check and write one document. Raises DocumentError with every fault; nothing is written then."""
    item = Sourced(source, document)
    checked = check_against(shelf, [item])
    if checked.faults:
        raise DocumentError(source, checked.faults[source])
    return save_checked([item], checked, signature, "save", orders_mode)[0]


def _faults(document: Document, formulas: Mapping[str, Formula], pantry: Pantry) -> tuple[Fault, ...]:
    if isinstance(document, Formula):
        return tuple(formula_faults(document, formulas, pantry))
    if isinstance(document, OrderBook):
        return tuple(order_faults(document, formulas, pantry))
    if isinstance(document, IngredientList):
        return tuple(ingredient_faults(document, pantry))
    return ()


def _write(
    item: Sourced, findings: tuple[Finding, ...], signature: Signature, verb: str, orders_mode: OrdersMode
) -> Saved:
    kind = kind_of_document(item.document)
    details: dict[str, Any] = {"source": item.source}
    slug, before, number, changed = "", None, None, True
    if isinstance(item.document, Formula | Kitchen):
        revised = keep(item.document, signature)
        slug, before, number, changed = revised.slug, revised.before, revised.number, revised.changed
        details["findings"] = [
            [finding.rule, finding.severity, finding.where, finding.sentence] for finding in findings
        ]
    elif isinstance(item.document, OrderBook):
        former = _unordered(order_book())
        keep_orders(item.document, orders_mode)
        changed = _unordered(order_book()) != former
        details |= {"mode": orders_mode, "orders": item.document.to_json_data()}
    elif isinstance(item.document, IngredientList):
        revisions = [keep(one, signature) for one in item.document.ingredients]
        prices = add_prices(item.document.prices)
        details |= {"ingredients": {one.slug: one.number for one in revisions if one.changed}, "prices": prices}
        changed = bool(details["ingredients"] or prices)
    if changed:
        write_log(Done(verb, kind, slug, before, number, details), signature)
    return Saved(item.source, kind, slug, before, number, changed, findings)


def _unordered(book: OrderBook) -> list[str]:
    return sorted(map(repr, (*book.standing, *book.single, *book.closed)))
