from __future__ import annotations

import pytest

from smallhours.bakery.formula.absorb import absorbing, main_liquid
from smallhours.bakery.formula.amounts import percentages
from smallhours.bakery.formula.balance import balance
from smallhours.bakery.formula.document import Formula, Line, Part
from smallhours.errors import BadInput, OutOfRange


def _dough(lines, percent_on="part", more=()):
    own = tuple(Line(ingredient=key, percent=percent) for key, percent in lines.items())
    part = Part(id="dough", name="Dough", percent_on=percent_on, lines=(*own, *more))
    return Formula(id="loaf", name="Loaf", parts=(part,))


LEAN = {"bread-flour": 100, "water": 62, "salt": 2, "yeast-instant": 1}


def test_water_follows_point_by_point(pantry):
    """Hand: absorption is water in percent of flour, and water is (to 0.1 %) water: 62 and 3 points are 65 %."""
    wetter = absorbing(_dough(LEAN), pantry, 3.0)
    assert percentages(wetter, pantry, "dough")["water"] == pytest.approx(65.0, abs=0.005)
    rest = percentages(wetter, pantry, "dough")
    assert {key: rest[key] for key in ("bread-flour", "salt", "yeast-instant")} == {
        "bread-flour": pytest.approx(100),
        "salt": pytest.approx(2),
        "yeast-instant": pytest.approx(1),
    }


def test_milk_brings_its_water_and_more(pantry):
    """Published: USDA SR28 row 01077: whole milk is 88.13 % water, so two points of water are 2.27 points of milk."""
    dough = _dough({"bread-flour": 100, "milk-whole": 60, "salt": 2})
    assert main_liquid(dough, pantry).key == "milk-whole"
    wetter = absorbing(dough, pantry, 2.0)
    assert percentages(wetter, pantry, "dough")["milk-whole"] == pytest.approx(60 + 2 / 0.8813, abs=0.01)


def test_all_water_rises_by_the_points_where_a_preferment_brings_some(pantry):
    """Hand: a fifth of the flour in a poolish at 100 % water, the rest with 65 %: 20 + 52 = 72 % in all, then 75 %."""
    poolish = Part(
        id="poolish",
        name="Poolish",
        kind="preferment",
        lines=(Line(ingredient="bread-flour", percent=100), Line(ingredient="water", percent=100)),
    )
    dough = _dough({"bread-flour": 100, "water": 65}, more=(Line(part="poolish", flour_percent=20),))
    formula = dough.model_copy(update={"parts": (*dough.parts, poolish)})
    assert balance(formula, pantry).water_percent == pytest.approx(72.0, abs=0.1)
    assert balance(absorbing(formula, pantry, 3.0), pantry).water_percent == pytest.approx(75.0, abs=0.1)


@pytest.mark.parametrize("percent_on", ["part", "total"])
def test_all_water_rises_by_the_points_on_other_bases(pantry, percent_on):
    """Behaviour: the water in all rises by the points on each basis, also in a dough of true percentages."""
    formula = _dough(LEAN, percent_on)
    before = balance(formula, pantry).water_percent
    assert balance(absorbing(formula, pantry, -4.0), pantry).water_percent == pytest.approx(before - 4.0, abs=0.01)
    whole = sum(LEAN.values())
    true = _dough({key: 100 * value / whole for key, value in LEAN.items()}, "mass")
    changed = absorbing(true, pantry, 5.0)
    assert balance(changed, pantry).water_percent == pytest.approx(before + 5.0, abs=0.01)
    assert sum(line.percent for line in changed.parts[0].lines) == pytest.approx(100.0, abs=1e-4)


def test_no_change_is_the_same_formula(pantry):
    """Limit: no point more or less changes nothing."""
    formula = _dough(LEAN)
    assert absorbing(formula, pantry, 0.0) is formula


def test_what_cannot_be_is_refused(pantry):
    """Bad input: more points than a flour can differ by, no liquid at all, less water than there is to take."""
    with pytest.raises(OutOfRange):
        absorbing(_dough(LEAN), pantry, 16.0)
    with pytest.raises(BadInput, match="no liquid"):
        absorbing(_dough({"bread-flour": 100, "salt": 2}), pantry, 1.0)
    with pytest.raises(BadInput, match="less water"):
        absorbing(_dough({"bread-flour": 100, "water": 5}), pantry, -10.0)
