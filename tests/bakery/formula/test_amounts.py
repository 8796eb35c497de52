from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from smallhours.bakery.formula.amounts import percentages, prefermented_percent, unit_amounts
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput, DocumentError, NotFound, OutOfRange, PartCycle

PANTRY = Pantry()
LB, OZ = 453.59237, 28.349523125

POOLISH = """
id = "poolish"
name = "Poolish"
kind = "preferment"
lines = [
  { ingredient = "bread-flour", percent = 100 },
  { ingredient = "water", percent = 100 },
  { ingredient = "yeast-instant", percent = 0.1 },
]
"""


def formula(*parts: str, rest: str = "") -> Formula:
    text = 'id = "loaf"\nname = "Loaf"\n' + rest + "".join(f"[[parts]]\n{part}\n" for part in parts)
    return Formula.read_toml(text, "test")


def dough(lines: str, basis: str = "part") -> str:
    return f'id = "dough"\nname = "Dough"\npercent_on = "{basis}"\nlines = [{lines}]'


def with_poolish(share: float) -> Formula:
    return formula(
        dough(
            '{ ingredient = "bread-flour", percent = 100 }, { ingredient = "water", percent = 68 }, '
            '{ ingredient = "salt", percent = 2 }, { ingredient = "yeast-instant", percent = 0.6 }, '
            f'{{ part = "poolish", flour_percent = {share} }}',
            "total",
        ),
        POOLISH,
    )


def masses(lines_of: Formula, part: str, main_mass_g: float) -> dict[str, float]:
    return {a.key: a.mass_g for a in unit_amounts(lines_of, PANTRY, main_mass_g).parts[part].lines}


def test_overall_percentages_with_a_poolish(vectors):
    """Hand: trade example pref-1 (20 kg at 68/2/0.6, 30 % of the flour in a poolish of 100 % water, 0.1 % yeast).

    Flour 20 000/1.706 = 11 723.3; poolish 3517/3517/3.52; what is left for the dough follows by subtraction.
    """
    expect = vectors["pref-1"]["expect"]
    bread = with_poolish(30)
    final, inside = masses(bread, "dough", 20000), masses(bread, "poolish", 20000)
    assert unit_amounts(bread, PANTRY, 20000).flour_g == pytest.approx(expect["flour"], abs=0.05)
    assert inside["bread-flour"] == pytest.approx(expect["poolish_flour"], abs=0.05)
    assert inside["water"] == pytest.approx(expect["poolish_water"], abs=0.05)
    assert inside["yeast-instant"] == pytest.approx(expect["poolish_yeast"], abs=0.005)
    assert final["bread-flour"] == pytest.approx(expect["final_flour"], abs=0.05)
    assert final["water"] == pytest.approx(expect["final_water"], abs=0.05)
    assert final["salt"] == pytest.approx(expect["final_salt"], abs=0.05)
    assert final["yeast-instant"] == pytest.approx(expect["final_yeast"], abs=0.005)
    on_final = percentages(bread, PANTRY, "dough", "part")
    assert on_final["poolish"] == pytest.approx(expect["poolish_pct_on_final_flour"], abs=0.005)
    assert prefermented_percent(bread, PANTRY) == pytest.approx(30)


def test_weights_of_a_published_poolish_bread(vectors):
    """Published: trade example pref-2 (overall 68.42 % water, 1.97 % salt, 0.68 % yeast, 34.2 % prefermented).

    Two decimals are printed, so half of the last one is allowed.
    """
    expect = vectors["pref-2"]["expect"]
    bread = formula(
        dough(
            '{ ingredient = "bread-flour", mass = "900 g" }, { ingredient = "water", mass = "468 g" }, '
            '{ ingredient = "yeast-instant", mass = "9 g" }, { ingredient = "salt", mass = "27 g" }, '
            '{ part = "poolish", mass = "936.3 g" }'
        ),
        'id = "poolish"\nname = "Poolish"\nkind = "preferment"\nlines = ['
        '{ ingredient = "bread-flour", mass = "468 g" }, { ingredient = "water", mass = "468 g" }, '
        '{ ingredient = "yeast-instant", mass = "0.3 g" }]',
    )
    total = percentages(bread, PANTRY, "dough", "total")
    assert unit_amounts(bread, PANTRY, 900 + 468 + 9 + 27 + 936.3).flour_g == pytest.approx(expect["flour"], abs=0.01)
    assert total["water"] == pytest.approx(expect["hydration"], abs=0.005)
    assert total["salt"] == pytest.approx(expect["salt"], abs=0.005)
    assert total["yeast-instant"] == pytest.approx(expect["yeast"], abs=0.005)
    assert prefermented_percent(bread, PANTRY) == pytest.approx(expect["prefermented"], abs=0.005)
    final = percentages(bread, PANTRY, "dough", "part")
    assert final["water"] == pytest.approx(52.0)
    assert final["salt"] == pytest.approx(3.0)
    assert final["poolish"] == pytest.approx(104.03, abs=0.01)


