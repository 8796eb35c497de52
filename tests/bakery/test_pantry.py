from __future__ import annotations

import pytest

from smallhours.bakery.ingredient import Ingredient, OwnComposition
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput, DocumentError, NotFound


def test_reference_ingredients():
    """Published: USDA SR28 rows 01077 (milk: water 88.13 %, fat 3.25 %) and 20083 (flour: water 13.36 %), exact."""
    pantry = Pantry()
    milk, flour = pantry.find("milk-whole"), pantry.find("bread-flour")
    assert (milk.composition.water_fraction, milk.composition.fat_fraction) == pytest.approx((0.8813, 0.0325))
    assert milk.liquid
    assert not milk.counts_as_flour
    assert flour.counts_as_flour
    assert flour.composition.water_fraction == pytest.approx(0.1336)
    assert {"wheat", "gluten"} <= flour.allergens


def test_an_own_ingredient_over_its_reference_row():
    """Hand: flour of 14.5 % moisture in place of 13.36 %: what is dry shrinks by 85.5/86.64; the rest is its row's."""
    pantry = Pantry(
        [
            Ingredient(
                id="mill-flour",
                name="Flour from the mill",
                like="bread-flour",
                composition=OwnComposition(water_g=14.5),
                allergens=("wheat",),
            ),
            Ingredient(id="house-flour", like="mill-flour"),
        ]
    )
    mill = pantry.find("mill-flour")
    assert (mill.name, mill.kind, mill.counts_as_flour) == (
        "Flour from the mill", "flour", True
    )  # fmt: skip
    assert mill.composition.water_fraction == pytest.approx(0.145)
    reference = pantry.find("bread-flour").composition
    assert mill.composition.protein_fraction == pytest.approx(
        (reference.protein_fraction or 0) * (1 - 0.145) / (1 - 0.1336), rel=1e-3
    )
    assert mill.allergens == {"wheat"}
    assert pantry.find("house-flour").composition == mill.composition


def test_an_own_ingredient_that_rests_on_nothing():
    """Limit: what nobody said stays unknown and is not zero."""
    paste = Pantry([Ingredient(id="fig-paste", composition=OwnComposition(water_g=30))]).find("fig-paste")
    assert paste.composition.water_fraction == pytest.approx(0.30)
    assert paste.composition.fat_fraction is None
    assert (paste.kind, paste.counts_as_flour, paste.name) == ("other", False, "fig paste")


@pytest.mark.parametrize(
    ("wrong", "meant"), [("bread-flower", "bread-flour"), ("buter-unsalted", "butter-unsalted"), ("milk", "milk-whole")]
)
def test_an_unknown_ingredient(wrong, meant):
    """Bad input: the sentence names what is spelled like it."""
    with pytest.raises(NotFound, match=meant):
        Pantry().find(wrong)
    assert wrong not in Pantry()
    assert meant in Pantry()


def test_own_ingredients_are_suggested_too():
    """Bad input: a typing error in the bakery's own key."""
    with pytest.raises(NotFound, match="'mill-flour'"):
        Pantry([Ingredient(id="mill-flour", like="bread-flour")]).find("mil-flour")


def test_ingredients_that_rest_on_one_another():
    """Bad input: a circle of likenesses, a key that is there twice, a likeness that is not there."""
    ring = Pantry([Ingredient(id="a", like="b"), Ingredient(id="b", like="a")])
    with pytest.raises(BadInput, match="rests on itself: a <- b <- a"):
        ring.find("a")
    with pytest.raises(DocumentError, match="is there twice"):
        Pantry([Ingredient(id="a"), Ingredient(id="a")])
    with pytest.raises(NotFound, match="no ingredient 'bread-flower'"):
        Pantry([Ingredient(id="a", like="bread-flower")]).find("a")


def test_a_composition_over_the_whole():
    """Bad input: 92 % water and 12 % fat leave less than nothing for the rest of milk."""
    with pytest.raises(DocumentError, match="ingredient 'odd-milk'"):
        Pantry([Ingredient(id="odd-milk", like="milk-whole", composition=OwnComposition(water_g=92, fat_g=12))]).find(
            "odd-milk"
        )
