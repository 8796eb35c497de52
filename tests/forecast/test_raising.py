"""What raises a dough in a forecast: cultures, yeast that multiplies, their doses, other sugar and salt."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from forecast.demo_bakery import asked, formulas, pantry
from smallhours.bakery.formula.amounts import unit_amounts
from smallhours.bakery.formula.document import Formula
from smallhours.bakery.formula.leaven import Leaven
from smallhours.errors import BadInput, Impossible, OutOfRange
from smallhours.forecast import formula_forecast as whole
from smallhours.forecast.assumed import ASSUMED
from smallhours.forecast.ensemble import draw
from smallhours.forecast.osmotic import Dissolved, dissolved, of_kind_percent, slowed_factors
from smallhours.forecast.parameters import Parameters
from smallhours.forecast.questions import Asked, what_if_sugar_and_salt_are, when_is_the_starter_ready
from smallhours.forecast.raising import Raising
from smallhours.reference import fermentation as tables
from smallhours.science.dough_gas import gas_for_rise_mmol_per_g
from smallhours.science.fermentation_path import gas_made_mmol_per_g, growth_times_s
from smallhours.science.preferments import preferment_ready_s, prefermented_yeast_percent
from smallhours.science.yeast_activity import dose_factors
from smallhours.science.yeast_growth import growth_ratios

HOUR = 3600.0


def _text(fed: str, length: str, at: str, more: str = "") -> str:
    """A formula of a small dough that is fed with a preferment of equal masses of flour and water."""
    return f"""
