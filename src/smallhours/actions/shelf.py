"""Everything the store holds, as documents: what the other verbs read before they think."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.join import joined
from smallhours.bakery.ingredient import IngredientList
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.orders.document import OrderBook
from smallhours.bakery.pantry import Pantry
from smallhours.errors import NotFound
from smallhours.records import queries


@dataclass(frozen=True)
class Shelf:
    """The newest documents. ``numbers``: ``formulas`` and ``ingredients`` by id, and the kitchen's, as kept."""

    formulas: Mapping[str, Formula]
    formula_numbers: Mapping[str, int]
    kitchens: Mapping[str, Kitchen]
    kitchen: Kitchen | None
    kitchen_number: int | None
    ingredients: IngredientList
    ingredient_numbers: Mapping[str, int]
    orders: OrderBook

    def pantry(self) -> Pantry:
        """The ingredients formulas may name: own ones first, then the reference's."""
        return Pantry(self.ingredients.ingredients)

    def formula(self, slug: str) -> Formula:
        """A formula as it is written. Raises NotFound (with near spellings)."""
        found = self.formulas.get(slug)
        return queries.kept_formula(slug).document if found is None else found

    def whole_formula(self, slug: str) -> Formula:
        """A formula with its base joined in. Raises NotFound."""
        return joined(self.formula(slug), self.formula)

    def the_kitchen(self) -> Kitchen:
        """The kitchen plans are made for. Raises NotFound if none was written yet."""
        return queries.kept_kitchen().document if self.kitchen is None else self.kitchen


def shelf() -> Shelf:
    """The store's newest documents."""
    kept = queries.kept_formulas()
    kitchens = {slug: queries.kept_kitchen(slug).document for slug in queries.kitchen_slugs()}
    try:
        current = queries.kept_kitchen()
    except NotFound:
        current = None
    return Shelf(
        formulas={slug: one.document for slug, one in kept.items()},
        formula_numbers={slug: one.number for slug, one in kept.items()},
        kitchens=kitchens,
        kitchen=None if current is None else current.document,
        kitchen_number=None if current is None else current.number,
        ingredients=queries.ingredient_list(),
        ingredient_numbers=queries.ingredient_numbers(),
        orders=queries.order_book(),
    )
