"""What raises a dough: shares of yeast and culture, with all that feeds it."""

from __future__ import annotations

import pytest

from smallhours.bakery.formula.amounts import unit_amounts
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.leaven import Leaven, culture_flour_fraction, leaven_of, raises
from smallhours.bakery.ingredient import Ingredient, OwnComposition
from smallhours.bakery.pantry import Pantry

TEXT = """
id = "loaf"
name = "Loaf"
[[parts]]
id = "levain"
name = "Levain"
kind = "preferment"
lines = [
    { ingredient = "bread-flour", percent = 100.0 },
    { ingredient = "water", percent = 100.0 },
    { ingredient = "sourdough-culture", percent = 40.0 },
]
[[parts]]
id = "dough"
name = "Dough"
lines = [
    { ingredient = "bread-flour", percent = 100.0 },
    { ingredient = "water", percent = 65.0 },
    { part = "levain", percent = 24.0 },
    { ingredient = "yeast-instant", percent = 0.11 },
]
"""


def test_shares_of_culture_and_yeast() -> None:
    """Hand: 40 of culture are 20 flour in 120: 16.67 %. A tenth of the levain, 24 of 240, brings 12 of flour into 112:
    10.71 %; 0.11 of instant yeast is 0.333 of fresh on 112: 0.298 %.
    """
    formula, pantry = Formula.read_toml(TEXT, "loaf"), Pantry()
    amounts = unit_amounts(formula, pantry, pieces=1)
    levain, dough = (leaven_of(amounts, pantry, part) for part in ("levain", "dough"))
    assert (levain.yeast_percent, levain.culture_percent) == pytest.approx((0.0, 100 * 20 / 120), rel=2e-3)
    assert dough.culture_percent == pytest.approx(100 * 12 / 112, rel=2e-3)
    assert dough.yeast_percent == pytest.approx(100 * 0.11 / 0.33 / 112, rel=2e-3)
    assert levain.living
    assert dough.living
    assert not Leaven().living


def test_how_much_of_a_culture_is_flour() -> None:
    """Hand: a stiff one of 2 flour and 1 water has (2 x 13.36 + 99.9) / 3 = 42.21 g of water in 100 g: two thirds."""
    stiff = Ingredient(id="stiff", like="sourdough-culture", composition=OwnComposition(water_g=42.21))
    pantry = Pantry([stiff])
    assert culture_flour_fraction(pantry.find("stiff")) == pytest.approx(2 / 3, abs=1e-3)
    assert culture_flour_fraction(pantry.find("sourdough-culture")) == pytest.approx(0.5, abs=1e-3)
    assert raises(pantry.find("stiff"))
    assert raises(pantry.find("yeast-fresh"))
    assert not raises(pantry.find("baking-powder-phosphate"))


def test_the_culture_is_half_flour_half_water() -> None:
    """Hand: the means of USDA SR28 rows 20083 (bread flour) and 14411 (water), each figure to its last digit."""
    pantry = Pantry()
    flour, water, culture = (pantry.find(k).composition for k in ("bread-flour", "water", "sourdough-culture"))
    for name in ("water_fraction", "protein_fraction", "fat_fraction", "carbohydrate_fraction", "ash_fraction"):
        half = (getattr(flour, name) + getattr(water, name)) / 2
        assert getattr(culture, name) == pytest.approx(half, abs=1.01e-4)
    assert pantry.find("sourdough-culture").allergens == {"wheat", "gluten"}
