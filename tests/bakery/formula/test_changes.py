from __future__ import annotations

from smallhours.bakery.formula.changes import changes
from smallhours.bakery.formula.document import Formula

BUN = """
id = "bun"
name = "Bun"
[[parts]]
id = "dough"
name = "Dough"
lines = [{{ ingredient = "bread-flour", percent = 100 }}, {{ ingredient = "water", percent = 60 }},
  {{ ingredient = "{fat}", percent = {fat_percent} }}]
[[parts]]
id = "filling"
name = "Filling"
kind = "filling"
percent_on = "butter-unsalted"
ratio_percent = {ratio}
ratio_to = "dough"
lines = [{{ ingredient = "butter-unsalted", percent = 100 }}, {{ ingredient = "sugar-brown", percent = {sugar} }},
  {{ ingredient = "{flavour}", percent = 10 }}]
"""


def bun(**changed: object) -> Formula:
    as_it_was: dict[str, object] = {
        "fat": "butter-unsalted", "fat_percent": 12, "ratio": 30, "sugar": 150, "flavour": "cinnamon"
    }  # fmt: skip
    return Formula.read_toml(BUN.format(**{**as_it_was, **changed}), "test")


def test_nothing_changed(pantry):
    """Limit: a formula against itself."""
    assert changes(bun(), bun(), pantry) == []


def test_more_filling(pantry):
    """Hand: 30 % of the dough becomes 36 %; sugar on butter stays and is not complained about."""
    found = changes(bun(), bun(ratio=36), pantry)
    assert [(f.rule, f.severity) for f in found] == [("filling_ratio_changed", "warn")]
    assert "was 30.0 % of the dough, now 36.0 %" in found[0].sentence


def test_sugar_on_butter_in_the_filling(pantry):
    """Hand: 150 brown sugar on 100 butter is 0.9702 x 1.5 = 1.455 sugar per butter, with 0.001 of the butter and 0.002
    of the cinnamon 1.458; with 120 it is 1.164 + 0.003 = 1.167."""
    found = {f.rule: f for f in changes(bun(), bun(sugar=120), pantry)}
    assert found["filling_keeps_its_sugar_on_butter"].severity == "warn"
    assert "was 1.46, now 1.17:" in found["filling_keeps_its_sugar_on_butter"].sentence


def test_another_flavour_keeps_the_ratio(pantry):
    """Hand: cardamom for cinnamon leaves sugar on butter within 2 %; the flavour adds 0.2 g sugar per 100 g butter."""
    rules = {f.rule for f in changes(bun(), bun(flavour="cardamom"), pantry)}
    assert "filling_keeps_its_sugar_on_butter" not in rules


def test_what_the_dough_holds(pantry):
    """Hand: 12 % butter is 9.73 fat and 59.94 + 2.15 = 62.09 water; 30 % is 24.33 fat (rich) and 65.32 water."""
    found = {f.rule: f.sentence for f in changes(bun(), bun(fat_percent=30), pantry)}
    assert found["dough_class_changed"].startswith("was enriched, now rich")
    assert found["fat_changed"] == "fat was 9.73 % of flour, now 24.33 %"
    assert found["water_changed"] == "water was 62.09 % of flour, now 65.32 %"
    assert found["ingredient_changed"] == "was 12.00 % of flour, now 30.00 %"


def test_allergens_that_come_and_go(pantry):
    """Hand: almond paste in the filling brings almonds; the most serious come first."""
    found = changes(bun(), bun(flavour="almonds", fat="oil-olive"), pantry)
    assert found[0].severity == "warn"
    assert {f.rule: f.sentence for f in found}["allergen_came"] == "now contains almond, nuts: the label has to say so"
    back = {f.rule: f.sentence for f in changes(bun(flavour="almonds"), bun(), pantry)}
    assert back["allergen_went"] == "no longer contains almond, nuts"


def test_a_part_that_goes(pantry):
    """Behaviour: a filling that is no longer there is a warning."""
    plain = bun().model_copy(update={"parts": bun().parts[:1]})
    assert ("part_came_or_went", "is gone in the other version") in {
        (f.rule, f.sentence) for f in changes(bun(), plain, pantry)
    }