id = "loaf"
name = "Loaf"
[[parts]]
id = "starter"
name = "Starter"
kind = "preferment"
target_temp = "{at}"
lines = [
    {{ ingredient = "bread-flour", percent = 100.0 }},
    {{ ingredient = "water", percent = 100.0 }},
    {{ {fed} }},
]
[[parts]]
id = "dough"
name = "Dough"
target_temp = "25 °C"
lines = [
    {{ ingredient = "bread-flour", percent = 100.0 }},
    {{ ingredient = "water", percent = 65.0 }},
    {{ part = "starter", percent = 5.0 }},{more}
]
[[stages]]
kind = "mix"
part = "starter"
duration = "1 min"
[[stages]]
kind = "ferment"
part = "starter"
duration = "{length}"
at_temp = "{at}"
[[stages]]
kind = "mix"
duration = "5 min"
[[stages]]
kind = "ferment"
duration = "3 h"
at_temp = "25 °C"
"""


@cache
def _formula(fed: str, length: str, at: str, more: str = "") -> Formula:
    return Formula.read_toml(_text(fed, length, at, more), "loaf")


def _asked(formula: Formula, **conditions: object) -> Asked:
    """Of 2 kg of dough: 59 g of starter, which is as warm as its room."""
    usual = {"dough_mass_g": 2000.0, **conditions}
    return Asked(formula, pantry(), asked("milk-loaf", **usual).conditions, draw(60))


def _ripe_h(formula: Formula, **conditions: object) -> float:
    stage = _asked(formula, **conditions).forecast().stages[1]
    assert stage.part == "starter"
    return stage.length.median / HOUR


@pytest.mark.parametrize(("fed_ratio", "hours"), [(1.0, 5.0), (0.5, 8.0), (0.25, 12.0)])
def test_half_the_culture_against_the_published_times(fed_ratio: float, hours: float) -> None:
    """Published: The Sourdough Framework (CC BY-SA): 20, 10 and 5 % of culture take about 5, 8 and 12 h at 25 °C. The
    first is the reference; the others come out within 1 %.
    """
    formula = _formula('ingredient = "sourdough-culture", percent = 50.0', "5 h", "25 °C")
    assert _ripe_h(formula, as_written=True, fed_ratio=fed_ratio) == pytest.approx(hours, rel=0.01)


def test_a_starter_in_a_cooler_room_against_home_bakers_notes() -> None:
    """Published: a starter fed 1:4:4 peaks after 5 to 6 h at 24 to 25 °C and after 8 h at 20 °C (home bakers' notes).
    From 5.5 h at 24.5 °C ours is at 20 °C within 2 % of the second.
    """
    formula = _formula('ingredient = "sourdough-culture", percent = 25.0', "5 h 30 min", "24.5 °C")
    found = _ripe_h(formula, room_c=20.0, dough_temp_c=None)
    assert found == pytest.approx(8.0, rel=0.02)


@pytest.mark.parametrize(("dose", "hours"), [(0.3, 7.5), (0.7, 4.5), (1.5, 2.5)])
def test_a_poolish_with_more_yeast_against_practice(dose: float, hours: float) -> None:
    """Published: a poolish is ripe after 13.5, 7.5, 4.5 and 2.5 h with 0.1, 0.3, 0.7 and 1.5 % of fresh yeast at 23 °C
    (common practice). From the first the others come out 10 to 14 % high; without growth the last is 1.85 times off.
    """
    formula = _formula('ingredient = "yeast-fresh", percent = 0.1', "13 h 30 min", "23 °C")
    assert 1.08 < _ripe_h(formula, as_written=True, fed_ratio=dose / 0.1) / hours < 1.16


def test_growth_falls_out_of_a_dough_s_ratio(monkeypatch: pytest.MonkeyPatch) -> None:
    """Limit: that yeast multiplies moves the stages of the demo's doughs by 2 % at most from 17 to 28 °C, so it is left
    out there; it moves a poolish by more, and is in.
    """

    class Growing(Raising):
        def __init__(self, leaven, parameters, ripens, slowed=1.0, fed_ratio=1.0):  # type: ignore[no-untyped-def]
            super().__init__(leaven, parameters, True, slowed, fed_ratio)

    for slug in ("quay-loaf", "milk-loaf"):
        for room_c in (17.0, 28.0):
            plain = asked(slug, room_c=room_c).forecast()
            with monkeypatch.context() as patched:
                patched.setattr(whole, "Raising", Growing)
                grown = asked(slug, room_c=room_c).forecast()
            for a, b in zip(plain.stages, grown.stages, strict=True):
                assert b.length.median == pytest.approx(a.length.median, rel=0.021), a.key


def test_yeast_carried_over_from_a_poolish_falls_out_too() -> None:
    """Hand: a poolish of 0.36 % fresh yeast, ripe after 9 h at 20 °C, is ripe at 16 and 24 °C with about as much yeast:
    with a quarter of the flour and 1.8 % in all the dough's speed moves by less than 1 %.
    """
    yeast, dose = tables.growing_yeast(0.36), 0.36
    growth, at_c = tables.yeast_growth()
    times = np.linspace(0.0, 40 * HOUR, 2401)
    made = np.ravel(gas_made_mmol_per_g(times, np.full(times.size, 20.0), yeast))
    ripe = np.interp(9 * HOUR, times, made)
    carried = {}
    assert yeast.growth_curves is not None
    for temp_c in (16.0, 20.0, 24.0):
        temps = np.full(times.size, temp_c)
        ready_s = float(np.ravel(preferment_ready_s(times, temps, dose, ripe, yeast))[0])
        grown_s = float(np.interp(ready_s, times, np.ravel(growth_times_s(times, temps, at_c, yeast.growth_curves))))
        ratio = float(growth_ratios(grown_s, dose, growth))
        carried[temp_c] = prefermented_yeast_percent(dose, 0.25, ratio)
    whole_percent = {temp_c: 1.8 - 0.25 * 0.36 + found for temp_c, found in carried.items()}
    speeds = dose_factors(list(whole_percent.values()), whole_percent[20.0], 0.85)
    assert speeds == pytest.approx([1.0, 1.0, 1.0], abs=0.01)


def test_a_culture_stands_for_so_much_yeast() -> None:
    """Hand: 20 % culture doubles a dough in 5 h at 25 °C (table cultures). So does about 0.5 % of fresh yeast: the gas
    that doubles a lean dough of 46 % water, within a quarter.
    """
    room = whole.gas_room(unit_amounts(formulas()["quay-loaf"], pantry()), pantry(), "dough")
    wanted = float(gas_for_rise_mmol_per_g(2.0, 25.0, room, tables.carbon_dioxide(), 25.0))
    times = np.linspace(0.0, 5 * HOUR, 301)
    yeast = tables.growing_yeast(20.0 * ASSUMED.culture_as_fresh_yeast, 0.57)
    made = float(np.ravel(gas_made_mmol_per_g(times, np.full(times.size, 25.0), yeast))[-1])
    assert made == pytest.approx(wanted, rel=0.25)


def test_a_dough_of_both_lies_between() -> None:
    """Limit: at 31 °C yeast is quicker than at 25 and a culture, past its best, slower; both together lie between."""
    culture, yeast = 'ingredient = "sourdough-culture", percent = 50.0', 'ingredient = "yeast-fresh", percent = 0.5'
    both = _formula(culture, "5 h", "25 °C", '\n    { ingredient = "yeast-fresh", percent = 0.05 },')
    alone, only = _formula(culture, "5 h", "25 °C"), _formula(yeast, "5 h", "25 °C")
    found = [_asked(f, room_c=31.0, dough_temp_c=31.0).forecast().stages[-1].length.median for f in (only, both, alone)]
    assert found == sorted(found)
    assert found[0] < found[1] < found[2]
    parameters = Parameters(draw(20))
    assert Raising(Leaven(0.5, 20.0), parameters, False).yeast_fraction == pytest.approx(0.5)
    assert Raising(Leaven(), parameters, False).curves is None


def test_a_cold_night_of_a_sourdough() -> None:
    """Limit: colder is never further on; what is least known of it is how a culture slows down in the cold."""
    ripe = []
    for fridge_c in (3.0, 5.0, 8.0):
        made = asked("mooring-loaf", 500, ways={"proof": "fridge"}, fridge_c=fridge_c).forecast().stage("proof")
        assert made.ripeness_cold is not None
        ripe.append(made.ripeness_cold)
    assert ripe[0].median < ripe[1].median < ripe[2].median
    assert ripe[1].high / ripe[1].low > 2.0


def test_sugar_against_the_leavening_table() -> None:
    """Published: with 5 % glucose a plain strain gave 0.80 of the gas; ours 0.77, as a ratio of doughs. A lean one is
    at 31 atm, with 20 % sugar and less water at 91 (science.dough_water).
    """
    lean, sweet = Dissolved(62.0, 2.0, 0.0, 0.0, 0.0), Dissolved(62.0, 2.0, 0.0, 5.0, 0.0)
    assert float(slowed_factors(lean, sweet, draw(60))[0]) == pytest.approx(0.80, rel=0.05)
    rich = Dissolved(50.0, 1.5, 20.0, 0.0, 0.0)
    assert [round(dough.pressure_kpa / 101.325) for dough in (lean, rich)] == [31, 91]


def test_what_dissolves_in_a_dough() -> None:
    """Hand: the milk loaf has 68 % milk with 5.05 % lactose and 4 % honey with 82.12 % sugars on its flour."""
    amounts = unit_amounts(formulas()["milk-loaf"], pantry())
    sugar, salt = (of_kind_percent(amounts, pantry(), "dough", kind) for kind in ("sugar", "salt"))
    own, other = dissolved(amounts, pantry(), "dough"), dissolved(amounts, pantry(), "dough", 2 * sugar, 0.0)
    assert own.lactose_percent == pytest.approx(68.0 * 0.0505, rel=0.02)
    assert own.hexose_percent == pytest.approx(4.0 * 0.8212)
    assert own.sucrose_percent == 0.0
    assert own.salt_percent == pytest.approx(salt, abs=0.15)
    assert other.hexose_percent == pytest.approx(2 * own.hexose_percent)
    assert other.salt_percent < 0.2
    with pytest.raises(BadInput, match="has no flour"):
        dissolved(unit_amounts(formulas()["braid"], pantry()), pantry(), "wash")


def test_other_sugar_and_salt_change_the_time() -> None:
    """Limit: as much as it has changes nothing; a proof at one temperature takes one over the speed, and the yeast that
    makes up for it gives that speed back.
    """
    loaf = asked("milk-loaf", as_written=True)
    amounts = unit_amounts(loaf.formula, pantry())
    same = what_if_sugar_and_salt_are(loaf, of_kind_percent(amounts, pantry(), "dough", "sugar"))
    assert same.number("speed").median == pytest.approx(1.0)
    assert same.number("proof").median == pytest.approx(same.number("proof now").median)
    sweet = what_if_sugar_and_salt_are(loaf, 14.0, 1.8)
    speed = sweet.number("speed").median
    assert sweet.number("proof").median == pytest.approx(sweet.number("proof now").median / speed, rel=0.05)
    restored = loaf.forecast(sugar_percent=14.0, salt_percent=1.8, yeast_percent=sweet.number("yeast").median)
    assert restored.stage("proof").draws["length"][0] == pytest.approx(sweet.number("proof now").median, rel=0.01)


def test_very_sweet_doughs_need_another_yeast_and_cultures_none() -> None:
    """Behaviour: more yeast than a dough takes needs a look; without yeast no dose is told; 4 % also feeds."""
    brioche = what_if_sugar_and_salt_are(asked("brioche"), 45.0)
    assert brioche.look
    assert "osmotolerant" in brioche.sentence
    sourdough = what_if_sugar_and_salt_are(asked("mooring-loaf"), 4.0)
    assert "yeast in place of" not in sourdough.sentence
    assert "also feeds" in sourdough.sentence
    with pytest.raises(BadInput, match="say how much"):
        what_if_sugar_and_salt_are(asked("brioche"))
    with pytest.raises(OutOfRange, match="the salt"):
        what_if_sugar_and_salt_are(asked("brioche"), salt_percent=9.0)


def test_when_a_levain_is_ready() -> None:
    """Limit: at its own temperature after its own time; half the culture for the published 8 h in place of 5."""
    formula = _formula('ingredient = "sourdough-culture", percent = 50.0', "5 h", "25 °C")
    answer = when_is_the_starter_ready(_asked(formula, as_written=True), 8 * HOUR)
    assert answer.number("ready after feeding").median == pytest.approx(5 * HOUR + 60.0)
    assert answer.number("fed in the formula").median == pytest.approx(50.0)
    assert answer.number("feed").median == pytest.approx(25.0, rel=0.08)
    assert "as the formula says" in answer.sentence


def test_when_a_poolish_is_ready_in_a_cold_room() -> None:
    """Limit: colder is never sooner, and takes more yeast to be ready then all the same."""
    answers = [when_is_the_starter_ready(asked("quay-loaf", room_c=c), 9 * HOUR) for c in (22.0, 20.0, 17.0)]
    ready = [answer.number("ready after feeding").median for answer in answers]
    fed = [answer.number("feed").median for answer in answers]
    assert ready == sorted(ready)
    assert fed == sorted(fed)
    assert "fed with 0.12 % yeast" in answers[1].sentence


def test_starters_that_cannot_be() -> None:
    """Bad input: none, another one, a time that no amount makes, a time that cannot be."""
    with pytest.raises(BadInput, match="has no starter"):
        when_is_the_starter_ready(asked("milk-loaf"))
    with pytest.raises(BadInput, match="it has: levain"):
        when_is_the_starter_ready(asked("mooring-loaf"), part="poolish")
    with pytest.raises(Impossible, match="change its temperature"):
        when_is_the_starter_ready(asked("mooring-loaf"), 1800.0)
    with pytest.raises(OutOfRange, match="is to be ready"):
        when_is_the_starter_ready(asked("mooring-loaf"), 60.0)
    with pytest.raises(BadInput, match="has no stages"):
        whole.forecast_part(formulas()["braid"], pantry(), asked("braid").conditions, "wash")


def test_a_starter_that_stands_too_cold_needs_a_look() -> None:
    """Behaviour: a room at freezing point."""
    answer = when_is_the_starter_ready(asked("mooring-loaf", room_c=1.0, dough_mass_g=1000.0))
    assert answer.look
    assert "warmer place" in answer.sentence
