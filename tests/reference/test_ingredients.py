"""The reference ingredients against figures printed elsewhere, and their own consistency."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from smallhours.errors import NotFound, OutOfRange
from smallhours.reference.ingredients import all_ingredients, household_mass_g, household_states, ingredient
from smallhours.science.composition import Composition, mixed, total_of

EXAMPLES = {
    e["id"]: e
    for e in json.loads((Path(__file__).parents[1] / "data" / "trade_examples.json").read_text(encoding="utf-8"))
}
KEYS = {
    "milk": "milk-whole",
    "egg": "egg-whole",
    "butter": "butter-unsalted",
    "fresh": "yeast-fresh",
    "honey": "honey",
    "nfdm": "milk-powder-skim",
    "ady": "yeast-active-dry",
}
PURE_WATER = Composition(1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)


@pytest.mark.parametrize("name", ["eff-1", "eff-2", "eff-3", "eff-4", "eff-5"])
def test_effective_water_and_fat(name):
    """Published: two brioches, a soft roll, an army sweet dough and a forum dough with USDA SR compositions.

    Worked apart from this code in percent of flour; flour's own water not counted, tap water taken as all water; the
    examples round fresh yeast and butter to a decimal, so within 0.05 points.
    """
    given = EXAMPLES[name]["inputs"]
    parts = [(m, ingredient(KEYS[k]).composition if k in KEYS else PURE_WATER) for k, m in given.items()]
    expected = EXAMPLES[name]["expect"]
    assert total_of(parts, "water_fraction").known_g == pytest.approx(expected["water"], abs=0.05)
    assert total_of(parts, "fat_fraction").known_g == pytest.approx(expected["fat"], abs=0.05)


@pytest.mark.parametrize(
    ("key", "water", "fat", "sugars"),
    [
        ("milk-whole", 88.13, 3.25, 5.05),
        ("buttermilk", 90.13, 0.88, 4.79),
        ("cream-heavy", 57.81, 36.08, 2.92),
        ("egg-whole", 76.15, 9.51, 0.37),
        ("egg-yolk", 52.31, 26.54, 0.56),
        ("butter-unsalted", 17.94, 81.11, 0.06),
        ("bread-flour", 13.36, 1.66, 0.31),
        ("whole-wheat-flour", 10.74, 2.50, 0.41),
        ("honey", 17.10, 0.0, 82.12),
        ("malt-syrup", 21.10, 0.0, 71.3),
        ("raisins", 15.43, 0.46, 59.19),
    ],
)
def test_against_the_printed_table(key, water, fat, sugars):
    """Published: USDA SR28 nutrient file, g per 100 g, read row by row; 2 printed decimals."""
    found = ingredient(key).composition
    assert found.water_fraction == pytest.approx(water / 100, abs=1e-9)
    assert found.fat_fraction == pytest.approx(fat / 100, abs=1e-9)
    assert found.sugars_fraction == pytest.approx(sugars / 100, abs=1e-9)


def test_salt():
    """Published: SR28 table salt holds 38.758 g of sodium, 98.5 % as NaCl; salted butter 643 mg, 1.63 g of salt.

    Salt itself counts as salt but for its water, and soda's sodium is no salt.
    """
    assert ingredient("salt").composition.salt_fraction == pytest.approx(0.998)
    assert ingredient("salt").composition.sodium_fraction == pytest.approx(0.38758)
    assert ingredient("butter-salted").composition.salt_fraction == pytest.approx(0.0163, abs=1e-4)
    assert ingredient("baking-soda").composition.salt_fraction == 0.0
    assert ingredient("milk-whole").composition.label_salt_fraction == pytest.approx(0.043 * 2.5 / 100)


def test_unknown_is_not_zero():
    """Behaviour: cardamom's sugars were not published: unknown, and so are those of a dough with it."""
    cardamom = ingredient("cardamom").composition
    assert cardamom.sugars_fraction is None
    parts = [(1000.0, ingredient("bread-flour").composition), (5.0, cardamom)]
    assert mixed(parts).sugars_fraction is None
    assert total_of(parts, "sugars_fraction").unknown_at == (1,)


def test_milk_solids():
    """Hand: skim milk powder 36.16 + 51.98 + 7.93 = 96.07 % milk solids; none in flour; open in condensed milk."""
    assert ingredient("milk-powder-skim").milk_solids_nonfat_fraction == pytest.approx(0.9607)
    assert ingredient("bread-flour").milk_solids_nonfat_fraction == 0.0
    assert ingredient("condensed-milk").milk_solids_nonfat_fraction is None
    for found in all_ingredients():
        c, solids = found.composition, found.milk_solids_nonfat_fraction
        if solids and found.key != "butter-salted":
            parts = (c.protein_fraction, c.carbohydrate_fraction, c.ash_fraction)
            assert solids == pytest.approx(sum(parts), abs=1e-6), found.key


