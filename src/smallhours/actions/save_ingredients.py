"""Write ingredients and prices: others that are there stay."""

from __future__ import annotations

from dataclasses import dataclass

from smallhours.actions.clock import Clock, now
from smallhours.actions.permissions import BAKER, Actor, require
from smallhours.actions.saving import Saved, save_one
from smallhours.actions.shelf import shelf
from smallhours.bakery.ingredient import IngredientList
from smallhours.records.keeping import Signature


@dataclass(frozen=True)
class SaveIngredients:
    """Ingredients and prices to add or to revise, and why."""

    ingredients: IngredientList
    reason: str = ""


def save_ingredients(command: SaveIngredients, actor: Actor = BAKER, clock: Clock = now) -> Saved:
    """Write them. Raises DocumentError (with every fault) if one names what is not there, NotAllowed."""
    require(actor, "save ingredients")
    signature = Signature(actor.name, clock(), command.reason)
    return save_one(shelf(), command.ingredients, "ingredients", signature)
