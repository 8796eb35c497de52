from __future__ import annotations

import pytest

from smallhours.bakery.formula.yeast import dose_for_time, instant_equivalent, yeast_form
from smallhours.bakery.ingredient import Ingredient, OwnComposition
from smallhours.bakery.pantry import Pantry
from smallhours.errors import OutOfRange


def test_dose_against_time(vectors):
    """Published: trade example y-3: 6 tsp in 1.5 h is 0.75 tsp in 12 h."""
    given = vectors["y-3"]["inputs"]
    assert dose_for_time(given["y"], given["t0"] * 3600, given["t1"] * 3600) == vectors["y-3"]["expect"]


def test_dry_matter_explains_the_ratio(vectors, pantry):
    """Published: trade example y-1: dry matter of fresh over active dry yeast is 0.3266 (USDA SR28 18374, 18375); the
    ratio used for instant yeast, 0.33, is within 2 % of it."""
    fresh, dry = (pantry.find(k).composition.solids_fraction() or 0.0 for k in ("yeast-fresh", "yeast-active-dry"))
    assert fresh / dry == pytest.approx(vectors["y-1"]["expect"], abs=0.0001)
    assert instant_equivalent(pantry.find("yeast-fresh")) == pytest.approx(fresh / dry, rel=0.02)


def test_own_yeast(pantry):
    """Behaviour: a yeast of the bakery's own goes by what it is like, else by how wet it is; flour is no yeast."""
    own = Pantry(
        [
            Ingredient(id="sweet-yeast", like="yeast-instant"),
            Ingredient(id="block-yeast", like="yeast-fresh", composition=OwnComposition(water_g=72)),
        ]
    )
    assert yeast_form(own.find("sweet-yeast")) == "yeast-instant"
    assert yeast_form(own.find("block-yeast")) == "yeast-fresh"
    assert yeast_form(pantry.find("bread-flour")) is None
    assert instant_equivalent(pantry.find("bread-flour"), 100) == 0


@pytest.mark.parametrize(("dose", "old_s", "new_s"), [(1, 3600, 36000), (0, 1, 1), (1, 0, 1), (float("nan"), 1, 1)])
def test_outside_the_rule(dose, old_s, new_s):
    """Bad input: more than eight times as long, or nothing at all."""
    with pytest.raises(OutOfRange):
        dose_for_time(dose, old_s, new_s)


@pytest.mark.parametrize("mass", [-1.0, float("nan")])
def test_impossible_masses(mass, pantry):
    """Bad input: yeast weighs 0 g or more."""
    with pytest.raises(OutOfRange, match="0 g or more"):
        instant_equivalent(pantry.find("yeast-fresh"), mass)
