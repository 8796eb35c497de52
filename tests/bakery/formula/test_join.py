from __future__ import annotations

import pytest

from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.join import dough_id, joined
from smallhours.errors import DocumentError, NotFound

BRAID = """
id = "braid"
name = "Braid"
pan = "tray"
pieces_per_pan = 4
output = { piece_mass = "450 g" }
cautions = ["Cold eggs."]
[[parts]]
id = "dough"
name = "Dough"
lines = [{ ingredient = "bread-flour", percent = 100 }, { ingredient = "water", percent = 50 }]
[[parts]]
id = "wash"
name = "Wash"
mass_per_piece = "12 g"
lines = [{ ingredient = "egg-whole", mass = "50 g" }]
[[stages]]
kind = "mix"
low = "8 min"
[[stages]]
kind = "ferment"
duration = "1 h"
[[stages]]
kind = "divide"
duration = "5 min"
[[stages]]
kind = "shape"
duration = "20 min"
[[stages]]
kind = "bake"
duration = "28 min"
set_temp = "180 °C"
"""
BUNS = """
id = "burger-bun"
name = "Burger bun"
base = "braid"
pan = "tray"
pieces_per_pan = 15
output = { piece_mass = "95 g" }
[[parts]]
id = "wash"
name = "Thin wash"
mass_per_piece = "3 g"
lines = [{ ingredient = "egg-white", mass = "33 g" }]
[[parts]]
id = "seeds"
name = "Seeds"
mass_per_piece = "2 g"
lines = [{ ingredient = "sesame-seed", mass = "1 g" }]
[[stages]]
kind = "divide"
duration = "2 min"
[[stages]]
kind = "bake"
duration = "14 min"
set_temp = "195 °C"
uses = ["seeds"]
"""


def books() -> dict[str, Formula]:
    return {f.id: f for f in (Formula.read_toml(BRAID, "braid"), Formula.read_toml(BUNS, "buns"))}


def test_buns_from_the_braids_dough():
    """Hand: dough and first stages are the braid's; from dividing on, and the wash, the buns have their own."""
    known = books()
    buns = joined(known["burger-bun"], known.__getitem__)
    assert buns.base is None
    assert [part.name for part in buns.parts] == ["Dough", "Thin wash", "Seeds"]
    assert [stage.key for stage in buns.stages] == ["mix", "ferment", "divide", "bake"]
    assert buns.stages[-1].set_temp_c == 195
    assert (buns.pieces_per_pan, buns.output.piece_mass_g, buns.cautions) == (15, 95, ("Cold eggs.",))
    assert dough_id(known["burger-bun"]) == dough_id(known["braid"]) == "braid"


def test_what_a_formula_does_not_say_its_base_says():
    """Behaviour: pan, pieces on it and piece mass are the base's; a formula without a base stays as it is."""
    known = books()
    plain = known["burger-bun"].model_copy(update={"pan": None, "output": None, "pieces_per_pan": 1})
    got = joined(plain, known.__getitem__)
    assert (got.pan, got.pieces_per_pan, got.output.piece_mass_g) == ("tray", 4, 450)
    assert joined(known["braid"], known.__getitem__) is known["braid"]


def test_a_base_that_does_not_fit():
    """Bad input: faults that only show once joined are all named."""
    known = books()
    broken = known["burger-bun"].model_copy(update={"parts": (known["burger-bun"].parts[1],)})
    stray = broken.model_copy(
        update={"stages": (broken.stages[-1].model_copy(update={"uses": ("icing",), "part": "icing"}),)}
    )
    with pytest.raises(DocumentError, match=r"burger-bun.*joined to its base 'braid'") as error:
        joined(stray, known.__getitem__)
    assert len(error.value.faults) == 2


def test_a_base_on_a_base():
    """Bad input: the sentence says which base to name."""
    known = books()
    third = known["burger-bun"].model_copy(update={"id": "slider", "base": "burger-bun"})
    with pytest.raises(DocumentError, match="name 'braid' as the base"):
        joined(third, known.__getitem__)


def test_a_base_that_is_not_there():
    """Bad input: what the look-up raises comes through."""

    def find(formula_id: str) -> Formula:
        raise NotFound(f"no formula {formula_id!r}")

    with pytest.raises(NotFound, match="'braid'"):
        joined(books()["burger-bun"], find)
