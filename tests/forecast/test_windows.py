"""Windows rest on the baker's own reference: reproduced under her conditions, moved with dough and place."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from smallhours.bakery.formula.document import Stage, Way
from smallhours.bakery.formula.leaven import Leaven
from smallhours.bakery.process.habits import main_way
from smallhours.errors import OutOfRange
from smallhours.forecast.assumed import ASSUMED, Assumed, assumed_of
from smallhours.forecast.gas import activities, gas_along_s, temps_along_c
from smallhours.forecast.sizes import Size, ball_size, bulk_size, slab_size
from smallhours.forecast.time_constants import time_constant_s
from smallhours.forecast.windows import MOST_FACTOR, StageWindow, stage_window
from smallhours.reference.fermentation import cold_curve
from smallhours.science.fermentation import CardinalTemperatures, PathPoint, equivalent_time_s
from smallhours.science.yeast_activity import YeastCurves, activity_fractions

BULK = bulk_size(20_000)
PLAIN_SET = CardinalTemperatures(2.0, 36.0, 50.0)
PLAIN = YeastCurves.plain(PLAIN_SET)
FERMENT = Stage(kind="ferment", duration_s=7200, min_s=5400, max_s=10800, at_temp_c=24)
PROOF = Stage(kind="proof", duration_s=5400, at_temp_c=26)
CHILL = Stage(kind="chill", duration_s=7200, min_s=5400, at_temp_c=4)
RETARD = Stage(kind="retard", duration_s=10 * 3600, min_s=8 * 3600, max_s=16 * 3600, at_temp_c=4)


def _window(
    stage: Stage, dough_c: float, place_c: float, size: Size = BULK, meant_c: float | None = None, fan: bool = False,
    assumed: Assumed = ASSUMED,
) -> StageWindow:  # fmt: skip
    return stage_window(
        stage,
        main_way(stage, 0),
        dough_temp_c=dough_c,
        place_temp_c=place_c,
        size=size,
        reference_dough_temp_c=meant_c,
        moving_air=fan,
        assumed=assumed,
    )


@given(
    st.sampled_from(("ferment", "rest", "proof", "chill")),
    st.floats(300, 40_000),
    st.floats(16, 35),
    st.floats(14, 34),
    st.floats(30, 30_000),
)
def test_the_reference_is_reproduced(kind: str, length_s: float, air_c: float, dough_c: float, mass_g: float) -> None:
    """Limit: under the baker's own conditions her numbers come out, whatever yeast and heat are assumed to do."""
    air = 4.0 if kind == "chill" else air_c
    stage = Stage(kind=kind, duration_s=length_s, min_s=0.8 * length_s, max_s=1.3 * length_s, at_temp_c=air)  # type: ignore[arg-type]
    window = _window(stage, dough_c, air, ball_size(mass_g), dough_c)
    assert (window.min_s, window.preferred_s, window.max_s) == pytest.approx((0.8 * length_s, length_s, 1.3 * length_s))
    assert window.reached


@given(st.floats(14, 33), st.floats(0.2, 5), st.floats(14, 33))
def test_warmer_is_never_slower(place_c: float, warmer_k: float, dough_c: float) -> None:
    """Limit: below yeast's optimum a warmer place, or a warmer dough, never takes longer."""
    least = _window(FERMENT, dough_c, place_c, meant_c=24).preferred_s
    top_c = 36.0
    assert _window(FERMENT, dough_c, min(place_c + warmer_k, top_c), meant_c=24).preferred_s <= least + 1e-6
    assert _window(FERMENT, min(dough_c + warmer_k, top_c), place_c, meant_c=24).preferred_s <= least + 1e-6


@given(st.floats(5, 40), st.floats(1, 3), st.booleans())
def test_larger_is_never_quicker_to_chill(radius_mm: float, factor: float, fan: bool) -> None:
    """Limit: a thicker slab than the reference's never chills sooner."""
    meant = Size("slab", 15.0)
    thin, thick = (
        stage_window(
            CHILL,
            main_way(CHILL, 0),
            dough_temp_c=24,
            place_temp_c=4,
            size=Size("slab", r),
            reference_size=meant,
            moving_air=fan,
        ).preferred_s
        for r in (radius_mm, radius_mm * factor)
    )
    assert thick >= thin - 1e-6


def test_dough_and_place_at_one_temperature() -> None:
    """Hand: all at 20 instead of 24 °C: each limit times g(24) / g(20), for a yeast of 2, 36, 50 °C.

    g(T) = (T-50)(T-2)^2 / (34 (34 (T-36) + 14 (38-2T))): g(20) = 9720 / 19448 = 0.49979 and
    g(24) = 12584 / 18632 = 0.67540, so 2 h become 2.703 h. The table of activities is good to 0.0005.
    """
    factor = 0.67540 / 0.49979
    window = _window(FERMENT, 20, 20, meant_c=24, assumed=Assumed(yeast=PLAIN))
    assert window.preferred_s == pytest.approx(7200 * factor, rel=2e-3)
    assert window.min_s == pytest.approx(5400 * factor, rel=2e-3)


