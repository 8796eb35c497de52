"""What a baker asks: answers that agree with the forecast, with arithmetic, and with the solver's exact series."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest

from forecast.demo_bakery import asked, formulas
from smallhours.errors import BadInput, Impossible, OutOfRange
from smallhours.forecast.questions import (
    Answer,
    bake_or_retard,
    fridge_failed,
    how_long_to_chill,
    how_much_yeast,
    new_flour,
    other_whole_grain,
    what_does_a_night_do,
    what_if_pieces_are,
    when_ready,
)
from smallhours.forecast.sizes import DENSITY_G_PER_MM3
from smallhours.science.fermentation import yeast_dose_percent

HOUR = 3600.0
EVENING = dt.datetime(2026, 3, 14, 17, 0, tzinfo=dt.UTC)


def _sound(answer: Answer) -> Answer:
    assert answer.sentence.endswith(".")
    assert answer.rests_on
    for number in answer.numbers:
        assert number.value.low <= number.value.median + 1e-9
        assert number.value.median <= number.value.high + 1e-9
    return answer


def test_ready_under_its_own_conditions() -> None:
    """Hand: milk loaf, 13 min mixing, 90, divide, 15, shape, 80 min: to the oven as its stages add up."""
    answer = _sound(when_ready(asked("milk-loaf", as_written=True)))
    formula = formulas()["milk-loaf"]
    pieces = int(10_000 / 840)
    seconds = (13 + 90 + 1 + 15 + 1 + 80) * 60 + pieces * (15 + 28)
    assert answer.number("to the oven").median == pytest.approx(seconds, rel=1e-9)
    assert formula.id == answer.formula
    assert "just as the formula says" in answer.sentence


def test_ready_in_a_cold_room_says_when() -> None:
    """Behaviour: later than the formula says, with the clock of the kitchen (one hour ahead of UTC in March)."""
    answer = _sound(when_ready(asked("milk-loaf", room_c=17, start=EVENING)))
    assert "later than under" in answer.sentence
    at = EVENING + dt.timedelta(seconds=answer.number("to the oven").median + HOUR)
    assert f"{at:%H:%M}" in answer.sentence


def test_nights_at_three_and_five_degrees_and_with_the_door_opened() -> None:
    """Limit: warmer or opened more often is riper; the same night as the formula's own is just as it means it."""
    ripe = [
        _sound(what_does_a_night_do(asked("milk-loaf", **how), 10 * HOUR)).number("ripeness out of the fridge").median
        for how in ({"fridge_c": 3.0}, {"fridge_c": 4.0}, {"fridge_c": 4.0, "door_openings": 20}, {"fridge_c": 5.0})
    ]
    assert ripe[0] < ripe[1] < ripe[2]
    assert ripe[1] < ripe[3]
    own = what_does_a_night_do(asked("milk-loaf", as_written=True), 10 * HOUR)
    assert own.number("then in the room").median == pytest.approx(HOUR, rel=1e-6)


def test_doors_let_in_as_much_as_is_assumed() -> None:
    """Hand: 20 openings x 0.4 of the gap x 300 s over 11 h = 0.0606 of 13 K: 0.79 K more than 4 °C."""
    one = asked("milk-loaf", fridge_c=4.0, room_c=17.0, door_openings=20, ways={"proof": "fridge"}).forecast()
    assert one.stage("proof").air_c == pytest.approx(4.0 + 20 * 0.4 * 300 / (11 * HOUR) * 13.0, abs=0.01)


def test_a_warm_long_night_is_over_proofed() -> None:
    """Behaviour: two days at 12 °C are too much; half a night in a cold fridge is not; the answer says look."""
    too_much = _sound(what_does_a_night_do(asked("milk-loaf", fridge_c=12.0), 48 * HOUR))
    assert too_much.number("chance of over-proofing").median > 0.9
    assert too_much.look
    little = what_does_a_night_do(asked("milk-loaf", fridge_c=3.0), 5 * HOUR)
    assert little.number("chance of over-proofing").median == 0.0
    assert not little.look


