"""Formulas from print, by their masses or percentages only, against the figures printed or computed beside them."""

from __future__ import annotations

import pytest

from smallhours.bakery.formula.amounts import percentages, prefermented_percent, unit_amounts
from smallhours.bakery.formula.audit import audit
from smallhours.bakery.formula.balance import balance
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.scaling import scale_by_pieces

SWEET = {"bread-flour": "10 lb", "water": "3 lb 12 oz", "sugar": "1 lb 12 oz", "egg-whole": "1 lb 12 oz",
         "shortening": "1 lb 10 oz", "yeast-active-dry": "8 oz", "milk-powder-skim": "5 oz",
         "salt": "3 oz"}  # fmt: skip
HOT_ROLLS = {"bread-flour": "12 lb", "water": "7 lb 4 oz", "sugar": "1 lb 8 oz", "shortening": "1 lb 10 oz",
             "yeast-active-dry": "4 oz", "milk-powder-skim": "8 oz", "salt": "4 oz"}  # fmt: skip
SOFT_ROLL = {"bread-flour": 100, "milk-whole": 20, "water": 32, "salt": 2, "yeast-instant": 2, "butter-unsalted": 15,
             "honey": 5}  # fmt: skip


def test_army_sweet_dough(pantry, dough_of):
    """Published: army card D-36 (TM 10-412) by weight; baker's and true percent worked by hand to two decimals."""
    dough = dough_of(SWEET)
    on_flour = {"water": 37.5, "sugar": 17.5, "egg-whole": 17.5, "shortening": 16.25, "yeast-active-dry": 5.0,
                "milk-powder-skim": 3.13, "salt": 1.88}  # fmt: skip
    true = {"bread-flour": 50.31, "water": 18.87, "sugar": 8.81, "egg-whole": 8.81, "shortening": 8.18,
            "yeast-active-dry": 2.52, "milk-powder-skim": 1.57, "salt": 0.94}  # fmt: skip
    found = percentages(dough, pantry, "dough")
    assert {k: found[k] for k in on_flour} == pytest.approx(on_flour, abs=0.0051)
    assert sum(found.values()) == pytest.approx(198.75)
    assert percentages(dough, pantry, "dough", "mass") == pytest.approx(true, abs=0.0051)


def test_army_hot_rolls(pantry, dough_of):
    """Published: army card D-33 by weight; by hand 60.42, 12.5, 13.54, 2.08, 4.17 and 2.08 %, in all 194.8."""
    found = percentages(dough_of(HOT_ROLLS), pantry, "dough")
    assert list(found.values())[1:] == pytest.approx([60.42, 12.5, 13.54, 2.08, 4.17, 2.08], abs=0.0051)
    assert sum(found.values()) == pytest.approx(194.8, abs=0.05)


@pytest.mark.parametrize(("lines", "pieces_g"), [(SWEET, 45), (HOT_ROLLS, 53)])
def test_two_hundred_rolls_of_a_card(pantry, dough_of, lines, pieces_g):
    """Published: both cards: 200 rolls from 318 and 374 oz are 45 and 53 g each. With 1 + 1 % lost there are fewer of
    the rounded mass: 196 of 45 g, 196 of 53 g, so the claim of 200 is found."""
    claimed = dough_of(lines, f'output = {{ piece_mass = "{pieces_g} g", claimed_pieces = 200 }}')
    assert [f.rule for f in audit(claimed, pantry)] == ["pieces_are_there"]
    honest = dough_of(
        lines, f'output = {{ piece_mass = "{pieces_g - 1} g", claimed_pieces = 200, divide_loss_percent = 0.5 }}'
    )
    assert audit(honest, pantry) == []


def test_a_brioche_with_its_sponge(vectors, pantry):
    """Published: trade example gis-1 (252 % in all), 20 of the 100 flour in the sponge with all milk and yeast."""
    brioche = Formula.read_toml(
        """
id = "brioche"
name = "Brioche"
[[parts]]
id = "dough"
name = "Dough"
percent_on = "total"
lines = [
  { part = "sponge", flour_percent = 20 },
  { ingredient = "bread-flour", percent = 100 }, { ingredient = "milk-whole", percent = 20 },
  { ingredient = "yeast-fresh", percent = 5 }, { ingredient = "egg-whole", percent = 50 },
  { ingredient = "sugar", percent = 5 }, { ingredient = "salt", percent = 2 },
  { ingredient = "butter-unsalted", percent = 70, addition = 2, after_development = true },
]
[[parts]]
id = "sponge"
name = "Sponge"
kind = "preferment"
lines = [{ ingredient = "bread-flour", percent = 100 }, { ingredient = "milk-whole", percent = 100 },
  { ingredient = "yeast-fresh", percent = 25 }]
""",
        "brioche.toml",
    )
    assert sum(percentages(brioche, pantry, "dough", "total").values()) == pytest.approx(vectors["gis-1"]["expect"][0])
    assert prefermented_percent(brioche, pantry) == pytest.approx(20)
    rest = {a.key: a.mass_g for a in unit_amounts(brioche, pantry, 2520).parts["dough"].lines}
    assert rest == pytest.approx(
        {"sponge": 450, "bread-flour": 800, "milk-whole": 0, "yeast-fresh": 0, "egg-whole": 500, "sugar": 50,
         "salt": 20, "butter-unsalted": 700}, abs=1e-6
    )  # fmt: skip
    assert balance(brioche, pantry).water_percent == pytest.approx(vectors["eff-1"]["expect"]["water"], abs=0.01)


def test_sums_of_a_mixer_manual(vectors, pantry, dough_of):
    """Published: trade example man-1: 175.5, 154.5 and 210.5 %."""
    heavy = {"water": 55, "yeast-fresh": 2, "salt": 2.5, "sugar": 5, "shortening": 5, "milk-powder-skim": 6}
    pizza = {"water": 50, "yeast-fresh": 1, "salt": 1.5, "oil-olive": 2}
    doughnut = {"water": 65, "yeast-fresh": 5, "salt": 2.5, "sugar": 15, "shortening": 15, "milk-powder-skim": 8}
    sums = [
        sum(percentages(dough_of({"bread-flour": 100, **lines}), pantry, "dough").values())
        for lines in (heavy, pizza, doughnut)
    ]
    assert sums == pytest.approx(vectors["man-1"]["expect"])


def test_soft_roll_as_printed(pantry, dough_of):
    """Published: trade example philip-1: a soft roll dough of 176 %; a 9 x 5 in loaf of 750 g takes 426 g flour."""
    loaf = dough_of(SOFT_ROLL, 'output = { piece_mass = "750 g", mix_loss_percent = 0, divide_loss_percent = 0 }')
    assert sum(percentages(loaf, pantry, "dough").values()) == pytest.approx(176)
    assert scale_by_pieces(loaf, pantry, 1).amounts.flour_g == pytest.approx(426, abs=0.2)
