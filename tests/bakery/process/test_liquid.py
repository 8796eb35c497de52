"""How cold the liquid must be: checked against hand balances and the trade's published rule, and against itself."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smallhours.bakery.formula.document import Formula, Line, Part, Stage
from smallhours.bakery.kitchen.document import Cold, Kitchen, Mixer, Temperatures
from smallhours.bakery.pantry import Pantry
from smallhours.bakery.process.bowl import Measured, can_be_steered
from smallhours.bakery.process.liquid import (
    CLOSE_ENOUGH_K,
    HOTTEST_EGG_C,
    HOTTEST_WITHOUT_YEAST_C,
    MOST_ICE_FRACTION,
    LiquidAnswer,
    liquid_for,
)
from smallhours.errors import BadInput, NotFound, OutOfRange
from smallhours.science.dough_temperature import Portion, dough_temp_c

PANTRY = Pantry()
KITCHEN = Kitchen(
    id="k",
    name="K",
    timezone="UTC",
    temperatures=Temperatures(room_c=22, flour_c=20, tap_water_c=14, coldest_liquid_c=2),
    mixers=(
        Mixer(
            id="spiral", name="Spiral", min_dough_g=3000, max_dough_g=30000,
            rise_low_k_per_min=0.5, rise_high_k_per_min=1.0,
        ),
        Mixer(id="board", name="Board", min_dough_g=3000, max_dough_g=30000, friction_k=12),
        Mixer(id="unknown", name="Unknown", kind="planetary", min_dough_g=3000, max_dough_g=30000),
        Mixer(
            id="cold-bowl", name="Cold bowl", min_dough_g=3000, max_dough_g=30000,
            rise_low_k_per_min=0.5, rise_high_k_per_min=1.0, bowl_heat_j_per_k=8000,
        ),
    ),
    cold=(Cold(id="fridge", name="Fridge", temp_c=5, tray_places=10),),
)  # fmt: skip


def _formula(*lines: Line, low_s: float = 240, high_s: float = 240, target_c: float | None = 25) -> Formula:
    return Formula(
        id="f",
        name="F",
        parts=(Part(id="dough", name="Dough", lines=lines, target_temp_c=target_c),),
        stages=(Stage(kind="mix", low_s=low_s, high_s=high_s),),
    )


FLOUR, WATER = Line(ingredient="bread-flour", percent=100), Line(ingredient="water", percent=62)
LEAN = _formula(FLOUR, WATER)
YEAST = Line(ingredient="yeast-instant", percent=1)
YEASTED = _formula(FLOUR, WATER, YEAST)
BATTER = _formula(FLOUR, Line(ingredient="yogurt-whole", percent=60, tempered=True), target_c=21)
SWEET = _formula(
    FLOUR,
    Line(ingredient="milk-whole", percent=45, tempered=True),
    Line(ingredient="egg-whole", percent=15, tempered=True),
    Line(ingredient="sugar", percent=12),
    Line(ingredient="butter-unsalted", percent=20, temp_c=17, after_development=True, addition=2),
    Line(ingredient="salt", percent=2),
)
POOLISH = LEAN.model_copy(
    update={
        "parts": (
            Part(id="poolish", name="Poolish", kind="preferment", lines=(FLOUR, Line(ingredient="water", percent=100))),
            Part(
                id="dough",
                name="Dough",
                lines=(FLOUR, Line(part="poolish", percent=60), WATER),
                target_temp_c=25,
            ),
        )
    }
)


def _answer(formula: Formula = LEAN, mixer: str | None = "spiral", **measured: object) -> LiquidAnswer:
    return liquid_for(formula, PANTRY, KITCHEN, "dough", 10_000, mixer, Measured(**measured))  # type: ignore[arg-type]


def test_lean_dough_by_hand() -> None:
    """Hand: 100 flour at 20 °C (2.00 J/(g K) by composition), 62 water (4.173); 4 min at 0.5, 4 min at 1 K/min = 6 K.

    Heat wanted: 100 x 2.00 x 5 + 62 x 4.173 x (25 - T) = 6 x (200 + 258.7); 258.7 (25 - T) = 2752 - 1000, T = 18.2.
    With the trade's 1.8 for flour it is 18.3 °C.
    """
    answer = _answer()
    assert answer.heat.rise_k == pytest.approx(6)
    assert answer.liquid_temp_c == pytest.approx(18.2, abs=0.1)
    assert answer.refusal is None
    assert answer.ice_g == 0


@pytest.mark.parametrize(
    ("flour_c", "expected_c", "formula"),
    [(20.0, 18.3, LEAN), (10.0, 25.25, LEAN)],
)
def test_against_a_published_heat_capacity(flour_c: float, expected_c: float, formula: Formula) -> None:
    """Hand: with the trade's 1.8 J/(g K) for flour: 20 °C -> 18.3 °C, 10 °C -> 25.25 °C; ours is 1.99, hence 0.8 K."""
    assert _answer(formula, flour_c=flour_c).liquid_temp_c == pytest.approx(expected_c, abs=0.8)