def test_the_cold_slope_makes_it_longer() -> None:
    """Hand: with the cold curve (yeast_cold.csv) all at 20 instead of 24 °C takes g(24) / g(20) of that curve, worked
    out one temperature at a time: longer than without a cold slope."""
    warm, cool = (float(activity_fractions(t, cold_curve())) for t in (24.0, 20.0))
    window = _window(FERMENT, 20, 20, meant_c=24)
    assert window.preferred_s == pytest.approx(7200 * warm / cool, rel=2e-3)
    flat = replace(cold_curve(), cold_slope_per_k=0.0)
    assert window.preferred_s > _window(FERMENT, 20, 20, meant_c=24, assumed=Assumed(yeast=flat)).preferred_s


def test_gas_against_the_scalar_relation() -> None:
    """Round trip: the fast table and trapezoid give what the stepwise quadrature of the science gives."""
    times = np.linspace(0, 7200, 601)
    temps = temps_along_c(26, 12, 5000, times)
    fast = gas_along_s(temps, times, PLAIN)[-1] / activities(np.array([24.0]), PLAIN)[0]
    path = [PathPoint(float(t), float(c)) for t, c in zip(times, temps, strict=True)]
    assert fast == pytest.approx(equivalent_time_s(path, 24.0, PLAIN_SET), rel=1e-3)


def test_table_of_activities_against_published_parameters() -> None:
    """Published: growth of Saccharomyces cerevisiae, 2, 32.3, 45.4 °C (Salvadó et al. 2011): g(26) = 0.87234."""
    found = activities(np.array([26.0, 32.3, -50.0, 130.0]), YeastCurves(2.0, 32.3, 45.4))
    assert found == pytest.approx([0.87234, 1.0, 0.0, 0.0], abs=5e-4)


@pytest.mark.parametrize(
    ("size", "hours"),
    [
        (Size("sphere", 25.0), 0.84),  # a ball of 70 g
        (Size("sphere", 43.0), 1.41),  # a ball of 400 g
        (Size("cylinder", 45.0), 2.27),  # a log of 9 cm
    ],
)
def test_a_night_in_the_fridge_in_hours_of_room(size: Size, hours: float) -> None:
    """Hand: 16 h at 4 °C from 24 °C, in hours at 24 °C, stepped through every 30 s with the heat of fermentation.

    The steps (0.73 K/h at the rate of 24 °C: 50 kJ per mol of CO2, 1 l per kg and hour) give the figures of the table;
    the forecast leaves that heat out, which is 2 to 8 % here: hence 10 %. Heat transfer 9 W/(m2 K).
    """
    tau = time_constant_s(size, "room")
    assert _stepped_h(tau) == pytest.approx(hours, abs=0.02)
    times = np.linspace(0, 16 * 3600, 601)
    made = gas_along_s(temps_along_c(24, 4, tau, times), times, PLAIN)[-1]
    assert made / activities(np.array([24.0]), PLAIN)[0] / 3600 == pytest.approx(hours, rel=0.10)


def _stepped_h(tau_s: float, step_s: float = 30.0) -> float:
    temp, made = 24.0, 0.0
    at_24 = float(activities(np.array([24.0]), PLAIN)[0])
    for _ in range(int(16 * 3600 / step_s)):
        rate = float(activities(np.array([temp]), PLAIN)[0]) / at_24
        made += rate * step_s
        temp += step_s * ((4.0 - temp) / tau_s + 0.73 / 3600 * rate)
    return made / 3600


@pytest.mark.parametrize(("minutes", "mean_c"), [(60, 15.04), (120, 10.17), (240, 5.93)])
def test_a_ball_of_400_g_in_the_fridge(minutes: float, mean_c: float) -> None:
    """Published: exact series for a sphere (Carslaw & Jaeger): R 43 mm, 24 to 4 °C.

    With 0.40 W/(m K), 1150 kg/m3, 2.8 J/(g K) and 9 W/(m2 K). The mean-temperature equation is good to
    1 % of the 20 K step at this Biot number: hence 0.2 K.
    """
    tau = time_constant_s(Size("sphere", 43.0), "room")
    assert 4 + 20 * math.exp(-minutes * 60 / tau) == pytest.approx(mean_c, abs=0.2)
    assert ball_size(400).radius_mm == pytest.approx(43.0, rel=0.02)


def test_a_colder_fridge_and_a_fan_chill_sooner() -> None:
    """Behaviour: fan before still, colder before warmer; a fridge warmer than the goal never gets there."""
    slab = slab_size(5000, 580 * 380, 0.5)
    still = _window(CHILL, 24, 4, slab).preferred_s
    assert _window(CHILL, 24, 4, slab, fan=True).preferred_s < still
    assert _window(CHILL, 24, 6, slab, meant_c=24).preferred_s > still
    never = _window(CHILL, 24, 14, slab, meant_c=24)
    assert not never.reached
    assert never.preferred_s == MOST_FACTOR * 7200


