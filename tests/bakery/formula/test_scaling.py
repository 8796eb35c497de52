from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.scaling import (
    scale_by_dough_mass,
    scale_by_flour,
    scale_by_ingredient,
    scale_by_pans,
    scale_by_pieces,
)
from smallhours.bakery.pantry import Pantry
from smallhours.errors import BadInput, NotFound, OutOfRange

PANTRY = Pantry()

BUN = """
id = "bun"
name = "Bun"
pieces_per_pan = 12
output = { piece_mass = "90 g", mix_loss_percent = 1, divide_loss_percent = 2 }
[[parts]]
id = "dough"
name = "Dough"
lines = [
  { ingredient = "bread-flour", percent = 100 },
  { ingredient = "milk-whole", percent = 50 },
  { ingredient = "butter-unsalted", percent = 20 },
]
[[parts]]
id = "filling"
name = "Filling"
kind = "filling"
percent_on = "butter-unsalted"
ratio_percent = 30
ratio_to = "dough"
lines = [{ ingredient = "butter-unsalted", percent = 100 }, { ingredient = "sugar-brown", percent = 200 }]
[[parts]]
id = "glaze"
name = "Glaze"
kind = "glaze"
percent_on = "mass"
mass_per_piece = "10 g"
lines = [{ ingredient = "sugar-powdered", percent = 80 }, { ingredient = "butter-unsalted", percent = 20 }]
[[parts]]
id = "grease"
name = "Grease"
kind = "topping"
mass_per_pan = "6 g"
lines = [{ ingredient = "butter-unsalted", mass = "6 g" }]
"""


def bun() -> Formula:
    return Formula.read_toml(BUN, "test")


def test_losses_worked_backwards(vectors, dough_of):
    """Hand: trade example batch-1: 85/0.88 = 96.59 -> 97 g; 120 x 97 = 11.64 kg; /0.985/0.99 = 11.937 kg.

    Flour is 11.937/1.9875 = 6.006 kg."""
    expect = vectors["batch-1"]["expect"]
    roll = dough_of(
        {"bread-flour": 100, "water": 98.75},
        'output = { baked_mass = "85 g", bake_loss_percent = 12, divide_loss_percent = 1.5, mix_loss_percent = 1 }',
    )
    scaled = scale_by_pieces(roll, PANTRY, 120)
    assert scaled.losses.piece_exact_g == pytest.approx(expect["piece"], abs=0.005)
    assert scaled.piece_mass_g == expect["piece_rounded"]
    assert scaled.losses.divided_g == pytest.approx(expect["dough"])
    assert scaled.losses.weighed_g == pytest.approx(expect["mix"], abs=0.05)
    assert scaled.amounts.flour_g == pytest.approx(expect["flour"], abs=0.05)
    assert scaled.losses.sold_g == pytest.approx(97 * 0.88)


def test_chained_losses_of_a_day(vectors, dough_of):
    """Hand: trade example loss-2: 500 lb of bread after 11 % and 2 % is 500/0.89/0.98 = 573.26 lb of ingredients."""
    bread = dough_of(
        {"bread-flour": 100},
        'output = { baked_mass = "1 lb", bake_loss_percent = 11, divide_loss_percent = 0, mix_loss_percent = 2 }',
    )
    scaled = scale_by_pieces(bread, PANTRY, 500, step_g=1e-6)
    assert scaled.losses.weighed_g / 453.59237 == pytest.approx(vectors["loss-2"]["expect"], abs=0.005)


@pytest.mark.parametrize(("example", "sold", "divided"), [("loss-4", 75, 84), ("loss-5", 267, 314)])
def test_bake_losses_that_were_measured(vectors, dough_of, example, sold, divided):
    """Published: trade examples loss-4 and loss-5; a loss of that size brings the divided mass back within 0.1 %."""
    loss = vectors[example]["expect"]
    bread = dough_of({"bread-flour": 100}, f'output = {{ baked_mass = "{sold} g", bake_loss_percent = {loss} }}')
    assert scale_by_pieces(bread, PANTRY, 1, step_g=0.001).piece_mass_g == pytest.approx(divided, rel=0.001)