@pytest.mark.parametrize(
    ("target_c", "room_c", "flour_c", "expected_c"),
    [(25.0, 21.0, 20.0, 22.0), (24.0, 22.0, 18.0, 20.0)],
)
def test_the_rule_on_the_board(target_c: float, room_c: float, flour_c: float, expected_c: float) -> None:
    """Hand: three temperatures and friction 12: 3 x 25 - 21 - 20 - 12 = 22; 3 x 24 - 22 - 18 - 12 = 20."""
    answer = _answer(mixer="board", target_c=target_c, room_c=room_c, flour_c=flour_c)
    assert answer.rule_temp_c == pytest.approx(expected_c)
    assert answer.heat.rise_k == pytest.approx(4)  # the friction figure is about three times the rise


def test_the_rule_counts_a_preferment() -> None:
    """Published: four temperatures: 76 °F wanted; room 72, flour 68, preferment 70, friction 24 -> 70 °F (trade).

    In °C: 24.44; 22.22, 20.0, 21.11, 13.33 -> 21.11.
    """
    answer = _answer(POOLISH, "board", target_c=24.444, room_c=22.222, flour_c=20.0, ingredients_c={"poolish": 21.111})
    friction_of_the_board_k = 12.0
    assert answer.rule_temp_c - (13.333 - friction_of_the_board_k) == pytest.approx(21.11, abs=0.01)
    assert answer.heat.temperatures == 4


def test_nothing_to_correct() -> None:
    """Limit: everything at the target and no mixing heat: pour at the target."""
    still = _formula(FLOUR, WATER, low_s=0, high_s=0)
    assert _answer(still, flour_c=25, room_c=25).liquid_temp_c == pytest.approx(25)


@given(
    st.floats(12, 28), st.floats(5, 30), st.floats(60, 600), st.sampled_from((LEAN, SWEET, POOLISH)),
    st.sampled_from(("spiral", "board", "unknown", "cold-bowl", None)),
)  # fmt: skip
def test_poured_like_that_the_dough_is_on_target(
    room_c: float, flour_c: float, high_s: float, formula: Formula, mixer: str | None
) -> None:
    """Round trip: pour what was said and the balance gives the target, or the temperature that the refusal names."""
    answer = _answer(formula, mixer, room_c=room_c, flour_c=flour_c, high_s=high_s)
    if answer.refusal is None:
        assert answer.dough_temp_c == pytest.approx(25, abs=0.051 if 2 < answer.liquid_temp_c < 30 else CLOSE_ENOUGH_K)
    else:
        assert answer.dough_temp_c == answer.refusal.dough_temp_c
        assert (answer.dough_temp_c > 25) == (answer.refusal.reason == "too_cold")
    if answer.ice_g == 0 and not any(c.key == "butter-unsalted" for c in answer.contributions):
        bowl_j = 8000.0 if mixer == "cold-bowl" else 0.0
        portions = [Portion(c.mass_g, c.specific_heat_j_per_g_k, c.temp_c) for c in answer.contributions]
        portions.append(Portion(bowl_j, 1.0, room_c))
        assert dough_temp_c(portions, answer.heat.rise_k) == pytest.approx(answer.dough_temp_c, abs=1e-6)
    assert sum(c.mass_g for c in answer.contributions) == pytest.approx(10_000)


def test_butter_takes_heat_to_melt() -> None:
    """Hand: 20 % butter from 17 to 25 °C: solids of its fat 24 -> 10 % (table), 0.8111 x 0.14 x 100 J/g = 11.4 J/g."""
    butter = next(c for c in _answer(SWEET).contributions if c.key == "butter-unsalted")
    sensible = butter.specific_heat_j_per_g_k * 8
    assert butter.heat_j / butter.mass_g - sensible == pytest.approx(11.4, abs=0.1)


