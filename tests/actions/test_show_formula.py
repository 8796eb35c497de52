"""A formula laid open, the list of formulas, and the liquid of a bowl."""

from __future__ import annotations

from pathlib import Path

import pytest

from smallhours.actions.find_liquid import BY_HAND, FindLiquid, find_liquid
from smallhours.actions.list_formulas import list_formulas
from smallhours.actions.permissions import Actor
from smallhours.actions.save_formula import SaveFormula, save_formula
from smallhours.actions.show_formula import ShowFormula, show_formula
from smallhours.bakery.formula.document import Formula
from smallhours.errors import BadInput, NotFound, OutOfRange
from smallhours.records import queries

VISITOR = Actor("Vera", "reader")


def test_masses_and_percentages_of_a_number_of_pieces(bakery: Path) -> None:
    """Hand: 20 x 900 g, 1 % lost in the bowl and 1 % on the bench: 18 000 / 0.99^2 = 18 365.5 g over 167.8 %.

    Flour 10 944.9, water 7 114.2, salt 218.9, yeast 87.6 g; at 5 g (half a step is within 2 %
    of the salt) 10 945, 7 115, 220; the yeast at 1 g: 88.
    """
    shown = show_formula(ShowFormula("hearth-loaf", pieces=20), VISITOR)
    (part,) = shown.parts
    assert part.exact_g == pytest.approx(18_000 / 0.99**2)
    assert [round(line.exact_g, 1) for line in part.lines] == [10944.9, 7114.2, 218.9, 87.6]
    assert [(line.mass_g, line.step_g) for line in part.lines] == [(10945, 5), (7115, 5), (220, 5), (88, 1)]
    assert [round(line.percent, 6) for line in part.lines] == [100, 65, 2, 0.8]
    assert (shown.scaled.pieces, shown.scaled.pans) == (20, 4)
    assert (part.basis, part.digits) == ("part", 1)
    assert shown.names["water"] == ("Water", "Agua")


def test_without_an_amount_about_ten_kilograms_in_whole_pans(bakery: Path) -> None:
    """Hand: 10 000 x 0.99^2 / 900 g is 10.9 pieces, with 6 in a pan one whole pan."""
    shown = show_formula(ShowFormula("hearth-loaf"))
    assert (shown.scaled.pieces, shown.scaled.pans) == (6, 1)


def test_a_product_on_another_dough(bakery: Path) -> None:
    """Behaviour: the roll shows its base's dough with its own pieces."""
    shown = show_formula(ShowFormula("hearth-roll", pans=2))
    assert shown.formula.base == "hearth-loaf"
    assert shown.whole.base is None
    assert shown.scaled.pieces == 40
    assert [line.key for line in shown.parts[0].lines] == ["bread-flour", "water", "salt", "yeast-instant"]


def test_what_is_on_hand_or_the_flour_sets_the_size(bakery: Path) -> None:
    """Hand: 5 kg of flour need 3.25 kg of water at 65 %; 3.25 kg of water on hand take the same 5 kg of flour."""
    by_flour = show_formula(ShowFormula("hearth-loaf", flour_g=5000)).parts[0]
    on_hand = show_formula(ShowFormula("hearth-loaf", on_hand=("water", 3250.0))).parts[0]
    for part in (by_flour, on_hand):
        assert [round(line.exact_g) for line in part.lines] == [5000, 3250, 100, 40]


def test_too_little_for_the_scale_is_said(bakery: Path) -> None:
    """Hand: one roll of 80 g has 80 / 0.99^2 x 0.8 / 167.8 = 0.39 g of yeast, under 20 steps of 1 g."""
    shown = show_formula(ShowFormula("hearth-roll", pieces=1))
    yeast = shown.parts[0].lines[3]
    assert yeast.exact_g == pytest.approx(80 / 0.99**2 * 0.8 / 167.8)
    assert "premix" in str(yeast.finer)
    assert shown.parts[0].lines[0].finer is None


def test_former_revisions_are_shown_as_they_were(bakery: Path) -> None:
    """Behaviour: revision 1 keeps its 65 % of water after an edit to 70 %."""
    loaf = queries.kept_formula("hearth-loaf").document
    part = loaf.parts[0]
    lines = (part.lines[0], part.lines[1].model_copy(update={"percent": 70.0}), *part.lines[2:])
    save_formula(SaveFormula(loaf.model_copy(update={"parts": (part.model_copy(update={"lines": lines}),)})))
    for number, water in ((None, 70), (1, 65), (2, 70)):
        shown = show_formula(ShowFormula("hearth-loaf", number))
        assert round(shown.parts[0].lines[1].percent, 6) == water
        assert (shown.number, shown.newest) == (number or 2, 2)


