from __future__ import annotations

import pytest

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.warnings import RULES, warnings
from smallhours.bakery.ingredient import Ingredient
from smallhours.bakery.pantry import Pantry

LEAN = {"bread-flour": 100, "water": 66, "salt": 2, "yeast-instant": 1}
BRIOCHE = {"bread-flour": 100, "milk-whole": 20, "egg-whole": 50, "sugar": 12, "salt": 2, "yeast-fresh": 5}


def told(formula: Formula, pantry: Pantry) -> dict[str, tuple[str, str]]:
    """Severity and sentence by rule."""
    return {finding.rule: (finding.severity, finding.sentence) for finding in warnings(formula, pantry)}


def test_a_plain_bread_has_nothing_to_say(pantry, dough_of):
    """Limit: within all ranges no rule speaks; every rule has its own name."""
    assert told(dough_of(LEAN), pantry) == {}
    assert len({rule.__name__ for rule in RULES}) == len(RULES) == 15


@pytest.mark.parametrize(("salt", "speaks"), [(0.8, True), (0.9, False), (2.5, False), (2.6, True)])
def test_salt(pantry, dough_of, salt, speaks):
    """Published: 0.9 % (a school recipe) to 2.5 % (a brioche, baking-forums 7689) is seen, both inside."""
    assert ("salt_in_range" in told(dough_of({**LEAN, "salt": salt}), pantry)) is speaks


def test_limits_are_those_of_the_table(pantry, dough_of, monkeypatch):
    """Behaviour: salt, yeast and sugar are held against ``usual_ranges``: move its rows, and the rules move too."""
    from smallhours.bakery.formula import dough_rules
    from smallhours.reference.defaults import UsualRange

    dough = dough_of({**LEAN, "sugar": 6})
    assert told(dough, pantry) == {}
    narrow = UsualRange(0.2, 0.3, 0.1, 0.4, "test")
    monkeypatch.setattr(dough_rules, "usual_range", lambda key: narrow)
    says = told(dough, pantry)
    assert set(says) == {"salt_in_range", "yeast_in_range", "sugar_needs_its_yeast"}
    assert "0.1 to 0.4 % is what published formulas hold, 0.2 to 0.3 % is usual" in says["salt_in_range"][1]


def test_no_salt(pantry, dough_of):
    """Limit: none at all is its own warning; a muffin is not asked."""
    says = told(dough_of({**LEAN, "salt": 0}), pantry)
    assert set(says) == {"salt_is_there"}
    assert says["salt_is_there"][0] == "warn"
    assert told(dough_of({"cake-flour": 100, "milk-whole": 80, "sugar": 60, "baking-powder": 4}), pantry) == {}


@pytest.mark.parametrize(
    ("yeast", "more", "severity"),
    [(2.3, {}, None), (2.6, {}, "warn"), (0.05, {}, "note"), (4.1, {"shortening": 10, "sugar": 10}, None)],
)
def test_yeast(pantry, dough_of, yeast, more, severity):
    """Published: doses up to 2.3 % instant (brioche, baking-forums 7689: 7 % fresh) and 4.1 % (army card D-36) pass."""
    says = told(dough_of({**LEAN, **more, "yeast-instant": yeast}), pantry)
    assert (says["yeast_in_range"][0] if "yeast_in_range" in says else None) == severity


def test_nothing_to_raise_it(pantry, dough_of):
    """Hand: a dough that proofs without yeast; the same with a preferment is not asked."""
    proof = '[[stages]]\nkind = "proof"\nduration = "1 h"\n'
    flat = {"bread-flour": 100, "water": 66, "salt": 2}
    assert told(dough_of(flat, more=proof), pantry)["something_raises_it"][0] == "warn"
    levain = (
        '[[parts]]\nid = "levain"\nname = "L"\nkind = "preferment"\nratio_percent = 20\nratio_to = "dough"\nlines = ['
    )
    levain += '{ ingredient = "rye-flour-dark", percent = 100 }, { ingredient = "water", percent = 100 }]\n'
    assert "something_raises_it" not in told(dough_of(flat, more=levain + proof), pantry)