def test_flour_for_a_published_batch(vectors, dough_of):
    """Published: trade example philip-1: 750 g of a 176 % dough takes 426 g of flour (426.1 exactly)."""
    roll = dough_of({"bread-flour": 100, "milk-whole": 20, "water": 32, "salt": 2, "yeast-instant": 2,
                     "butter-unsalted": 15, "honey": 5})  # fmt: skip
    assert scale_by_dough_mass(roll, PANTRY, 750).amounts.flour_g == pytest.approx(
        vectors["philip-1"]["expect"], abs=0.05
    )


def test_rounding_up_never_down(dough_of):
    """Limit: a piece that needs no rounding stays; a hair more takes the next step of the scale."""
    for baked, step, expect in (("88 g", 1, 100), ("88.01 g", 1, 101), ("88.01 g", 5, 105), ("88.01 g", 0.5, 100.5)):
        roll = dough_of({"bread-flour": 100}, f'output = {{ baked_mass = "{baked}", bake_loss_percent = 12 }}')
        assert scale_by_pieces(roll, PANTRY, 1, step_g=step).piece_mass_g == expect


def test_what_goes_with_the_dough_counts_in_the_sold_piece():
    """Hand: sold 128 g, 30 % filling and 0.5 g grease baked, 10 g glaze: (128 - 10 - 0.44)/(1.3 x 0.88) = 102.8."""
    piece = bun().model_copy(
        update={"output": bun().output.model_copy(update={"piece_mass_g": None, "baked_mass_g": 128.0})}
    )
    scaled = scale_by_pieces(piece, PANTRY, 12, step_g=0.01)
    assert scaled.losses.piece_exact_g == pytest.approx((128 - 10 - 0.5 * 0.88) / (1.3 * 0.88))
    assert scaled.losses.sold_g == pytest.approx(128, abs=0.02)


def test_other_parts_scale_along():
    """Hand: 24 buns of 90 g are 2160 g, 2226.3 g weighed; filling 30 % of that, glaze 24 x 10 g, grease 2 x 6 g."""
    scaled = scale_by_pieces(bun(), PANTRY, 24)
    masses = {name: part.mass_g for name, part in scaled.amounts.parts.items()}
    weighed = 2160 / 0.98 / 0.99
    assert masses == pytest.approx({"dough": weighed, "filling": 0.3 * weighed, "glaze": 240, "grease": 12})
    assert scaled.pans == 2
    assert scale_by_pieces(bun(), PANTRY, 25).pans == 3
    assert scale_by_pieces(bun(), PANTRY, 25).amounts.parts["grease"].mass_g == pytest.approx(18)


def test_seven_kilos_of_butter(dough_of):
    """Hand: 7.2 kg of butter at 20 % of flour is 36 kg of flour, 61.2 kg of dough; 90 g pieces after 1 and 2 %: 659."""
    plain = dough_of(
        {"bread-flour": 100, "milk-whole": 50, "butter-unsalted": 20},
        'output = { piece_mass = "90 g", mix_loss_percent = 1, divide_loss_percent = 2 }',
    )
    scaled = scale_by_ingredient(plain, PANTRY, "butter-unsalted", 7200)
    assert scaled.amounts.flour_g == pytest.approx(36000)
    assert scaled.losses.weighed_g == pytest.approx(61200)
    assert scaled.pieces == 659 == int(61200 * 0.99 * 0.98 / 90)
    assert scaled.amounts.ingredients()["butter-unsalted"] == pytest.approx(7200)


