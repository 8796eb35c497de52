"""The weigh-up: in turn, at the scale's step, sums kept, ice out of the water, cautions as keys."""

from __future__ import annotations

import math
from dataclasses import dataclass

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smallhours.bakery.formula.document import Formula, Line, Part, Stage
from smallhours.bakery.formula.part_amounts import part_amounts
from smallhours.bakery.kitchen.document import Kitchen, Temperatures
from smallhours.bakery.pantry import Pantry
from smallhours.bakery.process.cautions import Caution, cautions_for_bowl, cautions_for_stage
from smallhours.bakery.process.weigh_up import Bowlful, WeighUp, weigh_up

PANTRY = Pantry()
KITCHEN = Kitchen(id="k", name="K", timezone="UTC", temperatures=Temperatures(room_c=20), scale_steps_g=(0.1, 1.0, 5.0))
FORMULA = Formula(
    id="bun",
    name="Bun",
    pan="tray",
    parts=(
        Part(
            id="dough",
            name="Dough",
            lines=(
                Line(ingredient="bread-flour", percent=100, addition=2),
                Line(ingredient="butter-unsalted", percent=20, after_development=True, addition=3, note="in thirds"),
                Line(ingredient="water", percent=30, tempered=True),
                Line(ingredient="milk-whole", percent=25, tempered=True),
                Line(ingredient="salt", percent=2, addition=2),
                Line(ingredient="yeast-instant", percent=1, addition=2),
            ),
        ),
        Part(
            id="filling",
            name="Filling",
            kind="filling",
            percent_on="butter-unsalted",
            mass_per_piece_g=30,
            lines=(
                Line(ingredient="butter-unsalted", percent=100),
                Line(ingredient="sugar", percent=100),
                Line(ingredient="egg-whole", percent=20),
            ),
        ),
        Part(
            id="wash",
            name="Wash",
            kind="wash",
            percent_on="egg-whole",
            mass_per_piece_g=3,
            lines=(Line(ingredient="egg-whole", percent=100),),
        ),
    ),
    stages=(
        Stage(kind="mix", low_s=240, high_s=300),
        Stage(kind="fill", per_piece_s=5, uses=("filling",)),
        Stage(kind="bake", duration_s=900, set_temp_c=190, steam=True, uses=("wash",)),
        Stage(kind="cool", duration_s=1800),
        Stage(kind="finish", per_piece_s=5, uses=("filling",)),
    ),
)


@dataclass(frozen=True)
class _Bowl:
    """A batch as the weigh-up sees it."""

    formula: Formula
    part_id: str
    mass_g: float
    mixers: tuple[str, ...] = ("spiral",)

    @property
    def amounts(self):  # type: ignore[no-untyped-def]
        return part_amounts(self.formula, self.part_id, self.mass_g, PANTRY)


@dataclass(frozen=True)
class _Poured:
    liquid_temp_c: float
    ice_g: float = 0.0


def _sheet(part: str = "dough", mass_g: float = 17_800.0, poured: _Poured | None = None) -> WeighUp:
    bowl: Bowlful = _Bowl(FORMULA, part, mass_g)
    return weigh_up(bowl, PANTRY, KITCHEN, poured)


def test_masses_and_turns() -> None:
    """Hand: 17.8 kg of 178 parts: 10 kg flour, 3 kg water, 2.5 kg milk, 200 g salt, 100 g yeast, 2 kg butter last."""
    rows = _sheet().rows
    assert [(row.key, row.mass_g) for row in rows] == [
        ("water", 3000),
        ("milk-whole", 2500),
        ("bread-flour", 10000),
        ("salt", 200),
        ("yeast-instant", 100),
        ("butter-unsalted", 2000),
    ]
    assert [row.addition for row in rows] == [1, 1, 2, 2, 2, 3]
    assert [row.after_development for row in rows] == [False] * 5 + [True]
    assert rows[-1].note == "in thirds"
    assert rows[0].name_es == PANTRY.find("water").name_es


def test_each_scale_is_fine_enough() -> None:
    """Published: OIML R 76-1, class III: no less than 20 steps; half a step within 2 % of yeast, 0.5 % of flour.

    100 g of yeast: 20 x 5 = 100, and half of 5 g is 2.5 % > 2 %: the 1 g scale. 10 kg of flour: the 5 g scale.
    """
    steps = {row.key: row.step_g for row in _sheet().rows}
    assert steps["yeast-instant"] == 1.0
    assert steps["bread-flour"] == 5.0
    assert all(row.step_g / 2 <= row.tolerance_g for row in _sheet().rows)


