"""The invented bakery as documents, for tests of forecasts."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.join import joined
from smallhours.bakery.ingredient import IngredientList
from smallhours.bakery.kitchen.document import Kitchen
from smallhours.bakery.pantry import Pantry
from smallhours.forecast.conditions import Conditions
from smallhours.forecast.ensemble import draw
from smallhours.forecast.questions import Asked

_FOLDER = files("smallhours") / "demo"


@cache
def formulas() -> dict[str, Formula]:
    """Every formula, with its base joined in."""
    named = sorted(f.name for f in (_FOLDER / "formulas").iterdir() if f.name.endswith(".toml"))
    read = [Formula.read_toml((_FOLDER / "formulas" / name).read_text("utf-8"), name) for name in named]
    own = {formula.id: formula for formula in read}
    return {slug: joined(formula, own.__getitem__) for slug, formula in own.items()}


@cache
def kitchen() -> Kitchen:
    """Its kitchen."""
    return Kitchen.read_toml((_FOLDER / "kitchen.toml").read_text("utf-8"), "kitchen")


@cache
def pantry() -> Pantry:
    """Its ingredients."""
    listed = IngredientList.read_toml((_FOLDER / "ingredients.toml").read_text("utf-8"), "ingredients")
    return Pantry(listed.ingredients)


def asked(slug: str, members: int = 60, **conditions: object) -> Asked:
    """What a question is asked of."""
    made = Conditions(kitchen(), **conditions)  # type: ignore[arg-type]
    return Asked(formulas()[slug], pantry(), made, draw(members))