def test_living_dough_in_the_cold_keeps_the_bakers_limits() -> None:
    """Behaviour: retards, and rests in the fridge, are not moved; nor is what gives no reference temperature."""
    assert _window(RETARD, 26, 7).min_s == RETARD.min_s
    in_fridge = Way(place="fridge", duration_s=36000, min_s=30000, max_s=50000, at_temp_c=4)
    window = stage_window(PROOF, in_fridge, dough_temp_c=26, place_temp_c=7, size=BULK)
    assert (window.min_s, window.preferred_s, window.max_s, window.low_s) == (30000, 36000, 50000, None)
    no_reference = Stage(kind="ferment", duration_s=3600)
    assert _window(no_reference, 26, 30).preferred_s == 3600


def test_other_stages_are_not_moved() -> None:
    """Behaviour: a bake and a shaping take what the formula says, hand work per piece counted in by the way."""
    bake = Stage(kind="bake", duration_s=1800, set_temp_c=180)
    assert _window(bake, 26, 20).preferred_s == 1800
    shape = Stage(kind="shape", per_piece_s=10)
    window = stage_window(shape, main_way(shape, 12), dough_temp_c=26, place_temp_c=20, size=BULK)
    assert window.preferred_s == 120


def test_intervals_are_honest() -> None:
    """Hand: +-30 % at 80 %: exp(1.2816 x 0.20) = 1.292; wider when moved, and much wider below 18 °C."""
    at_reference = _window(FERMENT, 24, 24, meant_c=24)
    assert at_reference.high_s == pytest.approx(1.292 * 7200, rel=1e-3)
    assert at_reference.low_s == pytest.approx(7200 / 1.292, rel=1e-3)
    warm, cold = _window(FERMENT, 28, 28, meant_c=24), _window(FERMENT, 14, 14, meant_c=24)
    assert at_reference.high_s / at_reference.preferred_s < warm.high_s / warm.preferred_s
    assert cold.high_s / cold.low_s > 1.4 * warm.high_s / warm.low_s
    assert "guess" in cold.rests_on


def test_too_cold_to_rise() -> None:
    """Limit: at the temperature at which yeast stops there is no answer, and the window says so."""
    window = _window(FERMENT, 2, 2, meant_c=24)
    assert not window.reached
    assert window.preferred_s == MOST_FACTOR * 7200
    assert "too cold" in window.rests_on


def test_what_is_learned_narrows_it() -> None:
    """Behaviour: assumptions are arguments; a kitchen that knows better gets a narrower interval."""
    known = Assumed(ferment_log_sd=0.08)
    window = stage_window(FERMENT, main_way(FERMENT, 0), dough_temp_c=24, place_temp_c=24, size=BULK, assumed=known)
    assert window.high_s is not None
    assert window.high_s / 7200 == pytest.approx(math.exp(1.28155 * 0.08), rel=1e-4)


@pytest.mark.parametrize(("dough_c", "place_c"), [(math.nan, 24), (24, 90), (-60, 24)])
def test_impossible_temperatures(dough_c: float, place_c: float) -> None:
    """Bad input: not a temperature of a dough or its place."""
    with pytest.raises(OutOfRange):
        _window(FERMENT, dough_c, place_c)


def test_a_culture_s_stage_follows_a_culture() -> None:
    """Hand: at 31 °C a culture works at 0.625 of its fastest, at 25 °C at 0.8125 (table culture_growth): 1.3 times as
    long, where yeast is quicker. At 20 °C it takes 0.8125 / 0.5 = 1.625 times as long.
    """
    stage = Stage(kind="ferment", duration_s=7200.0, at_temp_c=25.0)
    tiny = Size("sphere", 0.5)  # as warm as its place at once
    found = {}
    for temp_c in (20.0, 31.0):
        for leaven in (Leaven(2.0, 0.0), Leaven(0.0, 20.0)):
            window = stage_window(
                stage,
                main_way(stage, 1),
                dough_temp_c=temp_c,
                place_temp_c=temp_c,
                size=tiny,
                reference_dough_temp_c=25.0,
                assumed=assumed_of(leaven),
            )
            found[temp_c, leaven.culture_percent] = window.preferred_s / 7200.0
    assert found[31.0, 20.0] == pytest.approx(0.8125 / 0.625, rel=2e-3)
    assert found[20.0, 20.0] == pytest.approx(0.8125 / 0.5, rel=2e-3)
    assert found[31.0, 0.0] < 1.0
    assert assumed_of(Leaven(2.0, 0.0)) is assumed_of(Leaven(1.0, 0.0))
    assert assumed_of(Leaven(0.5, 20.0)).yeast is not assumed_of(Leaven(0.0, 20.0)).yeast