def test_a_starter_listed_beside_the_flour(vectors):
    """Hand: trade example pref-3: 1000 flour, 600 water, 20 salt, 100 starter (1:1) is 650/1050 = 61.9 % water."""
    expect = vectors["pref-3"]["expect"]
    bread = formula(
        dough(
            '{ ingredient = "bread-flour", percent = 100 }, { ingredient = "water", percent = 60 }, '
            '{ ingredient = "salt", percent = 2 }, { part = "starter", percent = 10 }'
        ),
        'id = "starter"\nname = "Starter"\nkind = "preferment"\nlines = ['
        '{ ingredient = "bread-flour", percent = 100 }, { ingredient = "water", percent = 100 }]',
    )
    total = percentages(bread, PANTRY, "dough", "total")
    assert total["water"] == pytest.approx(expect["hydration"], abs=0.05)
    assert total["salt"] == pytest.approx(expect["salt"], abs=0.05)
    assert prefermented_percent(bread, PANTRY) == pytest.approx(expect["prefermented"], abs=0.005)


def test_pounds_to_percent():
    """Published: a bakery class handout (docstoc 1460927: 40 lb flour; salt 11.2 oz, sugar 12.8 oz, yeast 9.6 oz,
    oil 1 lb 3.2 oz, water 23 lb 3.2 oz make 1.75, 2.00, 1.50, 3.00 and 58.00 %), exact."""
    bread = formula(
        dough(
            '{ ingredient = "bread-flour", mass = "40 lb" }, { ingredient = "salt", mass = "11.2 oz" }, '
            '{ ingredient = "sugar", mass = "12.8 oz" }, { ingredient = "yeast-fresh", mass = "9.6 oz" }, '
            '{ ingredient = "oil-canola", mass = "1 lb 3.2 oz" }, { ingredient = "water", mass = "23 lb 3.2 oz" }'
        )
    )
    found = percentages(bread, PANTRY, "dough")
    assert [found[k] for k in ("salt", "sugar", "yeast-fresh", "oil-canola", "water")] == pytest.approx(
        [1.75, 2.0, 1.5, 3.0, 58.0]
    )


def test_true_percentages_add_up_to_the_whole():
    """Limit: on its own mass a part is 100 %, whichever lines it has."""
    assert sum(percentages(with_poolish(30), PANTRY, "dough", "mass").values()) == pytest.approx(100)
    assert sum(percentages(with_poolish(30), PANTRY, None, "mass").values()) == pytest.approx(100)


def test_flours_that_do_not_add_up_are_still_shares_of_the_flour():
    """Hand: 30 whole and 62 white are 92; on all flour they are 30/92 = 32.61 % and 67.39 %, water 60/92 = 65.22 %."""
    bread = formula(
        dough(
            '{ ingredient = "whole-wheat-flour", percent = 30 }, { ingredient = "bread-flour", percent = 62 }, '
            '{ ingredient = "water", percent = 60 }'
        )
    )
    found = percentages(bread, PANTRY, "dough")
    assert found["whole-wheat-flour"] == pytest.approx(32.609, abs=0.001)
    assert found["bread-flour"] == pytest.approx(67.391, abs=0.001)
    assert found["water"] == pytest.approx(65.217, abs=0.001)