def test_a_night_that_the_formula_does_not_know() -> None:
    """Limit: anchored to its own proof in the room; longer is riper."""
    ripe = [
        what_does_a_night_do(asked("quay-loaf", fridge_c=4.0), h * HOUR).number("ripeness out of the fridge").median
        for h in (4, 8, 16)
    ]
    assert ripe == sorted(ripe)


def test_a_failed_fridge() -> None:
    """Limit: warmer or longer ago leaves less time; a fridge that hardly warmed leaves the night as it was."""
    left = [
        _sound(fridge_failed(asked("milk-loaf", fridge_c=4.0, room_c=20.0), 7 * HOUR, 10 * HOUR, c)).number("ripe in")
        for c in (6.0, 11.0, 18.0)
    ]
    assert left[0].median > left[1].median > left[2].median
    hardly = fridge_failed(asked("milk-loaf", fridge_c=4.0, room_c=20.0), 7 * HOUR, 10 * HOUR, 4.01)
    night = what_does_a_night_do(asked("milk-loaf", fridge_c=4.0, room_c=20.0), 10 * HOUR)
    now, then = hardly.number("ripeness now"), night.number("ripeness out of the fridge")
    assert now.median == pytest.approx(then.median, rel=0.02)


@pytest.mark.parametrize(("failed_s", "now_s", "now_c"), [(5 * HOUR, 4 * HOUR, 11.0), (HOUR, 2 * HOUR, 40.0)])
def test_a_fridge_that_cannot_have_failed_so(failed_s: float, now_s: float, now_c: float) -> None:
    """Bad input: it failed after now; it is warmer than the room."""
    with pytest.raises(BadInput):
        fridge_failed(asked("milk-loaf", fridge_c=4.0, room_c=20.0), failed_s, now_s, now_c)


def test_chilling_as_the_formula_means_it() -> None:
    """Limit: under its own conditions the formula's own chill comes out, whatever the parameters."""
    answer = _sound(how_long_to_chill(asked("croissant", as_written=True)))
    assert answer.number("chill").median == pytest.approx(75 * 60.0, rel=0.005)


def test_chilling_a_slab_against_the_exact_series() -> None:
    """Published: exact series of a slab (Carslaw & Jaeger 3.11) for one side insulated: half its flow missing is
    bracketed by both sides open and one side closed."""
    from smallhours.science.conduction import left_fraction
    from smallhours.science.warming import biot_number

    here = asked("croissant", fridge_c=4.0, as_written=True)
    answer = how_long_to_chill(here, wanted_c=8.0)
    thick_mm, length_s = answer.number("thickness").median, answer.number("chill").median
    diffusivity = 0.40 / (DENSITY_G_PER_MM3 * 1e6 * 2.8e3)
    left = []
    for half_mm in (thick_mm / 2, thick_mm):
        fourier = diffusivity * length_s / (half_mm / 1000) ** 2
        left.append(float(np.asarray(left_fraction("slab", biot_number(half_mm, 0.40, 8.0), fourier, 0.0)).ravel()[0]))
    assert left[0] < (8.0 - 4.0) / (19.0 - 4.0) < left[1]


def test_a_chill_that_cannot_be() -> None:
    """Bad input: a fridge warmer than the core that is wanted; a formula that never chills."""
    with pytest.raises(BadInput, match="take a colder one"):
        how_long_to_chill(asked("croissant", fridge_c=6.0), wanted_c=5.0)
    with pytest.raises(BadInput, match="has no chill"):
        how_long_to_chill(asked("mast-stick"))


def test_yeast_for_two_hours_later_against_the_trade_s_rule() -> None:
    """Published: dose x time = constant (common practice, exponent 1) is the cautious end of an exponent of 0.85."""
    answer = _sound(how_much_yeast(asked("milk-loaf", as_written=True), 2 * HOUR))
    now_s, own = answer.number("to the oven now").median, answer.number("yeast in the formula").median
    rule = yeast_dose_percent(own, now_s, now_s + 2 * HOUR)
    dose = answer.number("yeast")
    assert dose.low < rule < own
    assert dose.median == pytest.approx(yeast_dose_percent(own, now_s, now_s + 2 * HOUR, 0.85), rel=0.12)