@settings(max_examples=40, deadline=None)
@given(mass=st.floats(50, 50000))
def test_an_ingredient_on_hand_is_enough(mass):
    """Property: butter in four parts, some by piece and pan: never more than there is, and a pan more is too much."""
    scaled = scale_by_ingredient(bun(), PANTRY, "butter-unsalted", mass)
    assert scaled.amounts.ingredients()["butter-unsalted"] <= mass * (1 + 1e-9)
    further = scale_by_pieces(bun(), PANTRY, scaled.pieces + 13)
    assert further.amounts.ingredients()["butter-unsalted"] > mass


def test_an_ingredient_used_by_the_piece_only():
    """Hand: 1 kg of powdered sugar at 8 g a piece glazes 125 pieces; for 7 g there is not one."""
    assert scale_by_ingredient(bun(), PANTRY, "sugar-powdered", 1000).pieces == 125
    with pytest.raises(OutOfRange, match="not enough for the first piece"):
        scale_by_ingredient(bun(), PANTRY, "sugar-powdered", 7)


@settings(max_examples=40, deadline=None)
@given(pieces=st.integers(1, 999_999))
def test_pieces_to_dough_and_flour_and_back(pieces):
    """Round trip: the dough or flour for so many pieces gives so many pieces, and the same masses."""
    there = scale_by_pieces(bun(), PANTRY, pieces)
    for back in (
        scale_by_dough_mass(bun(), PANTRY, there.losses.weighed_g),
        scale_by_flour(bun(), PANTRY, there.amounts.flour_g),
    ):
        assert back.pieces == pieces
        assert back.amounts.ingredients() == pytest.approx(there.amounts.ingredients())


def test_pans_to_pieces():
    """Round trip: full pans hold a whole number of pieces."""
    assert scale_by_pans(bun(), PANTRY, 7).pieces == 84
    assert scale_by_pans(bun(), PANTRY, 7).pans == 7


def test_a_dough_that_others_share(dough_of):
    """Behaviour: a formula without a piece scales by mass and says 0 pieces; by pieces it is refused."""
    shared = dough_of({"bread-flour": 100, "water": 60})
    assert scale_by_dough_mass(shared, PANTRY, 1600).pieces == 0
    assert scale_by_ingredient(shared, PANTRY, "water", 600).amounts.flour_g == pytest.approx(1000)
    with pytest.raises(BadInput, match="does not say how large a piece is"):
        scale_by_pieces(shared, PANTRY, 10)


@pytest.mark.parametrize("pieces", [0, -3, 1_000_000, 10**12, 1.5, float("nan"), float("inf"), True])
def test_impossible_numbers_of_pieces(pieces):
    """Bad input: refused in one sentence with what was found."""
    with pytest.raises(OutOfRange, match=r"from 1 to 999999 \(found"):
        scale_by_pieces(bun(), PANTRY, pieces)


@pytest.mark.parametrize("mass", [0.0, -1.0, float("nan"), float("inf")])
def test_impossible_masses(mass):
    """Bad input: no mass of dough, flour or butter can be that."""
    for scale in (scale_by_dough_mass, scale_by_flour):
        with pytest.raises(OutOfRange, match="above 0 g"):
            scale(bun(), PANTRY, mass)
    with pytest.raises(OutOfRange, match="above 0 g"):
        scale_by_ingredient(bun(), PANTRY, "butter-unsalted", mass)


def test_an_ingredient_that_is_not_in_it():
    """Bad input: the sentence names what is."""
    with pytest.raises(NotFound, match=r"no 'rum' in it.*butter-unsalted"):
        scale_by_ingredient(bun(), PANTRY, "rum", 100)


def test_a_filling_heavier_than_the_piece():
    """Bad input: 10 g of glaze on an 8 g piece."""
    tiny = bun().model_copy(
        update={"output": bun().output.model_copy(update={"piece_mass_g": None, "baked_mass_g": 8.0})}
    )
    with pytest.raises(OutOfRange, match="nothing is left for the dough"):
        scale_by_pieces(tiny, PANTRY, 1)
