"""Which parts are mixed in a mixer, and how a dough that is only folded follows the bowls of the dough inside it."""

from __future__ import annotations

import pytest

from bakery.orders.bakery_for_orders import FORMULAS, KITCHEN, PANTRY, order
from smallhours.bakery.formula.document import Formula, Line, Part, Stage, Yield
from smallhours.bakery.orders.batches import batches
from smallhours.bakery.orders.mixing import follows, mixer_ranges
from smallhours.bakery.orders.products import mixes_in_mixer

LAMINATED = Formula(
    id="leaf",
    name="Leaf",
    main="laminated",
    output=Yield(piece_mass_g=80, mix_loss_percent=0, divide_loss_percent=0),
    pan="tray",
    pieces_per_pan=12,
    parts=(
        Part(
            id="dough",
            name="Dough",
            lines=(
                Line(ingredient="bread-flour", percent=100),
                Line(ingredient="water", percent=56),
                Line(ingredient="salt", percent=2),
                Line(ingredient="yeast-instant", percent=2),
            ),
        ),
        Part(
            id="block",
            name="Butter block",
            kind="roll-in",
            percent_on="mass",
            lines=(Line(ingredient="butter-unsalted", percent=100),),
        ),
        Part(
            id="laminated",
            name="Laminated dough",
            percent_on="mass",
            lines=(Line(part="dough", percent=80), Line(part="block", percent=20)),
        ),
    ),
    stages=(
        Stage(kind="mix", part="dough", low_s=300),
        Stage(kind="mix", part="block", duration_s=120),
        Stage(kind="sheet", duration_s=600),
        Stage(kind="divide", per_piece_s=5),
        Stage(kind="bake", duration_s=900, set_temp_c=190),
    ),
)


def test_what_is_mixed_in_a_mixer() -> None:
    """Behaviour: doughs are, unless their formula says bench; what is only stirred for a while is not."""
    assert mixes_in_mixer(LAMINATED, "dough")
    assert not mixes_in_mixer(LAMINATED, "block")
    assert not mixes_in_mixer(LAMINATED, "laminated")
    by_hand = Stage(kind="mix", part="dough", place="bench", duration_s=600)
    assert not mixes_in_mixer(LAMINATED.model_copy(update={"stages": (by_hand,)}), "dough")


def test_a_laminated_dough_follows_its_bowls() -> None:
    """Hand: a bowl of 30 kg of dough is 80 % of 37.5 kg laminated; its least, 4 kg, is 5 kg."""
    ranges = follows(LAMINATED, "laminated", KITCHEN, PANTRY)
    assert [(r.mixer, r.min_g, r.max_g) for r in ranges] == [
        ("spiral", pytest.approx(5000), pytest.approx(37500)),
        ("planetary", pytest.approx(1250), pytest.approx(10000)),
    ]
    assert mixer_ranges(LAMINATED, "laminated", KITCHEN, PANTRY) == ()
    assert follows(LAMINATED, "block", KITCHEN, PANTRY) == ()


def test_bowls_of_a_laminated_night() -> None:
    """Hand: 600 pieces of 80 g are 48 kg, two of 24 kg; each has its bowl of 19.2 kg; 9.6 kg of butter."""
    plan = batches((order("leaf", 600),), {**FORMULAS, "leaf": LAMINATED}, KITCHEN, PANTRY)
    by_part = {
        part: [(round(b.mass_g), b.mixers, b.feeds) for b in plan.batches if b.part_id == part]
        for part in ("laminated", "dough", "block")
    }
    assert by_part["laminated"] == [(24000, (), ()), (24000, (), ())]
    assert by_part["dough"] == [
        (19200, ("spiral",), ("leaf.laminated.1",)),
        (19200, ("spiral",), ("leaf.laminated.2",)),
    ]
    assert by_part["block"] == [(9600, (), ("leaf.laminated.1", "leaf.laminated.2"))]
    assert plan.problems == ()
