from __future__ import annotations

import pytest

from smallhours.bakery.formula.audit import RULES, audit
from smallhours.bakery.formula.document import Formula


def found(formula: Formula, pantry) -> dict[str, tuple[str, str]]:
    """Severity and sentence by rule."""
    return {finding.rule: (finding.severity, finding.sentence) for finding in audit(formula, pantry)}


def test_rolls_that_are_too_few(vectors, pantry, dough_of):
    """Published: trade example yield-2: 14 rolls of 56 g from 995 g of dough: 21.2 % missing, 17 fit."""
    expect = vectors["yield-2"]["expect"]
    rolls = dough_of(
        {"bread-flour": "560 g", "water": "330 g", "butter-unsalted": "60 g", "yeast-fresh": "25 g", "salt": "20 g"},
        'output = { piece_mass = "56 g", claimed_pieces = 14 }',
    )
    severity, sentence = found(rolls, pantry)["pieces_are_there"]
    assert severity == "wrong"
    assert f"{expect[2]} % is missing" in sentence
    assert f"{expect[3]} pieces can be made" in sentence


def test_danish_that_is_trimmed(vectors, pantry, dough_of):
    """Published: trade example yield-1: 60 pieces of 3 oz from 202 oz of dough: 10.9 % missing, which may be trim."""
    expect = vectors["yield-1"]["expect"]
    danish = dough_of(
        {"bread-flour": "102 oz", "butter-unsalted": "50 oz", "milk-whole": "50 oz"},
        'output = { piece_mass = "3 oz", claimed_pieces = 60 }',
    )
    severity, sentence = found(danish, pantry)["pieces_are_there"]
    assert severity == "warn"
    assert f"{expect[2]} % is missing" in sentence
    assert "trimmed off" in sentence


def test_a_school_dough(vectors, pantry, dough_of):
    """Published: trade example yield-3: 29.8 lb of ingredients, claimed 28 lb (6 %); 220 x 2 oz is 27.5 lb, which
    agrees with 28 within 2 %."""
    expect = vectors["yield-3"]["expect"]
    dough = dough_of(
        {"bread-flour": "18 lb", "water": "11.8 lb"},
        'output = { piece_mass = "2 oz", claimed_mass = "28 lb", claimed_pieces = 220 }',
    )
    says = found(dough, pantry)
    assert says["yield_is_there"][0] == "warn"
    assert f"{100 * (expect[0] - expect[1]) / expect[0]:.1f} % is missing" in says["yield_is_there"][1]
    assert "claims_agree" not in says


def test_more_than_there_is(pantry, dough_of):
    """Limit: nothing weighs more than its ingredients, and 18 pieces do not come out of 17."""
    dough = dough_of(
        {"bread-flour": "600 g", "water": "395 g"},
        'output = { piece_mass = "56 g", claimed_mass = "1.2 kg", claimed_pieces = 18 }',
    )
    says = found(dough, pantry)
    assert says["yield_is_there"][0] == says["pieces_are_there"][0] == "wrong"
    assert "20.6 % more than there is" in says["yield_is_there"][1]
    assert "it makes 17, not more" in says["pieces_are_there"][1]
    assert "claims_agree" in says


def test_a_clean_formula_has_nothing_to_say(pantry, dough_of):
    """Limit: what adds up is not complained about; every rule has run."""
    rolls = dough_of(
        {"bread-flour": "600 g", "water": {"mass": "395 g", "household": "1 2/3 cup"}},
        'output = { piece_mass = "56 g", claimed_mass = "980 g", claimed_pieces = 17 }',
    )
    assert audit(rolls, pantry) == []
    assert len({rule.__name__ for rule in RULES}) == len(RULES) == 12


def sheeted(dough_of, sheet: str, piece: str = "61 g") -> Formula:
    return dough_of(
        {"bread-flour": 100, "water": 57.6},
        f'output = {{ piece_mass = "{piece}" }}',
        more=f"[shaping]\nsheet = {{ {sheet} }}\n[[stages]]\nkind = 'roll'\nduration = '5 min'\n",
    )


