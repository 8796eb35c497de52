"""A whole formula: its own reference comes out exactly, and away from it physics carries the ratio."""

from __future__ import annotations

import datetime as dt
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from forecast.demo_bakery import asked, formulas, kitchen, pantry
from smallhours.bakery.formula.document import Stage
from smallhours.errors import BadInput, OutOfRange
from smallhours.forecast.conditions import Conditions
from smallhours.forecast.ensemble import draw
from smallhours.forecast.estimate import Estimate
from smallhours.forecast.formula_forecast import FormulaForecast, forecast_formula
from smallhours.forecast.stage_forecast import StageForecast

ALL = sorted(formulas())
RISING = ["braid", "burger-bun", "dinner-roll", "harbour-bun", "mast-stick", "milk-loaf", "quay-loaf", "seeded-loaf"]
NIGHTS = sorted(
    (slug, stage.key, way.place)
    for slug, formula in formulas().items()
    for stage in formula.stages
    for way in stage.instead
    if stage.part is None
)


def _estimates(stage: StageForecast) -> list[Estimate]:
    warm = [getattr(side, name) for side in (stage.at_start, stage.at_end) for name in ("core", "mean", "skin")]
    more = [x for x in (stage.ripeness, stage.loss_percent) if x is not None]
    return [stage.length, stage.earliest, stage.latest, stage.rise, *warm, *more]


@pytest.mark.parametrize("slug", ALL)
@pytest.mark.parametrize("members", [60, 500])
def test_under_its_own_conditions_a_formula_comes_out(slug: str, members: int) -> None:
    """Limit: every stage of every formula of the invented bakery takes its own time, whatever the parameters are."""
    made = asked(slug, members, as_written=True).forecast()
    for stage in made.stages:
        assert stage.length.median == pytest.approx(stage.reference_s, rel=1e-9), stage.key
        assert stage.end_s - stage.start_s == pytest.approx(stage.reference_s, rel=1e-9)
        if stage.ripeness is not None:
            assert stage.ripeness.median == pytest.approx(1.0, rel=1e-9)


@pytest.mark.parametrize("slug", ALL)
def test_the_baker_s_limits_come_out_too(slug: str) -> None:
    """Limit: minimum and maximum of every fermentation and proof under the formula's own conditions."""
    formula, made = formulas()[slug], asked(slug, as_written=True).forecast()
    for stage in (s for s in formula.stages if s.kind in ("ferment", "proof", "bake") and s.min_s and s.max_s):
        found = next(s for s in made.stages if s.key == stage.key and s.part == (stage.part or formula.main))
        assert (found.earliest.median, found.latest.median) == pytest.approx((stage.min_s, stage.max_s), rel=1e-6)


@pytest.mark.parametrize(("slug", "key", "place"), NIGHTS)
def test_other_ways_come_out_too(slug: str, key: str, place: str) -> None:
    """Limit: a night in the fridge or a proofer, as the formula means it, takes what it says and is just ripe."""
    stage = asked(slug, as_written=True, ways={key: place}).forecast().stage(key)
    assert stage.length.median == pytest.approx(stage.reference_s, rel=1e-6)
    assert stage.ripeness is not None
    assert stage.ripeness.median == pytest.approx(1.0, rel=1e-6)


@pytest.mark.parametrize("slug", ALL)
def test_intervals_hold_their_medians_and_curves_run_forward(slug: str) -> None:
    """Behaviour: low <= median <= high everywhere; stages and points follow one another."""
    made = asked(slug, room_c=17).forecast()
    for stage in made.stages:
        for value in _estimates(stage):
            assert value.low <= value.median + 1e-9
            assert value.median <= value.high + 1e-9
    own = [stage for stage in made.stages if stage.start_s >= 0]
    assert all(b.start_s == pytest.approx(a.end_s) for a, b in pairwise(own))
    times = [point.t_s for point in made.curve]
    assert times == sorted(times)
    assert all(point.rise.low >= 0.99 for point in made.curve)


@given(st.sampled_from(RISING), st.floats(10, 27), st.floats(0.5, 6))
@settings(max_examples=25, deadline=None)
def test_warmer_is_never_slower_below_the_optimum(slug: str, room_c: float, warmer_k: float) -> None:
    """Limit: yeast works faster the warmer it is, up to 33 °C; so is every fermentation and proof, in every member."""
    cold, warm = (asked(slug, room_c=c).forecast() for c in (room_c, room_c + warmer_k))
    assert warm.to_oven is not None
    assert cold.to_oven is not None
    assert warm.to_oven.median <= cold.to_oven.median + 1.0
    for a, b in zip(cold.stages, warm.stages, strict=True):
        if a.kind in ("ferment", "proof"):
            assert b.length.median <= a.length.median + 1.0