def test_tempered_liquids_are_poured_together() -> None:
    """Behaviour: the marked ones; without marks, the largest that pours; oil is never poured to steer a dough."""
    assert _answer(SWEET).liquids == ("milk-whole", "egg-whole")
    assert _answer(LEAN).liquids == ("water",)
    oily = _formula(FLOUR, Line(ingredient="oil-olive", percent=60), Line(ingredient="milk-whole", percent=40))
    answer = _answer(oily)
    assert answer.liquids == ("milk-whole",)
    untempered = _formula(FLOUR, Line(ingredient="milk-whole", percent=30), Line(ingredient="egg-whole", percent=25))
    egg = next(c for c in _answer(untempered).contributions if c.key == "egg-whole")
    assert egg.temp_c == 5  # out of the fridge


def test_ice_only_replaces_water() -> None:
    """Hand: flour at 30 °C, all at 25 °C, rise 6 K: the coldest water (2 °C) is not enough; ice makes up for it.

    Per 100 flour (2.008 J/(g K) at 30 °C): 6 x (200.8 + 258.7) + 200.8 x 5 - 258.7 x 23 = -2189 < 0: no ice. At 12 min
    on second speed (14 K): 14 x 459.5 + 1004 - 5950 = 1487 J; one gram of ice for one of 2 °C water takes 333.6 +
    104.7 to melt and warm to 25 °C, less 96.3 for the water it replaces: 342 J; 4.35 g of 62, 7.0 % of the water.
    """
    assert _answer(flour_c=30).ice_g == 0
    answer = _answer(flour_c=30, high_s=720)
    assert answer.ice_g / (10_000 * 62 / 162) == pytest.approx(0.0701, abs=0.0005)
    assert answer.liquid_temp_c == 2
    assert answer.refusal is None
    assert "as ice" in answer.sentence


def test_too_much_ice_is_refused_with_what_would_do() -> None:
    """Behaviour: a hot kitchen and a long mix: ice stops at 30 % of the water; other ways would do."""
    answer = _answer(YEASTED, flour_c=36, high_s=1500, target_c=22)
    refusal = answer.refusal
    assert refusal is not None
    assert refusal.reason == "too_cold"
    assert answer.ice_g == pytest.approx(MOST_ICE_FRACTION * 10_000 * 62 / 163)
    assert refusal.rest_factor < 1  # a warmer dough is ready sooner
    assert refusal.mix_less_s is not None
    shorter = _answer(YEASTED, flour_c=36, high_s=1500 - refusal.mix_less_s, target_c=22)
    assert shorter.refusal is None
    assert refusal.ice_g is not None
    assert refusal.ice_g > answer.ice_g


def test_chilled_flour_would_do() -> None:
    """Round trip: with the flour as cold as the refusal says, the same pour reaches the target."""
    milk = _formula(FLOUR, Line(ingredient="milk-whole", percent=62))
    answer = _answer(milk, flour_c=30, high_s=900)
    assert answer.refusal is not None
    assert answer.ice_g == 0  # there is no water that ice could replace
    assert answer.refusal.flour_temp_c is not None
    cooler = _answer(milk, flour_c=answer.refusal.flour_temp_c, high_s=900)
    assert cooler.dough_temp_c == pytest.approx(25, abs=0.3)  # heat capacities are taken at the flour's temperature


def test_too_hot_for_yeast() -> None:
    """Behaviour: a freezing store room: the water would have to be over 45 °C, which yeast does not bear."""
    answer = _answer(YEASTED, None, flour_c=-4, room_c=5, target_c=29)
    assert answer.balance_temp_c > 45
    assert answer.liquid_temp_c == 45
    assert answer.refusal is not None
    assert answer.refusal.reason == "too_hot"
    assert answer.refusal.rest_factor > 1
    assert "45 °C is the warmest that can be poured on yeast" in answer.refusal.sentence
    assert "times as long" in answer.refusal.sentence


def test_without_yeast_nothing_hotter_than_a_warm_room() -> None:
    """Limit: a batter in a cold store room: its yogurt comes at 30 °C at most, and nothing rests longer."""
    answer = _answer(BATTER, None, flour_c=2, room_c=5)
    assert answer.balance_temp_c > HOTTEST_WITHOUT_YEAST_C
    assert answer.liquid_temp_c == answer.high_c == HOTTEST_WITHOUT_YEAST_C
    assert answer.refusal is not None
    assert "30 °C is the warmest that can be poured without yeast" in answer.refusal.sentence
    assert answer.refusal.rest_factor == 1
    assert "rest it" not in answer.refusal.sentence


