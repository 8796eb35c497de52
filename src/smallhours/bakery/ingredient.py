"""The bakery's own ingredient list: what stands on the shelf, on which reference row it rests, its price."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from decimal import Decimal

from pydantic import Field

from smallhours.bakery.document import Document, Slug, Words
from smallhours.bakery.quantity import Grams
from smallhours.errors import Fault


class OwnComposition(Document):
    """Grams per 100 g from a specification sheet. What the sheet does not say stays unset."""

    water_g: Grams | None = Field(default=None, le=100)
    protein_g: Grams | None = Field(default=None, le=100)
    fat_g: Grams | None = Field(default=None, le=100)
    carbohydrate_g: Grams | None = Field(default=None, le=100)
    sugars_g: Grams | None = Field(default=None, le=100)
    fibre_g: Grams | None = Field(default=None, le=100)
    ash_g: Grams | None = Field(default=None, le=100)
    salt_g: Grams | None = Field(default=None, le=100)


class Ingredient(Document):
    """One ingredient as this bakery buys it.

    ``like``: the key of the reference ingredient it rests on (its composition, kind and allergens), if its own
    id is not that key. ``composition`` overrides single values; all else keeps its proportions in what is left.
    """

    id: Slug
    name: Words | None = None
    like: Slug | None = None
    composition: OwnComposition | None = None
    allergens: tuple[Slug, ...] | None = None

    def faults(self) -> Iterable[Fault]:
        c = self.composition
        if c is not None:
            total = sum(x or 0 for x in (c.water_g, c.protein_g, c.fat_g, c.carbohydrate_g, c.ash_g))
            if total > 101:
                yield Fault(f"ingredient {self.id!r}", f"its parts add up to {total:.1f} g per 100 g")


class Price(Document):
    """What a pack of an ingredient costs, from a day on."""

    ingredient: Slug
    pack_mass_g: Grams = Field(gt=0)
    price: Decimal = Field(ge=0, max_digits=10, decimal_places=4)
    currency: str = Field(pattern=r"^[A-Z]{3}$")
    supplier: Words | None = None
    valid_from: dt.date | None = None


class IngredientList(Document):
    """The document that holds a bakery's ingredients and prices."""

    ingredients: tuple[Ingredient, ...] = ()
    prices: tuple[Price, ...] = ()