@pytest.mark.parametrize(("sugar", "severity"), [(6.9, None), (8, "note"), (10.5, "warn")])
def test_sugar_and_yeast(pantry, dough_of, sugar, severity):
    """Limit: an osmotolerant yeast above 10 % sugar, better from 7 to 8 % (common practice)."""
    lines = {**LEAN, "sugar": sugar}
    says = told(dough_of(lines), pantry)
    assert (says["sugar_needs_its_yeast"][0] if "sugar_needs_its_yeast" in says else None) == severity
    own = Pantry([Ingredient(id="gold-yeast", name="Osmotolerant yeast", like="yeast-instant")])
    strong = {k: v for k, v in lines.items() if k != "yeast-instant"} | {"gold-yeast": 1}
    assert "sugar_needs_its_yeast" not in told(dough_of(strong), own)


def test_sugar_in_two_goes(pantry, dough_of):
    """Hand: 13 % sugar at once is a note, in two additions it is not (common practice: over 10 to 12 %)."""
    once = told(dough_of({**LEAN, "sugar": 13}), pantry)
    assert once["sugar_in_two_goes"][0] == "note"
    twice = told(dough_of({**LEAN, "sugar": 8, "honey": {"percent": 5, "addition": 2}}), pantry)
    assert "sugar_in_two_goes" not in twice


@pytest.mark.parametrize(
    ("butter", "after", "speaks"), [(15, False, False), (16, False, True), (70, False, True), (70, True, False)]
)
def test_butter_waits_for_the_gluten(pantry, dough_of, butter, after, speaks):
    """Hand: over 15 % of flour goes in after development (common practice)."""
    lines = {**BRIOCHE, "butter-unsalted": {"percent": butter, "addition": 2, "after_development": after}}
    assert ("butter_after_development" in told(dough_of(lines), pantry)) is speaks


def test_butter_in_what_no_yeast_raises(pantry, dough_of):
    """Limit: a scone's butter is rubbed into the flour and no gluten is wanted."""
    scone = dough_of({"all-purpose-flour": 100, "butter-unsalted": 25, "milk-whole": 55, "baking-powder": 5, "salt": 1})
    assert "butter_after_development" not in told(scone, pantry)


@pytest.mark.parametrize(("water", "speaks"), [(40, True), (50, False), (85, False), (97, True)])
def test_water(pantry, dough_of, water, speaks):
    """Limit: pizza has 50 %, whole grain up to 90 %; what is far from any of them is asked about (common practice)."""
    assert ("hydration_is_plausible" in told(dough_of({**LEAN, "water": water}), pantry)) is speaks


def test_true_water_not_poured_liquid(pantry, dough_of):
    """Hand: 70 % milk, 40 % egg is 110 % liquid but 0.8813 x 70 + 0.7615 x 40 = 92 % water; it stays plausible."""
    lines = {"bread-flour": 100, "milk-whole": 70, "egg-whole": 40, "salt": 2, "yeast-instant": 1}
    assert "hydration_is_plausible" not in told(dough_of(lines), pantry)


def test_the_steering_liquid(pantry, dough_of):
    """Hand: with a target temperature, two liquids and no mark are a warning, one a note, a mark silences it."""
    target = 'target_temp = "26 °C"'
    assert told(dough_of(LEAN, part=target), pantry)["steering_liquid_is_marked"][0] == "note"
    two = told(dough_of({**LEAN, "milk-whole": 5}, part=target), pantry)["steering_liquid_is_marked"]
    assert two[0] == "warn"
    assert "water or milk-whole" in two[1]
    marked = dough_of({**LEAN, "milk-whole": 5, "water": {"percent": 60, "tempered": True}}, part=target)
    assert told(marked, pantry) == {}


def test_a_filling_that_runs_out(pantry, dough_of):
    """Hand: 55 % of the dough is over the half that holds (common practice)."""
    for ratio, speaks in ((45, False), (55, True)):
        part = f'[[parts]]\nid = "filling"\nname = "F"\nkind = "filling"\nratio_percent = {ratio}\nratio_to = "dough"\n'
        bun = dough_of(LEAN, more=part + 'lines = [{ ingredient = "almond-paste", mass = "1 kg" }]\n')
        assert ("filling_is_not_too_much" in told(bun, pantry)) is speaks


