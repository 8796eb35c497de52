"""Which document a text holds, and reading it as that."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any, Literal

from smallhours.bakery.document import Document, parse_toml
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.ingredient import IngredientList
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.document import OrderBook
from smallhours.errors import DocumentError, Fault

Kind = Literal["formula", "kitchen", "orders", "ingredients"]
KINDS: Mapping[Kind, type[Document]] = {
    "formula": Formula,
    "kitchen": Kitchen,
    "orders": OrderBook,
    "ingredients": IngredientList,
}
# names that only this kind has at its top
_MARKS: Mapping[Kind, frozenset[str]] = {
    "formula": frozenset({"parts", "stages", "output", "shaping", "base", "main", "pan", "pieces_per_pan"}),
    "kitchen": frozenset({"timezone", "temperatures", "mixers", "ovens", "people", "cold", "benches", "racks", "pans"}),
    "orders": frozenset({"standing", "single", "closed"}),
    "ingredients": frozenset({"ingredients", "prices"}),
}


def kind_of(data: Mapping[str, Any], source: str) -> Kind:
    """The kind of document ``data`` is, by the names at its top. Raises DocumentError if none fits."""
    counted = {kind: len(marks & data.keys()) for kind, marks in _MARKS.items()}
    best: Kind = max(counted, key=lambda kind: counted[kind])
    if not counted[best]:
        found = ", ".join(sorted(data)) or "nothing"
        raise DocumentError(
            source,
            [
                Fault(
                    "",
                    f"is no document known here (found at its top: {found}); a formula has parts, a kitchen a "
                    "timezone, an order book standing or single, an ingredient list ingredients or prices",
                )
            ],
        )
    return best


def read_document(text: str, source: str) -> Document:
    """The document in a TOML text, or in JSON if it begins with ``{``. Raises DocumentError with every fault."""
    data = _json(text, source) if text.lstrip().startswith("{") else parse_toml(text, source)
    return KINDS[kind_of(data, source)].read(data, source)


def kind_of_document(document: Document) -> Kind:
    """The kind of a document that was read."""
    return next(kind for kind, form in KINDS.items() if isinstance(document, form))


def _json(text: str, source: str) -> dict[str, Any]:
    try:
        data = json.loads(text)
    except json.JSONDecodeError as error:
        what = f"not valid JSON: {error.msg} (at line {error.lineno}, column {error.colno})"
        raise DocumentError(source, [Fault("", what)]) from None
    if not isinstance(data, dict):
        raise DocumentError(source, [Fault("", "must hold one document, an object in braces")])
    return data