def test_share_of_flour_on_the_dough_flour():
    """Hand: own flour 100, 20 % of all flour as levain (1:1): all flour 125, levain 50, water (60 + 25)/125 = 68 %."""
    bread = formula(
        dough(
            '{ ingredient = "bread-flour", percent = 100 }, { ingredient = "water", percent = 60 }, '
            '{ part = "levain", flour_percent = 20 }'
        ),
        'id = "levain"\nname = "Levain"\nkind = "preferment"\nlines = ['
        '{ ingredient = "rye-flour-medium", percent = 100 }, { ingredient = "water", percent = 100 }]',
    )
    assert percentages(bread, PANTRY, "dough")["levain"] == pytest.approx(50)
    total = percentages(bread, PANTRY, "dough", "total")
    assert total["water"] == pytest.approx(68)
    assert total["rye-flour-medium"] == pytest.approx(20)


@pytest.mark.parametrize("listed", [True, False])
def test_flour_of_the_preferment_listed_or_not(listed):
    """Hand: bread flour 80 and 20 % of all flour as rye levain is the same dough whether the dough lists rye or not."""
    rye = '{ ingredient = "rye-flour-medium", percent = 20 }, ' if listed else ""
    bread = formula(
        dough(
            f'{{ ingredient = "bread-flour", percent = 80 }}, {rye}{{ ingredient = "water", percent = 70 }}, '
            '{ part = "levain", flour_percent = 20 }',
            "total",
        ),
        'id = "levain"\nname = "Levain"\nkind = "preferment"\nlines = ['
        '{ ingredient = "rye-flour-medium", percent = 100 }, { ingredient = "water", percent = 100 }]',
    )
    total = percentages(bread, PANTRY, "dough", "total")
    assert (total["bread-flour"], total["rye-flour-medium"], total["water"]) == pytest.approx((80, 20, 70))


def test_all_flour_comes_in_with_another_part():
    """Hand: an autolyse of 100 flour and 65 water; salt 2 % then stands on that flour."""
    bread = formula(
        dough('{ part = "autolyse", flour_percent = 100 }, { ingredient = "salt", percent = 2 }'),
        'id = "autolyse"\nname = "Autolyse"\nlines = ['
        '{ ingredient = "bread-flour", percent = 100 }, { ingredient = "water", percent = 65 }]',
    )
    assert percentages(bread, PANTRY, "dough", "total") == pytest.approx({"bread-flour": 100, "water": 65, "salt": 2})


def test_scrap_of_the_same_dough_changes_nothing():
    """Limit: scrap of the same composition leaves every percentage on all flour as it is."""
    lines = (
        '{ ingredient = "bread-flour", percent = 100 }, { ingredient = "water", percent = 62 }, '
        '{ ingredient = "salt", percent = 2 }'
    )
    plain = formula(dough(lines))
    with_scrap = formula(
        dough(lines + ', { part = "scrap", percent = 16.4 }'), f'id = "scrap"\nname = "Scrap"\nlines = [{lines}]'
    )
    assert percentages(with_scrap, PANTRY, "dough", "total") == pytest.approx(
        percentages(plain, PANTRY, "dough", "total")
    )
    assert percentages(with_scrap, PANTRY, "dough")["scrap"] == pytest.approx(16.4)