def test_parts_stand_on_their_own_basis(bakery: Path) -> None:
    """Hand: a filling on its butter, 100 + 150; a glaze without flour that names none stands on its mass, 80 + 20."""
    bun = Formula.read(
        {
            "id": "bun", "name": "Bun", "base": "hearth-loaf", "output": {"piece_mass_g": 100},
            "parts": [
                {"id": "filling", "name": "Filling", "kind": "filling", "percent_on": "butter-unsalted",
                 "mass_per_piece_g": 50,
                 "lines": [{"ingredient": "butter-unsalted", "percent": 100}, {"ingredient": "sugar", "percent": 150}]},
                {"id": "glaze", "name": "Glaze", "kind": "glaze", "percent_on": "mass", "mass_per_piece_g": 10,
                 "lines": [{"ingredient": "sugar", "percent": 80}, {"ingredient": "water", "percent": 20}]},
            ],
            "stages": [{"kind": "divide", "per_piece_s": 5},
                       {"kind": "bake", "duration_s": 900, "set_temp_c": 200, "uses": ["filling"]}],
        },
        "bun",
    )  # fmt: skip
    save_formula(SaveFormula(bun))
    dough, filling, glaze = show_formula(ShowFormula("bun", pieces=10)).parts
    assert (filling.basis, [round(x.percent, 6) for x in filling.lines]) == ("butter-unsalted", [100, 150])
    assert filling.basis_line is filling.lines[0]
    assert filling.balance is None
    assert (glaze.basis, [round(x.percent, 6) for x in glaze.lines]) == ("mass", [80, 20])
    assert [round(x.exact_g) for x in filling.lines] == [200, 300]
    assert dough.balance is not None


def test_questions_that_have_no_answer(bakery: Path) -> None:
    """Bad input: an unknown formula, 0 pieces, a million, two amounts at once, an ingredient that is not in it."""
    for command, error, words in (
        (ShowFormula("hearth-lof"), NotFound, "did you mean"),
        (ShowFormula("hearth-loaf", pieces=0), OutOfRange, "from 1 to 999999"),
        (ShowFormula("hearth-loaf", pieces=1_000_000), OutOfRange, "from 1 to 999999"),
        (ShowFormula("hearth-loaf", pieces=3, flour_g=5), BadInput, "pieces and flour were given together"),
        (ShowFormula("hearth-loaf", dough_g=float("nan")), OutOfRange, "dough"),
        (ShowFormula("hearth-loaf", on_hand=("butter-unsalted", 7200.0)), NotFound, "there are: bread-flour"),
    ):
        with pytest.raises(error, match=words):
            show_formula(command)


def test_the_list_says_what_each_formula_is(bakery: Path) -> None:
    """Hand: both are lean (no fat, no sugar) with 65 % of water; by name; neither is only a shared dough."""
    listed = list_formulas(VISITOR)
    assert [(one.formula.id, one.number, one.shared) for one in listed] == [
        ("hearth-loaf", 1, False),
        ("hearth-roll", 1, False),
    ]
    for one in listed:
        assert one.balance is not None
        assert one.balance.dough_class == "lean"
        assert one.balance.water_percent == pytest.approx(65, abs=0.2)


def test_the_liquid_of_a_bowl(bakery: Path) -> None:
    """Hand: the sum rule with 3 terms: 3 x 24 - 21 (room) - 20 (flour) - 12 (friction of this mixer) = 19 °C."""
    answer = find_liquid(FindLiquid("hearth-roll"), VISITOR)
    assert answer.rule_temp_c == pytest.approx(19.0)
    assert answer.liquids == ("water",)


def test_a_bowl_nobody_has(bakery: Path) -> None:
    """Bad input: more than any mixer takes, an unknown mixer, an unknown part; by hand is always possible."""
    for command, error, words in (
        (FindLiquid("hearth-loaf", mass_g=500_000.0), BadInput, "no mixer takes 500 kg"),
        (FindLiquid("hearth-loaf", mixer="planetary"), NotFound, "it has: spiral"),
        (FindLiquid("hearth-loaf", part="filling"), NotFound, "there are: dough"),
    ):
        with pytest.raises(error, match=words):
            find_liquid(command)
    assert find_liquid(FindLiquid("hearth-loaf", mass_g=2000.0, mixer=BY_HAND)).heat.rise_k >= 0
