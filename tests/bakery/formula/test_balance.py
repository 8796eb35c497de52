from __future__ import annotations

import pytest

from smallhours.bakery.formula.balance import balance, softness, stiffness
from smallhours.bakery.ingredient import Ingredient, OwnComposition
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput

GISSLEN = {"bread-flour": 100, "milk-whole": 20, "egg-whole": 50, "butter-unsalted": 70, "yeast-fresh": 5, "sugar": 5,
           "salt": 2}  # fmt: skip
SWEET = {"bread-flour": "10 lb", "water": "3 lb 12 oz", "sugar": "1 lb 12 oz", "egg-whole": "1 lb 12 oz",
         "shortening": "1 lb 10 oz", "yeast-active-dry": "8 oz", "milk-powder-skim": "5 oz",
         "salt": "3 oz"}  # fmt: skip


@pytest.mark.parametrize(
    ("example", "lines"),
    [
        ("eff-1", {"milk-whole": 20, "egg-whole": 50, "butter-unsalted": 70, "yeast-fresh": 5}),
        ("eff-2", {"water": 9, "egg-whole": 50, "butter-unsalted": 50, "yeast-fresh": 7}),
        ("eff-3", {"milk-whole": 20, "water": 32, "butter-unsalted": 15, "honey": 5}),
        ("eff-4", {"water": 37.5, "egg-whole": 17.5, "milk-powder-skim": 3.125, "yeast-active-dry": 5}),
        ("eff-5", {"milk-whole": 40, "egg-whole": 10, "water": 25}),
    ],
)
def test_true_water_and_fat(vectors, pantry, dough_of, example, lines):
    """Hand: trade examples eff-1 to eff-5, from USDA SR28 compositions; they take water as all water, the tap water
    of SR28 is 99.90 %, hence 0.045 points for at most 37.5 % water."""
    expect = vectors[example]["expect"]
    held = balance(dough_of({"bread-flour": 100, **lines}), pantry)
    assert held.water_percent == pytest.approx(expect["water"], abs=0.045)
    assert held.fat_percent == pytest.approx(expect["fat"], abs=0.006)


def test_a_public_domain_sweet_dough(pantry, dough_of):
    """Published: army card D-36 (TM 10-412) by weight, with USDA SR28: effective water 51.2 %, fat 18.3 %, egg 17.5 %,
    salt 1.88 %; active dry yeast 5.0 % is 4.1 % as instant."""
    held = balance(dough_of(SWEET), pantry)
    assert held.water_percent == pytest.approx(51.2, abs=0.06)
    assert held.fat_percent == pytest.approx(18.3, abs=0.05)
    assert held.egg_percent == pytest.approx(17.5)
    assert held.salt_percent == pytest.approx(1.875)
    assert held.yeast_percent == pytest.approx(4.125)
    assert held.poured_liquid_percent == pytest.approx(55.0)
    assert (held.dough_class, held.flags) == ("rich", ())


def test_classes(pantry, dough_of):
    """Hand: oil 4.9 is lean, 5 enriched, 20 rich, 50 very rich (fat and sugar together, on flour)."""
    for oil, expect in (
        (0, "lean"),
        (4.9, "lean"),
        (5, "enriched"),
        (19.9, "enriched"),
        (20, "rich"),
        (50, "very rich"),
    ):
        held = balance(dough_of({"bread-flour": 100, "water": 60, "oil-canola": oil}), pantry)
        assert held.dough_class == expect
        assert f"fat {oil:.1f} % and sugar 0.0 % of flour are {oil:.1f} %; {expect} is" in held.class_reason
    assert balance(dough_of(GISSLEN), pantry).dough_class == "very rich"


def test_flags(pantry, dough_of):
    """Hand: 20 % egg makes an egg dough, 19 % does not; dried egg counts as the fluid egg it came from."""
    assert "egg-dough" in balance(dough_of({"bread-flour": 100, "egg-whole": 20}), pantry).flags
    assert "egg-dough" not in balance(dough_of({"bread-flour": 100, "egg-whole": 19}), pantry).flags
    dried = balance(dough_of({"bread-flour": 100, "egg-powder": 5}), pantry)
    assert dried.egg_percent == pytest.approx(5 * 0.9722 / 0.2385)
    muffin = balance(dough_of({"all-purpose-flour": 100, "milk-whole": 70, "baking-powder": 4}), pantry)
    assert muffin.flags == ("chemically-leavened",)
    assert muffin.salt_percent == 0
    folded = dough_of(
        {"bread-flour": 100, "water": 50, "butter-unsalted": 50},
        more='[shaping]\nsheet = { length = "60 cm", width = "30 cm", folds = [3, 3, 3] }\n',
    )
    assert "laminated" in balance(folded, pantry).flags


def test_yeast_in_all_forms_is_the_same(pantry, dough_of):
    """Published: Hamelman (2004), fresh : active dry : instant = 1 : 0.40 : 0.33."""
    doses = {"yeast-fresh": 3.0, "yeast-active-dry": 1.2, "yeast-instant": 0.99}
    found = [balance(dough_of({"bread-flour": 100, key: dose}), pantry).yeast_percent for key, dose in doses.items()]
    assert found == pytest.approx([0.99] * 3)


def test_salt_in_salted_butter_counts(pantry, dough_of):
    """Published: USDA SR28 row 01001, 643 mg sodium per 100 g: 643 x 58.44/22.99 = 1.63 g salt; 40 % of it 0.654 %.

    The salt of milk powder and egg is not what a baker means by salt.
    """
    held = balance(
        dough_of({"bread-flour": 100, "salt": 1.5, "butter-salted": 40, "egg-whole": 50, "milk-powder-skim": 5}), pantry
    )
    assert held.salt_percent == pytest.approx(1.5 + 0.654, abs=0.001)


def test_what_is_not_known_is_said(dough_of):
    """Limit: an ingredient of unknown composition is counted nowhere and named everywhere."""
    pantry = Pantry([Ingredient(id="fig-paste", composition=OwnComposition(water_g=30))])
    held = balance(dough_of({"bread-flour": 100, "water": 60, "fig-paste": 10}), pantry)
    assert held.water_percent == pytest.approx(0.999 * 60 + 3)
    assert {"fat", "sugar"} <= set(held.unknown)
    assert held.unknown["fat"] == ("fig-paste",)
    assert "water" not in held.unknown
    assert "composition unknown: fig-paste" in held.class_reason


def test_how_a_bowl_is_loaded(pantry, dough_of):
    """Hand: softness = water + a quarter of fat and sugar - 15 x whole grain share: pizza 50 % stiff, bread 62 medium,
    hearth 75 % wet, whole wheat 75 % (74.9 - 15 + ..) medium, a 70 % butter brioche wet."""
    expect = {
        "stiff": {"bread-flour": 100, "water": 50},
        "medium": {"whole-wheat-flour": 100, "water": 75},
        "wet": {"bread-flour": 100, "water": 75},
    }
    for word, lines in expect.items():
        assert stiffness(balance(dough_of(lines), pantry)) == word
    assert stiffness(balance(dough_of({"bread-flour": 100, "water": 62}), pantry)) == "medium"
    assert softness(balance(dough_of(expect["medium"]), pantry)) == pytest.approx(0.999 * 75 - 15)
    assert stiffness(balance(dough_of(GISSLEN), pantry)) == "wet"


def test_without_flour(pantry, dough_of):
    """Bad input: there is nothing to reckon on."""
    with pytest.raises(BadInput, match="no flour in it"):
        balance(dough_of({"butter-unsalted": "100 g", "sugar": "200 g"}), pantry)