def test_other_parts_have_their_size():
    """Hand: 1640 g dough in 82 g pieces is 20 pieces, 2 pans of 10; filling 25 % = 410 g with sugar 2/3.5 of it,
    wash 3 g a piece = 60 g, topping 15 g a pan = 30 g."""
    bun = formula(
        dough('{ ingredient = "bread-flour", percent = 100 }, { ingredient = "water", percent = 64 }'),
        'id = "filling"\nname = "F"\nkind = "filling"\npercent_on = "butter-unsalted"\nratio_percent = 25\n'
        'ratio_to = "dough"\nlines = [{ ingredient = "butter-unsalted", percent = 100 }, '
        '{ ingredient = "sugar-brown", percent = 200 }, { ingredient = "cinnamon", percent = 50 }]',
        'id = "wash"\nname = "W"\nkind = "wash"\nmass_per_piece = "3 g"\n'
        'lines = [{ ingredient = "egg-whole", mass = "50 g" }]',
        'id = "topping"\nname = "T"\nkind = "topping"\nmass_per_pan = "15 g"\n'
        'lines = [{ ingredient = "sesame-seed", mass = "1 g" }]',
        rest='pieces_per_pan = 10\noutput = { piece_mass = "82 g" }\n',
    )
    amounts = unit_amounts(bun, PANTRY, 1640)
    assert {name: part.mass_g for name, part in amounts.parts.items()} == pytest.approx(
        {"dough": 1640, "filling": 410, "wash": 60, "topping": 30}
    )
    assert amounts.ingredients()["sugar-brown"] == pytest.approx(410 * 200 / 350)
    assert amounts.total_g == pytest.approx(2140)
    assert percentages(bun, PANTRY, "filling", "butter-unsalted")["sugar-brown"] == pytest.approx(200)
    assert percentages(bun, PANTRY, "filling", "total")["cinnamon"] == pytest.approx(410 * 50 / 350 / 10)


def test_a_part_inside_two_parts_is_made_once():
    """Hand: syrup of sugar and water goes into dough (10 of 110) and filling (50 of 100): 100 + 50 = 150 g."""
    bun = formula(
        dough('{ ingredient = "bread-flour", percent = 100 }, { part = "syrup", percent = 10 }'),
        'id = "filling"\nname = "F"\npercent_on = "mass"\nratio_percent = 9.0909090909\nratio_to = "dough"\n'
        'lines = [{ part = "syrup", percent = 50 }, { ingredient = "almonds", percent = 50 }]',
        'id = "syrup"\nname = "S"\npercent_on = "mass"\n'
        'lines = [{ ingredient = "sugar", percent = 50 }, { ingredient = "water", percent = 50 }]',
    )
    amounts = unit_amounts(bun, PANTRY, 1100)
    assert amounts.parts["syrup"].mass_g == pytest.approx(150)
    assert sum(amounts.ingredients().values()) == pytest.approx(amounts.total_g) == pytest.approx(1200)


SHARE = st.floats(0.5, 60)


@settings(max_examples=60, deadline=None)
@given(share=SHARE, water=st.floats(66, 100), mass=st.floats(1, 1e6))
def test_masses_add_up_and_percentages_do_not_depend_on_them(share, water, mass):
    """Property: lines and opened ingredients add up to their part; what was asked for on all flour is there."""
    bread = formula(
        dough(
            f'{{ ingredient = "bread-flour", percent = 100 }}, {{ ingredient = "water", percent = {water!r} }}, '
            f'{{ ingredient = "yeast-instant", percent = 0.6 }}, {{ part = "poolish", flour_percent = {share!r} }}',
            "total",
        ),
        POOLISH,
    )
    amounts = unit_amounts(bread, PANTRY, mass)
    for part in amounts.parts.values():
        assert sum(a.mass_g for a in part.lines) == pytest.approx(part.mass_g)
        assert min(a.mass_g for a in part.lines) >= 0
    opened = amounts.ingredients("dough")
    assert sum(opened.values()) == pytest.approx(mass)
    assert 100 * opened["water"] / amounts.flour_g == pytest.approx(water)
    assert prefermented_percent(bread, PANTRY) == pytest.approx(share)


def test_more_preferment_than_the_water_allows():
    """Bad input: 80 % of the flour at 100 % water needs 80 % water of 68; the limit is 68/100 = 68 %."""
    with pytest.raises(OutOfRange, match=r"water.*at most 68 % of the flour"):
        unit_amounts(with_poolish(80), PANTRY)
    assert unit_amounts(with_poolish(68), PANTRY).parts["dough"].lines[1].mass_g == pytest.approx(0, abs=1e-6)


