"""The hand-built plan with the demo bakery's formulas, kitchen and shelf."""

from __future__ import annotations

from importlib.resources import files

from sheets.plan_fixture import fixture_plan
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.ingredient import IngredientList
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.pantry import Pantry
from smallhours.planning.plan import Plan
from smallhours.sheets.papers import Papers

_DEMO = files("smallhours") / "demo"


def fixture_papers(plan: Plan | None = None) -> Papers:
    """Papers for the hand-built plan, or for another plan of the same bakery."""
    texts = [path.read_text("utf-8") for path in (_DEMO / "formulas").iterdir()]
    formulas = [Formula.read_toml(text, "a demo formula") for text in texts]
    shelf = IngredientList.read_toml((_DEMO / "ingredients.toml").read_text("utf-8"), "ingredients")
    kitchen = Kitchen.read_toml((_DEMO / "kitchen.toml").read_text("utf-8"), "kitchen")
    return Papers(plan or fixture_plan(), {f.id: f for f in formulas}, kitchen, Pantry(shelf.ingredients))
