"""Rows to documents and back. Nobody else converts."""

from __future__ import annotations

import datetime as dt
import hashlib
import marshal
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Generic, TypeVar

import smallhours.records.configured  # noqa: F401  (before the first model)
from smallhours.bakery.document import Document
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.ingredient import Ingredient, IngredientList, Price
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.document import Order, OrderBook, StandingOrder
from smallhours.records.models import (
    ClosedDay,
    FormulaRevision,
    IngredientRevision,
    KitchenRevision,
    PriceRow,
    SingleRow,
    StandingRow,
)
from smallhours.records.models.revision import Revision

D = TypeVar("D", bound=Document)


@dataclass(frozen=True)
class Kept(Generic[D]):
    """A document as it is kept: its revision number, who wrote it, when (UTC) and why."""

    document: D
    number: int
    author: str
    at: dt.datetime
    reason: str


# documents that were read before, by their kind and all they say: they are frozen, and reading checks every field anew
_READ: dict[tuple[type[Document], bytes], Document] = {}
_MOST_READ = 2000


def _kept(row: Revision, form: type[D], kind: str) -> Kept[D]:
    said = (form, hashlib.blake2b(marshal.dumps(row.body, 2), digest_size=16).digest())
    document = _READ.get(said)
    if document is None:
        document = form.read(row.body, f"{kind} {row.slug!r}, revision {row.number}")
        if len(_READ) >= _MOST_READ:
            _READ.clear()
        _READ[said] = document
    return Kept(document, row.number, row.author, row.at, row.reason)


def formula_from(row: FormulaRevision) -> Kept[Formula]:
    """The formula in a row."""
    return _kept(row, Formula, "formula")


def kitchen_from(row: KitchenRevision) -> Kept[Kitchen]:
    """The kitchen in a row."""
    return _kept(row, Kitchen, "kitchen")


def ingredient_from(row: IngredientRevision) -> Kept[Ingredient]:
    """The ingredient in a row."""
    return _kept(row, Ingredient, "ingredient")


def price_from(row: PriceRow) -> Price:
    """The price in a row."""
    return Price(
        ingredient=row.ingredient,
        pack_mass_g=row.pack_mass_g,
        price=row.price,
        currency=row.currency,
        supplier=row.supplier,
        valid_from=row.valid_from,
    )


def price_row(price: Price) -> PriceRow:
    """An unsaved row for a price."""
    return PriceRow(**{name: getattr(price, name) for name in type(price).model_fields})


def ingredient_list_from(ingredients: Iterable[IngredientRevision], prices: Iterable[PriceRow]) -> IngredientList:
    """The ingredient list in the newest revisions and the price rows."""
    return IngredientList(
        ingredients=tuple(ingredient_from(row).document for row in ingredients),
        prices=tuple(price_from(row) for row in prices),
    )


def order_book_from(
    standing: Iterable[StandingRow], single: Iterable[SingleRow], closed: Iterable[ClosedDay]
) -> OrderBook:
    """The order book in its rows."""
    return OrderBook(
        standing=tuple(
            StandingOrder(
                customer=r.customer,
                product=r.product,
                days=tuple(r.days),
                due=r.due,
                pieces=r.pieces,
                free_from=tuple(r.free_from),
            )
            for r in standing
        ),
        single=tuple(
            Order(
                customer=r.customer,
                product=r.product,
                date=r.date,
                due=r.due,
                pieces=r.pieces,
                free_from=tuple(r.free_from),
            )
            for r in single
        ),
        closed=tuple(r.date for r in closed),
    )


def standing_row(order: StandingOrder) -> StandingRow:
    """An unsaved row for a standing order."""
    return StandingRow(
        customer=order.customer,
        product=order.product,
        days=list(order.days),
        due=order.due,
        pieces=order.pieces,
        free_from=list(order.free_from),
    )


def single_row(order: Order) -> SingleRow:
    """An unsaved row for a single order."""
    return SingleRow(
        customer=order.customer,
        product=order.product,
        date=order.date,
        due=order.due,
        pieces=order.pieces,
        free_from=list(order.free_from),
    )