def test_more_yeast_in_the_preferment_than_on_the_whole():
    """Bad input: 0.1 % of 30 % is 0.03 %; a dough of 0.02 % can have at most 20 % of its flour in that poolish."""
    bread = formula(
        dough(
            '{ ingredient = "bread-flour", percent = 100 }, { ingredient = "water", percent = 68 }, '
            '{ ingredient = "yeast-instant", percent = 0.02 }, { part = "poolish", flour_percent = 30 }',
            "total",
        ),
        POOLISH,
    )
    with pytest.raises(OutOfRange, match=r"yeast-instant.*at most 20 % of the flour"):
        unit_amounts(bread, PANTRY)


def test_all_and_more_of_the_flour_in_a_preferment():
    """Bad input: 100 % of the flour in the levain beside 100 % of flour of its own."""
    bread = formula(
        dough('{ ingredient = "bread-flour", percent = 100 }, { part = "poolish", flour_percent = 100 }'), POOLISH
    )
    with pytest.raises(OutOfRange, match="under 100 %"):
        unit_amounts(bread, PANTRY)


def test_percentages_without_flour():
    """Bad input: a part in percent of its flour that has none, or 0 % of it; one with nothing in it at all."""
    for key, percent in (("butter-unsalted", 50), ("bread-flour", 0)):
        bun = formula(
            dough(f'{{ ingredient = "{key}", percent = {percent} }}, {{ ingredient = "sugar", percent = 100 }}')
        )
        with pytest.raises(DocumentError, match="no flour in it; write percent_on"):
            unit_amounts(bun, PANTRY)
    empty = formula(dough('{ ingredient = "bread-flour", mass = "0 g" }'))
    with pytest.raises(DocumentError, match="there is nothing in it"):
        unit_amounts(empty, PANTRY)


def test_flour_share_of_a_part_without_flour():
    """Bad input: a soaker of seeds cannot bring in a share of the flour."""
    bread = formula(
        dough('{ ingredient = "bread-flour", percent = 100 }, { part = "soaker", flour_percent = 10 }'),
        'id = "soaker"\nname = "S"\nkind = "soaker"\npercent_on = "mass"\n'
        'lines = [{ ingredient = "flaxseed", percent = 50 }, { ingredient = "water", percent = 50 }]',
    )
    with pytest.raises(DocumentError, match="carries no flour"):
        unit_amounts(bread, PANTRY)


def test_unknown_ingredient():
    """Bad input: the sentence names the spelling that is there."""
    bread = formula(dough('{ ingredient = "bread-flower", percent = 100 }, { ingredient = "water", percent = 60 }'))
    with pytest.raises(NotFound, match="'bread-flour'"):
        unit_amounts(bread, PANTRY)


def test_a_part_that_feeds_itself():
    """Bad input: built in code without the checks of a read document, the circle is still found."""
    bread = with_poolish(30)
    ring = bread.model_copy(
        update={"parts": (bread.parts[0], bread.parts[1].model_copy(update={"lines": bread.parts[0].lines}))}
    )
    with pytest.raises(PartCycle, match="poolish <- poolish"):
        unit_amounts(ring, PANTRY)


@pytest.mark.parametrize("mass", [-1.0, float("nan"), float("inf")])
def test_impossible_masses(mass):
    """Bad input: negative, not a number, endless."""
    with pytest.raises(OutOfRange, match="0 g or more"):
        unit_amounts(with_poolish(30), PANTRY, mass)


def test_sized_by_the_piece_without_a_piece():
    """Bad input: a wash per piece, but nothing says how large a piece is."""
    bun = formula(
        dough('{ ingredient = "bread-flour", percent = 100 }'),
        'id = "wash"\nname = "W"\nmass_per_piece = "3 g"\nlines = [{ ingredient = "egg-whole", mass = "50 g" }]',
    )
    with pytest.raises(BadInput, match="how large a piece is"):
        unit_amounts(bun, PANTRY)


def test_bases_that_are_not_there():
    """Bad input: the sentence lists what can be used."""
    with pytest.raises(BadInput, match="'part', 'total', 'mass' or one of"):
        percentages(with_poolish(30), PANTRY, "dough", "butter")
    with pytest.raises(NotFound, match="no part 'filling'"):
        percentages(with_poolish(30), PANTRY, "filling")
    with pytest.raises(BadInput, match="whole formula"):
        percentages(with_poolish(30), PANTRY, None, "part")