def test_a_sheet_thinner_than_lead(vectors, pantry, dough_of):
    """Published: trade examples usda-2 and usda-3: 3 lb 6 oz on 25 x 10 in at 1/4 in would be 1.495 g/cm3; the true
    thickness is 7.91 mm at 1.20 and 8.25 mm at 1.15 g/cm3."""
    says = found(
        sheeted(dough_of, 'length = "25 in", width = "10 in", thickness = "0.25 in", dough_mass = "3 lb 6 oz"'), pantry
    )
    severity, sentence = says["sheet_has_its_mass"]
    assert severity == "wrong"
    density = float(sentence.split("would be ")[1].split()[0])
    assert density == pytest.approx(vectors["usda-2"]["expect"], abs=0.006)  # the sentence has two decimals
    low, high = vectors["usda-3"]["expect"][1], vectors["usda-3"]["expect"][0] * 1.15 / 1.10
    assert f"{low:.1f} to {high:.1f} mm" in sentence
    true = sheeted(dough_of, 'length = "25 in", width = "10 in", thickness = "8 mm", dough_mass = "3 lb 6 oz"')
    assert "sheet_has_its_mass" not in found(true, pantry)


def test_a_sheet_that_floats(pantry, dough_of):
    """Hand: 600 g on 40 x 30 x 1 cm is 0.5 g/cm3; it is 4.2 to 4.5 mm thick."""
    says = found(
        sheeted(dough_of, 'length = "40 cm", width = "30 cm", thickness = "1 cm", dough_mass = "600 g"'), pantry
    )
    assert says["sheet_has_its_mass"][0] == "warn"
    assert "4.2 to 4.5 mm" in says["sheet_has_its_mass"][1]


@pytest.mark.parametrize(
    ("along", "claimed", "severity"), [("length", 8, None), ("length", 6, "warn"), ("width", 8, "wrong")]
)
def test_slices_of_a_log(pantry, dough_of, along, claimed, severity):
    """Hand: a sheet of 16 x 12 in rolled up along its long side is a 16 in log: 8 slices of 2 in; else 6."""
    formula = sheeted(
        dough_of,
        f'length = "16 in", width = "12 in", roll_along = "{along}", slice_width = "2 in", slices = {claimed}',
    )
    says = found(formula, pantry).get("slices_fit_the_log")
    assert (says and says[0]) == severity
    if severity:
        fits = {"length": 8, "width": 6}[along]
        assert f"gives {fits} slices, not {claimed}; {claimed} slices come from rolling along the" in says[1]


def test_a_log_that_does_not_say_how_it_is_rolled(pantry, dough_of):
    """Hand: 16 x 12 in at 2 in is 8 or 6; a claim of 7 fits neither. 6 would, and nothing is said."""
    for claimed, told in ((7, True), (6, False)):
        says = found(
            sheeted(dough_of, f'length = "16 in", width = "12 in", slice_width = "2 in", slices = {claimed}'), pantry
        )
        assert ("slices_fit_the_log" in says) is told
        if told:
            assert "along the length it makes 8 slices, along the width 6" in says["slices_fit_the_log"][1]


def test_slices_that_do_not_weigh_a_piece(pantry, dough_of):
    """Hand: trade example usda-1: 3 lb 6 oz in 25 rolls is 2.16 oz = 61.2 g, less 1 % dividing 60.6; not 75."""
    sheet = 'length = "25 in", width = "10 in", roll_along = "length", slice_width = "1 in", slices = 25, '
    for piece, told in (("61 g", False), ("75 g", True)):
        says = found(sheeted(dough_of, sheet + 'dough_mass = "3 lb 6 oz"', piece), pantry)
        assert ("slices_have_their_mass" in says) is told