@pytest.mark.parametrize("fed", [_formula(FLOUR, WATER, YEAST), POOLISH])
def test_what_lives_may_be_poured_warmer(fed: Formula) -> None:
    """Limit: yeast in the dough itself, or in a preferment that feeds it, bears more than a batter is given."""
    assert _answer(fed, None, flour_c=-4, room_c=5, target_c=29).liquid_temp_c > HOTTEST_WITHOUT_YEAST_C


def test_egg_is_never_poured_hot() -> None:
    """Limit: egg sets from about 60 °C: with egg among what is poured, 40 °C is the most, also where yeast is."""
    sweet = _formula(*SWEET.parts[0].lines, YEAST, target_c=29)
    answer = _answer(sweet, None, flour_c=-4, room_c=5)
    assert answer.liquid_temp_c == HOTTEST_EGG_C
    assert answer.refusal is not None
    assert "40 °C is the warmest that can be poured with egg in it" in answer.refusal.sentence


def test_the_range_is_of_what_can_be_poured() -> None:
    """Limit: nothing in the range is colder than the coldest there is, or hotter than is poured."""
    cold, warm = _answer(high_s=720), _answer(YEASTED, None, flour_c=1, room_c=11)
    assert cold.low_c == 2 < cold.high_c
    assert warm.low_c < warm.high_c == 45


def test_a_rule_that_is_far_off_is_explained() -> None:
    """Hand: 45 milk and 15 egg in 194: 31 % of the bowl is poured; a lean dough near the rule needs no remark."""
    rich = _answer(SWEET, high_s=900)
    assert abs(rich.rule_temp_c - rich.balance_temp_c) > 8
    assert "the same weight" in rich.rule_remark
    assert "31 % of the bowl" in rich.rule_remark
    near = _answer()
    assert abs(near.rule_temp_c - near.balance_temp_c) < 8
    assert near.rule_remark == ""


def test_the_range_is_that_of_the_dough() -> None:
    """Hand: +-2 K of the dough are +-2 x 459 / 259 = 3.5 K of the water, judged, not measured."""
    answer = _answer()
    assert answer.high_c - answer.balance_temp_c == pytest.approx(3.5, abs=0.05)
    assert answer.balance_temp_c - answer.low_c == pytest.approx(3.5, abs=0.05)


def test_an_unknown_mixer_takes_what_is_usual() -> None:
    """Hand: planetary, 4 to 7 K in a usual mix of 5 + 5 min (15 speed-minutes): 5.5 x (4 + 2 x 4) / 15 = 4.4 K."""
    answer = _answer(mixer="unknown")
    assert answer.heat.rise_k == pytest.approx(4.4)
    assert not answer.heat.known


def test_a_cold_bowl_takes_heat() -> None:
    """Limit: in a room colder than the dough a heavy bowl asks for warmer water."""
    assert _answer(mixer="cold-bowl", room_c=12).liquid_temp_c > _answer(room_c=12).liquid_temp_c


def test_what_can_be_steered() -> None:
    """Behaviour: a target and something to pour."""
    assert can_be_steered(LEAN, "dough", PANTRY)
    assert not can_be_steered(_formula(FLOUR, WATER, target_c=None), "dough", PANTRY)
    assert not can_be_steered(_formula(FLOUR, Line(ingredient="butter-unsalted", percent=60)), "dough", PANTRY)


@pytest.mark.parametrize(
    ("formula", "part", "mass_g", "mixer", "error", "sentence"),
    [
        (_formula(FLOUR, WATER, target_c=None), "dough", 1000, "spiral", BadInput, "has no target temperature"),
        (_formula(FLOUR, Line(ingredient="sugar", percent=9)), "dough", 1000, "spiral", BadInput, "no liquid to pour"),
        (LEAN, "filling", 1000, "spiral", BadInput, "has no part 'filling'"),
        (LEAN, "dough", 0, "spiral", OutOfRange, "more than 0 g"),
        (LEAN, "dough", math.nan, "spiral", OutOfRange, "more than 0 g"),
        (LEAN, "dough", 1000, "spirla", NotFound, "no mixer 'spirla'"),
        (_formula(FLOUR, WATER, target_c=70), "dough", 1000, "spiral", OutOfRange, "0 to 45 °C"),
    ],
)
def test_what_cannot_be_asked(
    formula: Formula, part: str, mass_g: float, mixer: str, error: type[Exception], sentence: str
) -> None:
    """Bad input: each with its sentence."""
    with pytest.raises(error, match=sentence):
        liquid_for(formula, PANTRY, KITCHEN, part, mass_g, mixer)