@given(st.floats(1, 9), st.floats(0.3, 4))
@settings(max_examples=15, deadline=None)
def test_a_colder_fridge_is_never_riper(fridge_c: float, colder_k: float) -> None:
    """Limit: the same night in a colder fridge makes less gas, in every member."""
    ripe = [
        asked("milk-loaf", fridge_c=c, ways={"proof": "fridge"}).forecast().stage("proof").draws["ripeness_cold"]
        for c in (fridge_c, fridge_c - colder_k)
    ]
    assert (ripe[1] <= ripe[0] + 1e-9).all()


def test_intervals_widen_in_the_cold() -> None:
    """Behaviour: the colder the room, the wider the interval of a proof, as share of its median."""
    wide = [_width(asked("dinner-roll", 500, room_c=c).forecast().stage("proof")) for c in (24, 18, 14, 10)]
    assert wide == sorted(wide)
    assert wide[-1] > 1.4 * wide[0]


def _width(stage: StageForecast) -> float:
    return (stage.length.high - stage.length.low) / stage.length.median


def test_more_yeast_is_quicker_by_its_power() -> None:
    """Hand: twice the yeast makes gas 2^0.85 = 1.80 times as fast; at one temperature it takes 1/1.80 as long."""
    made = [
        asked("mast-stick", as_written=True, yeast_percent=p).forecast().stage("ferment").length.median
        for p in (None, 2 * _own_percent("mast-stick"))
    ]
    assert made[0] / made[1] == pytest.approx(2**0.85, rel=0.03)


def _own_percent(slug: str) -> float:
    from smallhours.forecast.formula_forecast import own_yeast_percent

    return own_yeast_percent(formulas()[slug], pantry())


def test_a_larger_piece_bakes_longer_and_cools_slower() -> None:
    """Limit: larger is never quicker: twice the mass bakes 2^(1.2/3) to 2 times as long."""
    small, large = (asked("seeded-loaf", piece_mass_g=m).forecast() for m in (850.0, 1700.0))
    ratio = large.stage("bake").length.median / small.stage("bake").length.median
    assert 2 ** (1.2 / 3) < ratio <= 2.05
    assert large.stage("cool").at_end.core.median > small.stage("cool").at_end.core.median


def test_a_retard_keeps_its_own_time_and_says_how_ripe() -> None:
    """Limit: a retard takes what the baker wrote; just ripe under her conditions, riper in a warmer fridge."""
    own = formulas()["milk-loaf"]
    retard = Stage(kind="retard", duration_s=36_000, min_s=28_800, max_s=57_600, at_temp_c=4)
    stages = tuple(retard if stage.kind == "proof" else stage for stage in own.stages)
    kept = own.model_copy(update={"stages": stages})
    found = [
        forecast_formula(kept, pantry(), Conditions(kitchen(), **how), draw(60)).stage("retard")  # type: ignore[arg-type]
        for how in ({"as_written": True}, {"fridge_c": 3.0}, {"fridge_c": 7.0})
    ]
    assert {one.length for one in found} == {Estimate(36_000, 36_000, 36_000)}
    ripe = [one.ripeness.median for one in found if one.ripeness is not None]
    assert ripe[0] == pytest.approx(1.0, rel=1e-9)
    assert ripe[1] < ripe[2]


def test_losses_are_those_of_the_formula() -> None:
    """Behaviour: as written 10 % in the oven, a point and a half either way; only what is baked loses."""
    made = asked("milk-loaf", 500, as_written=True).forecast()
    lost = made.stage("bake").loss_percent
    assert lost is not None
    assert (lost.median, lost.low, lost.high) == pytest.approx((10.0, 8.5, 11.5), abs=0.05)
    poolish = [stage for stage in asked("quay-loaf").forecast().stages if stage.part == "poolish"]
    assert all(stage.loss_percent is None for stage in poolish)


def test_the_clock_starts_with_the_mixing() -> None:
    """Behaviour: a poolish ends when the dough is mixed; instants follow from the start."""
    start = dt.datetime(2026, 3, 14, 20, 0, tzinfo=dt.UTC)
    made = asked("quay-loaf", start=start).forecast()
    poolish = [stage for stage in made.stages if stage.part == "poolish"]
    assert poolish[-1].end_s == pytest.approx(0.0, abs=1e-6)
    assert poolish[0].start_s < -5 * 3600
    assert made.at(made.stage("mix").end_s) is not None
    assert made.at(0.0) == start