def test_layers_counted_twice(vectors, pantry, dough_of):
    """Published: trade example layer-1: claimed 135 for butter over two thirds and three letter folds; it is 54 layers
    of butter in 55 of dough, 109. Layer-2: an envelope and four letter folds have 81 layers of butter."""
    expect = vectors["layer-1"]["expect"]
    size = 'length = "60 cm", width = "40 cm", '
    wrong = sheeted(dough_of, size + f"folds = [3, 3, 3], lock_in_layers = 2, claimed_layers = {expect['counted']}")
    severity, sentence = found(wrong, pantry)["layers_are_counted_once"]
    assert severity == "warn"
    assert f"{expect['fat']} layers of butter between {expect['dough']} of dough, {expect['total']} in all" in sentence
    assert "counts dough that touches dough twice" in sentence
    for claimed, folds, lock_in in ((expect["total"], [3, 3, 3], 2), (vectors["layer-2"]["expect"], [3, 3, 3, 3], 1)):
        right = sheeted(dough_of, size + f"folds = {folds}, lock_in_layers = {lock_in}, claimed_layers = {claimed}")
        assert "layers_are_counted_once" not in found(right, pantry)


def test_flours_that_are_not_one_hundred(pantry, dough_of):
    """Hand: 30 whole grain and 62 white are 92; 90 flour and 10 cocoa are 100 only if cocoa counts."""
    says = found(dough_of({"whole-wheat-flour": 30, "bread-flour": 62, "water": 65}), pantry)
    assert says["flour_is_one_hundred"][0] == "warn"
    assert "(whole-wheat-flour 30, bread-flour 62) add up to 92 %, not 100;" in says["flour_is_one_hundred"][1]
    says = found(dough_of({"bread-flour": 90, "cocoa": 10, "water": 65}), pantry)
    assert "it is 100 % if cocoa counts as flour" in says["flour_is_one_hundred"][1]
    says = found(dough_of({"bread-flour": 100, "cornstarch": 8, "vital-gluten": 2, "water": 65}), pantry)
    assert "flour_is_one_hundred" not in says
    assert says["near_flours_are_beside"] == (
        "note",
        "cornstarch (8 %), vital-gluten (2 %) stands beside the 100 % of flour, not in it",
    )


def test_true_percentages_and_a_basis_ingredient(pantry, dough_of):
    """Hand: shares of the mass that add up to 105; a filling on butter that is 80."""
    glaze = dough_of({"sugar-powdered": 80, "water": 25}, part='percent_on = "mass"')
    assert "add up to 105 %, not 100" in found(glaze, pantry)["percentages_have_their_basis"][1]
    filling = dough_of({"butter-unsalted": 80, "sugar": 200}, part='percent_on = "butter-unsalted"')
    assert "butter-unsalted, which is 80 %" in found(filling, pantry)["percentages_have_their_basis"][1]
    right = dough_of({"butter-unsalted": 100, "sugar": 200}, part='percent_on = "butter-unsalted"')
    assert found(right, pantry) == {}


def test_a_starter_outside_the_flour(vectors, pantry):
    """Hand: trade example pref-3: written 60 % water and 2 % salt are truly 61.9 and 1.90, 4.76 % of the flour."""
    expect = vectors["pref-3"]["expect"]
    bread = Formula.read_toml(
        'id = "bread"\nname = "Bread"\n[[parts]]\nid = "dough"\nname = "Dough"\nlines = ['
        '{ ingredient = "bread-flour", percent = 100 }, { ingredient = "water", percent = 60 }, '
        '{ ingredient = "salt", percent = 2 }, { part = "starter", percent = 10 }]\n'
        '[[parts]]\nid = "starter"\nname = "Starter"\nkind = "preferment"\nlines = ['
        '{ ingredient = "bread-flour", percent = 100 }, { ingredient = "water", percent = 100 }]',
        "test",
    )
    severity, sentence = found(bread, pantry)["flour_in_the_preferment_counts"]
    assert severity == "note"
    assert f"water {expect['hydration']:.2f} % (written 60 %)" in sentence
    assert f"salt {expect['salt']:.2f} % (written 2 %)" in sentence
    assert f"{expect['prefermented']:.1f} % of its flour" in sentence
    inside = bread.model_copy(
        update={
            "parts": (
                bread.parts[0].model_copy(
                    update={
                        "percent_on": "total",
                        "lines": (
                            *bread.parts[0].lines[:3],
                            bread.parts[0].lines[3].model_copy(update={"percent": None, "flour_percent": 5.0}),
                        ),
                    }
                ),
                bread.parts[1],
            )
        }
    )
    assert "flour_in_the_preferment_counts" not in found(inside, pantry)


