from __future__ import annotations

import pytest

from smallhours.bakery.formula.household import measured_g, read_measure
from smallhours.bakery.ingredient import Ingredient
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput


@pytest.mark.parametrize(
    ("text", "amount", "measure"),
    [
        ("2 1/2 cup", 2.5, "cup"),
        ("2½ cups, packed", 2.5, "cup"),
        ("1/2 tsp", 0.5, "tsp"),
        ("⅓ cup", 1 / 3, "cup"),
        ("1,5 tablespoons", 1.5, "tbsp"),
        ("8 fl oz", 8, "fl oz"),
        ("2 large", 2, "piece"),
        ("1 stick", 1, "stick"),
    ],
)
def test_reading(text, amount, measure):
    """Hand: what a person reads there."""
    read = read_measure(text)
    assert (read.amount, read.measure) == (pytest.approx(amount), measure)


@pytest.mark.parametrize(
    ("key", "text", "mass"),
    [
        ("bread-flour", "2 cups", 274),
        ("all-purpose-flour", "2 1/2 cup", 312.5),
        ("sugar-brown", "1 cup packed", 220),
        ("sugar-brown", "1 cup, unpacked", 145),
        ("egg-whole", "3 large eggs", 150),
        ("egg-whole", "1 extra large egg", 56),
        ("butter-unsalted", "2 sticks", 226),
        ("yeast-active-dry", "1 packet", 7.2),
        ("water", "16 tbsp", 237),
    ],
)
def test_weights(pantry, key, text, mass):
    """Published: USDA SR28 household weights; tablespoons of water from its cup."""
    assert measured_g(pantry.find(key), read_measure(text)) == pytest.approx(mass, rel=0.002)


def test_weights_of_what_nobody_published(pantry):
    """Limit: no weight is not zero; an own ingredient goes by what it is like."""
    own = Pantry([Ingredient(id="mill-flour", like="bread-flour"), Ingredient(id="fig-paste")])
    assert measured_g(own.find("mill-flour"), read_measure("1 cup")) == 137
    assert measured_g(own.find("fig-paste"), read_measure("1 cup")) is None
    assert measured_g(pantry.find("bread-flour"), read_measure("3 sticks")) is None


@pytest.mark.parametrize("text", ["", "cup", "a pinch", "1/0 cup", "2 oz"])
def test_not_a_measure(text):
    """Bad input: the sentence says how to write it."""
    with pytest.raises(BadInput, match="household measure"):
        read_measure(text)