def test_a_laminated_dough_goes_on_from_its_dough() -> None:
    """Behaviour: the croissant is forecast from the mixing of its dough, through its chill, to the oven."""
    made = asked("croissant").forecast()
    assert [stage.part for stage in made.stages[:3]] == ["dough", "dough", "laminated"]
    assert made.stages[2].at_start.mean == made.stages[1].at_end.mean


def test_the_same_draws_give_the_same_forecast() -> None:
    """Behaviour: reproducible by seed; another seed moves the interval a little and the median hardly."""
    same = [_made(seed) for seed in (3, 3, 4)]
    assert same[0].ready == same[1].ready
    assert same[0].ready != same[2].ready
    assert same[2].ready.median == pytest.approx(same[0].ready.median, rel=0.02)


def _made(seed: int) -> FormulaForecast:
    return forecast_formula(formulas()["milk-loaf"], pantry(), Conditions(kitchen(), room_c=17), draw(200, seed))


def test_weights_of_logged_bakes_move_the_forecast() -> None:
    """Behaviour: the same draws say longer if slow members weigh more, and narrower if only near ones weigh."""
    drawn = draw(200)
    vigour = drawn.values("vigour")
    slow = drawn.reweighed(np.where(vigour < 0.9, 1.0, 0.05))
    near = drawn.reweighed(np.where(np.abs(vigour - 1.0) < 0.05, 1.0, 0.0))
    plain, heavy, known = (
        forecast_formula(formulas()["milk-loaf"], pantry(), Conditions(kitchen(), room_c=17), e).stage("proof")
        for e in (drawn, slow, near)
    )
    assert heavy.length.median > 1.1 * plain.length.median
    assert _width(known) < 0.9 * _width(plain)


def test_what_moves_a_stage_most_is_found_by_trying() -> None:
    """Behaviour: for rolls in a cold room it is the room or the yeast, by what a forecast with that change says."""
    usual = asked("croissant", room_c=17).forecast().stage("proof")
    warmer = asked("croissant", room_c=18).forecast().stage("proof")
    assert usual.moved_by is not None
    assert usual.moved_by.input == "room"
    assert usual.moved_by.change_s == pytest.approx(warmer.length.median - usual.length.median, rel=0.15)


@pytest.mark.parametrize(
    ("conditions", "told"),
    [
        ({"room_c": -40.0}, "the room must be 0 to 50 °C"),
        ({"room_c": 140.0}, "the room must be 0 to 50 °C"),
        ({"room_c": float("nan")}, "the room must be 0 to 50 °C"),
        ({"fridge_c": 30.0}, "the fridge must be -5 to 20 °C"),
        ({"yeast_percent": 0.0}, "the yeast must be 0.01 to 15 %"),
        ({"yeast_percent": 40.0}, "the yeast must be 0.01 to 15 %"),
        ({"yeast_percent": 9.0}, "as instant yeast"),
        ({"piece_mass_g": 0.0}, "the mass of a piece"),
        ({"dough_mass_g": -1.0}, "the mass of dough"),
        ({"cold_path": ((0.0, 4.0), (600.0, float("nan")))}, "made of numbers"),
        ({"cold_path": ((600.0, 4.0), (0.0, 5.0))}, "must rise"),
        ({"start": dt.datetime(2026, 3, 14, 20, 0)}, "time zone"),
        ({"ways": {"proof": "oven"}}, "is not done in the oven"),
        ({"ways": {"nap": "fridge"}}, "has no stage 'nap'"),
        ({"lengths_s": {"proof": -5.0}}, "length of stage 'proof'"),
        ({"door_openings": -1}, "how often the door"),
    ],
)
def test_conditions_that_cannot_be(conditions: dict[str, object], told: str) -> None:
    """Bad input: one clear sentence each, of one line."""
    with pytest.raises((BadInput, OutOfRange), match=told) as caught:
        asked("milk-loaf", **conditions).forecast()
    assert "\n" not in str(caught.value)


def test_a_formula_without_reference() -> None:
    """Bad input: no stages, so there is no time to move; no yeast, so no dose to change."""
    bare = formulas()["milk-loaf"].model_copy(update={"stages": ()})
    with pytest.raises(BadInput, match="has no stages"):
        forecast_formula(bare, pantry(), Conditions(kitchen()), draw(60))
    with pytest.raises(BadInput, match="has no yeast"):
        asked("tea-cake", yeast_percent=1.0).forecast()