def test_milk_from_powder():
    """Published: 1 kg whole milk = 880 g water + 120 g dry whole milk (Gisslen): water within 3 g, fat within 1 g."""
    powder, milk = ingredient("milk-powder-whole").composition, ingredient("milk-whole").composition
    made = [(880.0, PURE_WATER), (120.0, powder)]
    assert total_of(made, "water_fraction").known_g == pytest.approx(1000 * milk.water_fraction, abs=3)
    assert total_of(made, "fat_fraction").known_g == pytest.approx(1000 * milk.fat_fraction, abs=1)


def test_what_counts_as_flour():
    """Published: common practice: flours and meals count; starch, cocoa, milk powder and dry gluten do not."""
    counting = {x.key for x in all_ingredients() if x.counts_as_flour}
    assert {"bread-flour", "whole-wheat-flour", "rye-flour-medium", "spelt-whole", "rice-flour"} <= counting
    assert not counting & {"cornstarch", "potato-flour", "cocoa", "milk-powder-skim", "vital-gluten"}
    assert all(ingredient(key).kind == "flour" for key in counting)


def test_allergens_go_together():
    """Published: EU Regulation 1169/2011, Annex II: a cereal with gluten and a nut are named one by one."""
    cereals, nuts = {"wheat", "spelt", "rye", "barley", "oats"}, {"almond", "hazelnut", "walnut", "pecan", "pistachio"}
    for found in all_ingredients():
        words = set(found.allergens)
        assert ("gluten" in words) == bool(words & cereals), found.key
        assert ("nuts" in words) == bool(words & nuts), found.key
    assert ingredient("coconut").allergens == ()
    assert set(ingredient("butter-unsalted").allergens) == {"milk"}


def test_names_are_different():
    """Behaviour: no two ingredients share a name in either language, and none is left untranslated by accident."""
    everything = all_ingredients()
    assert len({x.name_en for x in everything}) == len({x.name_es for x in everything}) == len(everything)
    assert ingredient("butter-unsalted").name("es") == "Mantequilla sin sal"
    assert ingredient("butter-unsalted").name() == "Butter, unsalted"
    assert [x.key for x in everything if x.name_en == x.name_es] == []


def test_where_it_comes_from():
    """Behaviour: every ingredient names its source and row; instant yeast rests on active dry."""
    assert all(x.source == "usda-sr28" and x.source_row.startswith("NDB ") for x in all_ingredients())
    assert ingredient("yeast-instant").source_row == ingredient("yeast-active-dry").source_row
    assert "active dry" in ingredient("yeast-instant").note


@pytest.mark.parametrize(
    ("key", "measure", "state", "grams"),
    [
        ("bread-flour", "cup", "", 137),
        ("all-purpose-flour", "cup", "", 125),
        ("sugar", "cup", "", 200),
        ("sugar-brown", "cup", "packed", 220),
        ("sugar-powdered", "cup", "sifted", 100),
        ("honey", "tbsp", "", 21),
        ("butter-unsalted", "stick", "", 113),
        ("milk-whole", "cup", "", 244),
        ("cream-heavy", "cup", "", 238),
        ("egg-whole", "piece", "large", 50),
        ("salt", "tsp", "", 6),
        ("cinnamon", "tsp", "", 2.6),
        ("cardamom", "tsp", "", 2.0),
        ("yeast-active-dry", "packet", "", 7.2),
        ("raisins", "cup", "packed", 165),
        ("almonds", "cup", "sliced", 92),
    ],
)
def test_household_weights(key, measure, state, grams):
    """Published: USDA SR28 household weights; exact."""
    assert household_mass_g(key, measure, state=state) == pytest.approx(grams)


def test_measures_that_follow_from_the_cup():
    """Hand: only the cup of bread flour is published: a tablespoon is a sixteenth, 137 / 16 = 8.5625 g."""
    assert household_mass_g("bread-flour", "tablespoons", 4) == pytest.approx(4 * 137 / 16)
    assert household_mass_g("bread-flour", "tsp", 48) == pytest.approx(137)


def test_what_is_not_there():
    """Bad input: the nearest keys, the known measures and an impossible amount."""
    with pytest.raises(NotFound, match="bread-flour"):
        ingredient("bred-flour")
    with pytest.raises(NotFound, match="milk-whole"):
        ingredient("whole milk")
    with pytest.raises(NotFound, match="cup sliced"):
        household_mass_g("almonds", "cup")
    with pytest.raises(NotFound, match="there is no ingredient"):
        household_states("")
    with pytest.raises(OutOfRange):
        household_mass_g("salt", "tsp", float("nan"))