@given(st.floats(200, 60_000), st.floats(0, 500))
def test_sums_are_kept(mass_g: float, ice_g: float) -> None:
    """Limit: rows of one scale add up to their exact sum, rounded once; no row moves by a step; errors are shown."""
    sheet = _sheet(mass_g=mass_g, poured=_Poured(4.0, ice_g))
    assert math.fsum(row.exact_g for row in sheet.rows) == pytest.approx(mass_g)
    for step in KITCHEN.scale_steps_g:
        rows = [row for row in sheet.rows if row.step_g == step]
        assert abs(sum(row.mass_g - row.exact_g for row in rows)) <= step / 2 + 1e-6
    for row in sheet.rows:
        assert abs(row.mass_g - row.exact_g) < row.step_g + 1e-6
        assert row.error == pytest.approx((row.mass_g - row.exact_g) / row.exact_g, abs=1e-9)
    assert sheet.total_g == pytest.approx(math.fsum(row.mass_g for row in sheet.rows))


def test_too_little_for_the_scale_is_said() -> None:
    """Hand: 178 g of dough has 1 g of yeast: 10 steps of the 0.1 g scale, under the 20 it needs."""
    yeast = next(row for row in _sheet(mass_g=178).rows if row.key == "yeast-instant")
    assert "finer-scale" in yeast.says


def test_ice_comes_out_of_the_water() -> None:
    """Hand: 600 of 3000 g water as ice leave 2400; milk stays; both liquids are poured at 2 °C, ice at 0."""
    rows = {row.key: row for row in _sheet(poured=_Poured(2.0, 600.0)).rows}
    assert (rows["water"].mass_g, rows["ice"].mass_g, rows["milk-whole"].mass_g) == (2400, 600, 2500)
    assert (rows["water"].temp_c, rows["milk-whole"].temp_c, rows["ice"].temp_c) == (2.0, 2.0, 0.0)
    assert rows["ice"].says == ("ice",)
    assert rows["water"].says == ("tempered",)
    assert rows["bread-flour"].temp_c is None


def test_a_breath_of_ice_is_left_out() -> None:
    """Limit: under 1 g of ice there is no row for it, and the water stays whole."""
    rows = {row.key: row for row in _sheet(poured=_Poured(2.0, 0.4)).rows}
    assert "ice" not in rows
    assert rows["water"].mass_g == 3000


def test_how_the_butter_must_be() -> None:
    """Published: 16 to 20 °C, cool and pliable, into an enriched dough; creamed for a filling (trade handbooks)."""
    sheet = _sheet()
    assert sheet.butter is not None
    assert (sheet.butter.key, sheet.butter.low_c, sheet.butter.high_c) == ("soft-cool", 16, 20)
    assert sheet.butter_temp_c == 18
    filling = _sheet("filling", 800)
    assert filling.butter is not None
    assert filling.butter.key == "creamy"
    assert _sheet("wash", 300).butter is None


def test_water_that_may_be_held_back() -> None:
    """Hand: 5 % of 3000 g water; nothing for a filling."""
    assert _sheet().hold_back_g == pytest.approx(150)
    assert _sheet("filling", 800).hold_back_g is None


def test_cautions_of_bowls() -> None:
    """Behaviour: allergens of this bowl only, raw flour, raw egg, a filling that spoils, the mixer; local rules."""
    dough = cautions_for_bowl(part_amounts(FORMULA, "dough", 1000, PANTRY), "dough", PANTRY, in_mixer=True)
    assert dough[0] == Caution("allergens", ("gluten", "milk", "wheat"))
    keys = [caution.key for caution in dough]
    assert keys == ["allergens", "cross", "raw-flour", "mixer", "local-rules"]
    filling = cautions_for_bowl(part_amounts(FORMULA, "filling", 1000, PANTRY), "filling", PANTRY, in_mixer=False)
    assert [caution.key for caution in filling] == ["allergens", "cross", "raw-egg", "keep-cold", "local-rules"]
    assert Caution("keep-cold", ("5",)) in filling


def test_cautions_of_stages() -> None:
    """Behaviour: hot oven and steam at the bake, hot trays after it, and egg that comes on after it is not baked."""
    by_kind = {stage.kind: cautions_for_stage(FORMULA, stage, PANTRY) for stage in FORMULA.stages}
    assert [c.key for c in by_kind["mix"]] == ["mixer", "local-rules"]
    assert [c.key for c in by_kind["fill"]] == ["keep-cold", "local-rules"]
    assert [c.key for c in by_kind["bake"]] == ["oven", "steam", "keep-cold", "local-rules"]
    assert by_kind["bake"][0].about == ("190",)
    assert [c.key for c in by_kind["cool"]] == ["hot-trays", "local-rules"]
    assert [c.key for c in by_kind["finish"]] == ["not-baked", "local-rules"]
    plain = FORMULA.model_copy(update={"stages": (Stage(kind="proof", duration_s=60),)})
    assert cautions_for_stage(plain, plain.stages[0], PANTRY) == ()