def test_what_is_not_known(dough_of):
    """Limit: an ingredient nobody knows is named, not taken as nothing."""
    says = warnings(dough_of({**LEAN, "fig-paste": 10}), Pantry([Ingredient(id="fig-paste")]))
    assert {f.rule for f in says} == {"composition_is_known"}
    assert all("fig-paste" in f.sentence for f in says)


def test_too_long_in_the_cold(pantry, dough_of):
    """Published: IREKS compendium 6.3: 48 h at 0 to 5 °C; lively pieces 18 h watch, 24 h stop (common practice)."""

    def says(yeast: float, stages: str) -> str | None:
        dough = dough_of({**LEAN, "butter-unsalted": 8, "yeast-instant": yeast}, more=stages)
        found = told(dough, pantry)
        return found["retard_is_not_too_long"][0] if "retard_is_not_too_long" in found else None

    shape = '[[stages]]\nkind = "shape"\nduration = "10 min"\n'
    cold = '[[stages]]\nkind = "retard"\nduration = "{}"\ntemper = "30 min"\n'
    assert says(1.0, shape + cold.format("48 h")) is None
    assert says(1.0, shape + cold.format("49 h")) == "warn"
    assert says(2.0, shape + cold.format("18 h")) is None
    assert says(2.0, shape + cold.format("19 h")) == "note"
    assert says(2.0, shape + cold.format("25 h")) == "warn"
    assert says(2.0, cold.format("25 h") + shape) is None
    way = '[[stages]]\nkind = "proof"\nduration = "1 h"\n'
    way += 'instead = [{ place = "fridge", duration = "12 h", max = "50 h", temper = "1 h" }]\n'
    assert says(1.0, shape + way) == "warn"


@pytest.mark.parametrize(("temp", "butter", "speaks"), [(28, 50, False), (30, 50, True), (35, 15, False)])
def test_butter_in_the_proof(pantry, dough_of, temp, butter, speaks):
    """Published: IREKS compendium 11.5: 28 °C is the most for a proof with butter."""
    lines = {**BRIOCHE, "butter-unsalted": {"percent": butter, "addition": 2, "after_development": True}}
    proof = f'[[stages]]\nkind = "proof"\nduration = "1 h"\nat_temp = "{temp} °C"\n'
    assert ("butter_proofs_cool" in told(dough_of(lines, more=proof), pantry)) is speaks


def test_dough_temperatures_of_butter_doughs(pantry, dough_of):
    """Published: IREKS compendium 11.3: dough to be laminated comes at 16 to 20 °C; brioche not above 26 °C
    (from memory)."""
    lines = {**BRIOCHE, "butter-unsalted": {"percent": 50, "addition": 2, "after_development": True}}
    for temp, speaks in ((26, False), (27, True)):
        says = told(dough_of(lines, part=f'target_temp = "{temp} °C"'), pantry)
        assert ("dough_with_butter_is_cool" in says) is speaks
    sheet = '[shaping]\nsheet = { length = "60 cm", width = "30 cm", folds = [3, 3, 3] }\n'
    for temp, speaks in ((18, False), (24, True)):
        says = told(dough_of(LEAN, part=f'target_temp = "{temp} °C"', more=sheet), pantry)
        assert ("dough_with_butter_is_cool" in says) is speaks


def test_straight_from_the_cold(pantry, dough_of):
    """Published: IREKS compendium 6.3: retarded pieces are above 16 °C in the core before the oven."""
    bake = '[[stages]]\nkind = "bake"\nduration = "20 min"\nset_temp = "200 °C"\n'
    for temper, speaks in (("", True), ('temper = "45 min"\n', False)):
        stages = f'[[stages]]\nkind = "retard"\nduration = "10 h"\n{temper}' + bake
        assert ("retarded_pieces_warm_up" in told(dough_of(LEAN, more=stages), pantry)) is speaks
