"""A row of an ingredient list: what it is called, what it is like, what its specification sheet says."""

from __future__ import annotations

from smallhours.actions.tables import cells
from smallhours.actions.tables.headings import loosened
from smallhours.actions.tables.row import Names, Row, named
from smallhours.bakery.ingredient import Ingredient, OwnComposition


def ingredient_row(row: Row, names: Names) -> Ingredient:
    """The ingredient in a row. Raises ValueError with what is wrong."""
    name = None if row["name"] is None else row.text("name")
    key = loosened(row["id"] if row["id"] is not None else row.text("name")).replace(" ", "-")
    values = {
        field: cells.number(row[field], row.mark) for field in OwnComposition.model_fields if row[field] is not None
    }
    allergens = None if row["allergens"] is None else cells.slugs(row["allergens"])
    return Ingredient(
        id=key,
        name=name,
        like=None if row["like"] is None else named(row.text("like"), names.ingredients, "ingredient"),
        composition=OwnComposition(**values) if values else None,
        allergens=allergens,
    )
