"""The demo bakery's documents, read once for all tests about them."""

from __future__ import annotations

import datetime as dt
from collections import Counter
from importlib.resources import files

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.join import joined
from smallhours.bakery.ingredient import IngredientList
from smallhours.bakery.kitchen.document import DAYS, Day, Kitchen
from smallhours.bakery.orders.document import OrderBook
from smallhours.bakery.pantry import Pantry

FOLDER = files("smallhours") / "demo"
TEXTS = {p.name.removesuffix(".toml"): p.read_text("utf-8") for p in (FOLDER / "formulas").iterdir()}
KITCHEN_TEXT, ORDERS_TEXT, INGREDIENTS_TEXT = (
    (FOLDER / name).read_text("utf-8") for name in ("kitchen.toml", "orders.toml", "ingredients.toml")
)

FORMULAS = {name: Formula.read_toml(text, name) for name, text in sorted(TEXTS.items())}
KITCHEN = Kitchen.read_toml(KITCHEN_TEXT, "kitchen.toml")
ORDERS = OrderBook.read_toml(ORDERS_TEXT, "orders.toml")
INGREDIENTS = IngredientList.read_toml(INGREDIENTS_TEXT, "ingredients.toml")
PANTRY = Pantry(INGREDIENTS.ingredients)
WHOLE = {name: joined(formula, FORMULAS.__getitem__) for name, formula in FORMULAS.items()}
PRODUCTS = {name: formula for name, formula in WHOLE.items() if formula.output is not None}

VAN, SHOP = dt.time(5, 45), dt.time(7, 30)
_MONDAY = dt.date(2026, 1, 5)


def date_of(day: Day) -> dt.date:
    """A date that falls on this weekday."""
    return _MONDAY + dt.timedelta(days=DAYS.index(day))


def pieces_on(day: Day, due: dt.time | None = None) -> Counter[str]:
    """Pieces of each product on a weekday (of one due time)."""
    wanted: Counter[str] = Counter()
    for order in ORDERS.on(date_of(day)):
        if due is None or order.due == due:
            wanted[order.product] += order.pieces
    return wanted