def test_as_much_yeast_as_it_has_is_ready_when_it_is() -> None:
    """Round trip: no later asks for the formula's own dose; the answer's dose is ready so much later."""
    same = how_much_yeast(asked("milk-loaf"), 0.0).number("yeast")
    assert (same.low, same.median, same.high) == pytest.approx((1.2, 1.2, 1.2), rel=1e-6)
    answer = how_much_yeast(asked("milk-loaf"), HOUR)
    made = asked("milk-loaf", yeast_percent=answer.number("yeast").median).forecast()
    assert made.to_oven is not None
    assert made.to_oven.median == pytest.approx(answer.number("to the oven now").median + HOUR, rel=0.02)


def test_no_dose_makes_it_ready_at_once() -> None:
    """Bad input: sooner than any dose can, says what would do instead; more than a day is not asked."""
    with pytest.raises(Impossible, match="change its temperature"):
        how_much_yeast(asked("milk-loaf"), -4 * HOUR)
    with pytest.raises(OutOfRange):
        how_much_yeast(asked("milk-loaf"), 48 * HOUR)


@pytest.mark.parametrize(("hours", "told"), [(2, "too late"), (7, "Bake it straight"), (20, "Put it in the fridge")])
def test_bake_tonight_or_retard(hours: int, told: str) -> None:
    """Behaviour: due before it can be ready, due when it is ready, due next day."""
    answer = _sound(bake_or_retard(asked("milk-loaf", start=EVENING), EVENING + dt.timedelta(hours=hours)))
    assert told in answer.sentence


def test_a_retarded_dough_is_done_when_it_is_due() -> None:
    """Round trip: with the night that the answer proposes, the forecast is done at the due time."""
    gap_s = 20 * HOUR
    answer = bake_or_retard(asked("milk-loaf", start=EVENING), EVENING + dt.timedelta(seconds=gap_s))
    night_s = answer.number("night in the fridge").median
    made = asked("milk-loaf", start=EVENING, ways={"proof": "fridge"}, lengths_s={"proof": night_s}).forecast()
    assert made.ready.median == pytest.approx(gap_s, abs=1200.0)


def test_choosing_needs_a_start_and_a_due_time() -> None:
    """Bad input: no start; due before the start."""
    with pytest.raises(BadInput, match="say when the mixing starts"):
        bake_or_retard(asked("milk-loaf"), EVENING)
    with pytest.raises(OutOfRange, match="to when it is due"):
        bake_or_retard(asked("milk-loaf", start=EVENING), EVENING - dt.timedelta(hours=1))


def test_pieces_of_twice_the_mass() -> None:
    """Limit: larger is never quicker to bake; the same mass changes nothing."""
    answer = _sound(what_if_pieces_are(asked("seeded-loaf"), 2.0))
    assert answer.number("piece").median == 1700.0
    assert answer.number("bake, times").low > 1.2
    assert "no stage changes" in what_if_pieces_are(asked("seeded-loaf"), 1.0).sentence


def test_half_the_whole_grain() -> None:
    """Hand: 50 % whole grain to 25 %: 2.5 tens x 1.75 = 4.4 points of water less (1.5 to 2: 3.75 to 5)."""
    answer = _sound(other_whole_grain(asked("seeded-loaf", 500), 0.5))
    water = answer.number("water")
    assert (water.low, water.median, water.high) == pytest.approx((-5.0, -4.375, -3.75), abs=0.05)


def test_a_flour_that_absorbs_three_points_more() -> None:
    """Hand: milk of 88.1 % water: 3 points of water are 3 / 0.881 = 3.4 points of milk on 68 %."""
    answer = _sound(new_flour(asked("milk-loaf"), 3.0))
    assert answer.number("milk-whole").median == pytest.approx(68.0 + 3.0 / 0.8813, abs=0.01)
    assert answer.number("water").median == 3.0


def test_flour_questions_that_cannot_be() -> None:
    """Bad input: no whole grain to change, more of it than flour, thirty points of absorption."""
    with pytest.raises(BadInput, match="no whole-grain"):
        other_whole_grain(asked("brioche"), 0.5)
    with pytest.raises(OutOfRange):
        other_whole_grain(asked("seeded-loaf"), 3.0)
    with pytest.raises(OutOfRange):
        new_flour(asked("milk-loaf"), 30.0)