def test_household_measures_against_masses(pantry, dough_of):
    """Published: army card D-36 (TM 10-412) and USDA SR28 household weights: 40 cups of flour are 10 lb
    on the card, 12.1 lb by USDA (+21 %); 1 1/2 cups of active dry yeast 8 oz, 10.2 by USDA (+27 %); sugar
    agrees."""
    card = dough_of(
        {
            "bread-flour": {"mass": "10 lb", "household": "40 cups"},
            "sugar": {"mass": "1 lb 12 oz", "household": "4 cups"},
            "yeast-active-dry": {"mass": "8 oz", "household": "1 1/2 cup"},
            "egg-whole": {"mass": "250 g", "household": "5 large"},
        }
    )
    says = [f for f in audit(card, pantry) if f.rule == "measures_weigh_what_they_say"]
    assert [f.where for f in says] == ["part 'dough', bread-flour", "part 'dough', yeast-active-dry"]
    assert "+21 %, more than the 20 %" in says[0].sentence
    assert "+27 %, more than the 10 %" in says[1].sentence


def test_household_measures_against_one_another(pantry, dough_of):
    """Hand: in percent, the median of the measures is the scale: 500 g flour, 122 milk, 113 butter; 24 salt is 5 %."""
    bread = dough_of(
        {
            "all-purpose-flour": {"percent": 100, "household": "4 cups"},
            "water": {"percent": 60, "household": "300 ml"},
            "milk-whole": {"percent": 24.4, "household": "1/2 cup"},
            "butter-unsalted": {"percent": 22.6, "household": "1 stick"},
            "salt": {"percent": 2, "household": "4 tsp"},
        }
    )
    says = [f for f in audit(bread, pantry) if f.rule == "measures_weigh_what_they_say"]
    assert [f.where for f in says] == ["part 'dough', salt"]
    assert "24 g (USDA), the other measures together say 10 g: +140 %" in says[0].sentence


def test_a_measure_that_cannot_be_read(pantry, dough_of):
    """Bad input: words without a number, and ounces that may be either."""
    bread = dough_of(
        {
            "bread-flour": {"mass": "500 g", "household": "some cups"},
            "water": {"mass": "300 g", "household": "10 oz"},
            "salt": {"mass": "6 g", "household": "1/0 tsp"},
        }
    )
    says = [f for f in audit(bread, pantry) if f.rule == "measures_weigh_what_they_say"]
    assert [f.severity for f in says] == ["note", "note", "note"]
    assert "write it like '2 1/2 cup'" in says[0].sentence
    assert "is a mass" in says[1].sentence


def test_claims_of_nothing(pantry, dough_of):
    """Limit: a claimed mass of 0 g is missing all of it, and is not divided by."""
    dough = dough_of(
        {"bread-flour": "600 g", "water": "395 g"},
        'output = { piece_mass = "56 g", claimed_mass = "0 g", claimed_pieces = 17 }',
    )
    assert "100.0 % is missing" in found(dough, pantry)["yield_is_there"][1]


def test_a_base_dough_without_output(pantry, dough_of):
    """Limit: a formula that names no piece is audited without complaint."""
    assert audit(dough_of({"bread-flour": 100, "water": 60}), pantry) == []
