"""A row of a price list: what a pack, or a kilogram, of an ingredient costs."""

from __future__ import annotations

import re

from smallhours.actions.tables import cells
from smallhours.actions.tables.row import Names, Row, named
from smallhours.bakery.ingredient import Price
from smallhours.bakery.quantity import MASS_UNITS

_SIGNS = {"€": "EUR", "$": "USD", "£": "GBP", "¥": "JPY"}


def price_row(row: Row, names: Names) -> Price:
    """The price in a row. Raises ValueError with what is wrong."""
    ingredient = named(row.text("ingredient"), names.ingredients, "ingredient")
    column = "price_per_kg" if row["price"] is None and row["price_per_kg"] is not None else "price"
    written = row.text(column)
    sign = next((code for sign, code in _SIGNS.items() if sign in written), None)
    bare = re.sub(r"[€$£¥]|\b[A-Z]{3}\b", "", written).strip() if isinstance(row[column], str) else row[column]
    code = str(row["currency"]).strip().upper() if row["currency"] is not None else sign
    code = code or next(iter(re.findall(r"\b[A-Z]{3}\b", written)), None)
    if code is None:
        raise ValueError(f"the price {written!r} has no currency; add a column 'currency' with a code like EUR")
    return Price(
        ingredient=ingredient,
        pack_mass_g=1000.0 if column == "price_per_kg" else _pack_g(row),
        price=cells.exact(bare, row.mark),
        currency=_SIGNS.get(code, code),
        supplier=None if row["supplier"] is None else row.text("supplier"),
        valid_from=None if row["valid_from"] is None else cells.date(row["valid_from"]),
    )


def _pack_g(row: Row) -> float:
    for name in ("pack_kg", "pack_g", "pack_lb"):
        if row[name] is not None:
            return cells.number(row[name], row.mark) * MASS_UNITS[name.removeprefix("pack_")]
    if row["pack"] is None:
        raise ValueError("the pack's mass is empty; write it with its unit, like '25 kg'")
    return cells.mass_g(row["pack"], row.mark)
