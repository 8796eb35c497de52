"""Doughs standing in air, against the relations they are made of."""

from __future__ import annotations

import numpy as np
import pytest

from smallhours.bakery.formula.document import Place
from smallhours.errors import BadInput
from smallhours.forecast.assumed import ASSUMED
from smallhours.forecast.ensemble import draw
from smallhours.forecast.parameters import NUDGES, Parameters
from smallhours.forecast.sizes import DENSITY_G_PER_MM3, Shape, Size, ball_size, bulk_size, slab_size
from smallhours.forecast.stand import Stood, at_time, made_until, reached_s, stand
from smallhours.forecast.time_constants import time_constant_s
from smallhours.forecast.walk import times_for
from smallhours.reference.fermentation import cold_curve
from smallhours.science.conduction import fourier_number, mean_left_fraction
from smallhours.science.heat_path import Pieces, Spell, follow, path_of, yeast_heat
from smallhours.science.heat_path.layers import Layers, layers_of
from smallhours.science.yeast_activity import activity_fractions

HOURS = np.linspace(0.0, 4 * 3600.0, 49)
K, DENSITY, HEAT = ASSUMED.conductivity_w_per_m_k, DENSITY_G_PER_MM3 * 1e6, ASSUMED.specific_heat_j_per_g_k
DIFFUSIVITY = K / (DENSITY * HEAT * 1000.0)
BALL = layers_of("sphere", 40.0, 9.0, DENSITY, HEAT, K)
WRAPPED = layers_of("sphere", 40.0, 0.02, DENSITY, HEAT, K)


def stood_in(start_c: float, air_c: float, times: np.ndarray, layers: Layers = BALL, alive: bool = True) -> Stood:
    """One dough, at first the same throughout, in still air."""
    return stand(times, np.array([start_c]), np.full((times.size, 1), air_c), layers, cold_curve() if alive else None)


def test_without_yeast_it_is_the_exact_series() -> None:
    """Published: the series of Carslaw & Jaeger in constant air: mean within 0.02 K, whatever the steps of time."""
    times = times_for([3600.0, 9000.0], 14_400.0)
    stood = stood_in(24.0, 4.0, times, alive=False)
    fourier = fourier_number(times[1:], 40.0, DIFFUSIVITY)
    exact = 4.0 + 20.0 * mean_left_fraction("sphere", 9.0 * 0.04 / K, fourier)
    assert stood.mean_c[1:, 0] == pytest.approx(exact, abs=0.02)
    assert not stood.gas_s.any()


def test_gas_at_one_temperature_is_activity_times_time() -> None:
    """Hand: a dough that stays at its place's 25 °C makes activity(25) x 4 h; only its own heat is on top of it."""
    air = np.full((49, 1), 25.0)
    still = stand(HOURS, np.array([25.0]), air, BALL, cold_curve(), np.zeros(1))
    rate = float(activity_fractions(25.0, cold_curve()))
    assert still.gas_s[-1, 0] == pytest.approx(rate * 4 * 3600.0, rel=1e-9)
    warmed = stand(HOURS, np.array([25.0]), air, BALL, cold_curve())
    assert warmed.gas_s[-1, 0] > still.gas_s[-1, 0]


def test_own_heat_of_a_wrapped_dough() -> None:
    """Hand: 0.73 K an hour at 28 °C (50 kJ per mol of CO2, 1 l per kg and hour) if nearly no heat leaves."""
    stood = stood_in(28.0, 28.0, HOURS, WRAPPED)
    assert stood.mean_c[12, 0] - 28.0 == pytest.approx(0.73, abs=0.02)


def test_coarse_steps_are_good_enough() -> None:
    """Limit: the times that are used give the gas of steps forty times as fine within 0.5 %, also while it cools."""
    coarse = times_for([5400.0, 9000.0], 36_000.0)
    fine = np.interp(np.linspace(0, coarse.size - 1, 40 * (coarse.size - 1) + 1), np.arange(coarse.size), coarse)
    for start_c, air_c, radius_mm in ((26.0, 17.0, 20.0), (24.0, 4.0, 60.0), (5.0, 24.0, 30.0)):
        layers = layers_of("sphere", radius_mm, 9.0, DENSITY, HEAT, K)
        found = [stood_in(start_c, air_c, t, layers).at(9000.0)[1][0] for t in (coarse, fine)]
        assert found[0] == pytest.approx(found[1], rel=0.005)


@pytest.mark.parametrize("size", [ball_size(400.0), slab_size(3000.0, 220_400.0, 0.5), bulk_size(12_000.0)])
@pytest.mark.parametrize(("place", "fan"), [("room", False), ("fridge", False), ("fridge", True), ("proofer", False)])
def test_the_middle_member_follows_its_place_nearly_as_planning_has_it(size: Size, place: Place, fan: bool) -> None:
    """Limit: planning's one equation of the mean is within 8.5 % of a step of 20 K up to Biot 10, 3.4 % up to 3."""
    layers = Parameters(draw(50)).layers(size, size, place, fan)
    times = np.linspace(0.0, 3.0, 61) * time_constant_s(size, place, fan)
    stood = stand(times, np.full(2 * 55, 24.0), np.full((61, 1), 4.0), layers)
    assert stood.mean_c[:, 0] == pytest.approx(4.0 + 20.0 * np.exp(-np.linspace(0.0, 3.0, 61)), abs=0.085 * 20.0)
    assert (stood.mean_c[:, 0] == stood.mean_c[:, 55]).all() or fan


@pytest.mark.parametrize(("shape", "radius_mm"), [("slab", 12.0), ("cylinder", 35.0), ("sphere", 43.0)])
def test_layers_against_the_solver(shape: Shape, radius_mm: float) -> None:
    """Published: finite volumes of ``science.heat_path``, themselves within 0.05 K of the exact series.

    From the room into the fridge and out again, unevenly warm and alive: mean within 0.1 K at all times, core and skin
    within 0.25 K from ten minutes after each change on, gas within 1 %.
    """
    stay_s, curve = 1.5 * 3600.0, cold_curve()
    pieces = Pieces(shape, radius_mm * (2.0 if shape == "slab" else 1.0), 24.0, DENSITY, HEAT, K)
    spells = [Spell(0.0, stay_s, 4.0, 8.0), Spell(stay_s, 2 * stay_s, 20.0, 9.0)]
    warming = yeast_heat(curve, 28.0, 0.73 / 3600.0 * HEAT * 1000.0)
    times = np.linspace(0.0, 2 * stay_s, 217)
    found = follow(pieces, path_of(spells), times, warming, profiles=True)
    assert found.profiles_c is not None
    active = (activity_fractions(found.profiles_c[0], curve) * found.weights_fraction[0]).sum(axis=-1)
    exact_gas = np.append(0.0, np.cumsum((active[1:] + active[:-1]) / 2 * np.diff(times)))
    start, gas = np.array([24.0]), 0.0
    steps = times_for([stay_s], 0.0)
    for begin, air_c, outer in ((0, 4.0, 8.0), (108, 20.0, 9.0)):
        layers = layers_of(shape, radius_mm, outer, DENSITY, HEAT, K)
        stood = stand(steps, start, np.full((steps.size, 1), air_c), layers, curve)
        for n in range(12, 109, 6):
            mean, made = stood.at(times[n])
            core, skin = stood.core_and_skin_c(times[n])
            assert mean[0] == pytest.approx(found.mean_c[0, begin + n], abs=0.1)
            assert core[0] == pytest.approx(found.core_c[0, begin + n], abs=0.25)
            assert skin[0] == pytest.approx(found.skin_c[0, begin + n], abs=0.25)
            assert gas + made[0] == pytest.approx(exact_gas[begin + n], rel=0.01)
        gas, start = gas + made[0], stood.layers_c(stay_s)


def test_a_tub_warms_its_core() -> None:
    """Published: the middle of 12 kg that warms itself three times as much as usual, by the solver: within 0.15 K."""
    radius_mm, curve = bulk_size(12_000.0).radius_mm, cold_curve()
    heat = yeast_heat(curve, 28.0, 3 * 0.73 / 3600.0 * HEAT * 1000.0)
    spells = path_of([Spell(0.0, HOURS[-1], 22.0, 9.0)])
    exact = follow(Pieces("sphere", radius_mm, 25.0, DENSITY, HEAT, K), spells, HOURS, heat)
    layers = layers_of("sphere", radius_mm, 9.0, DENSITY, HEAT, K)
    stood = stand(HOURS, np.array([25.0]), np.full((49, 1), 22.0), layers, curve, np.array([3.0]))
    assert exact.core_c[0, -1] > 31.0
    for n in range(6, 49):
        assert stood.core_and_skin_c(HOURS[n])[0][0] == pytest.approx(exact.core_c[0, n], abs=0.15)


def test_a_core_is_never_warmer_than_what_warms_it() -> None:
    """Limit: no core in a fridge is warmer than it came, however soon one looks; a dead one not colder than the air."""
    thick = layers_of("slab", 150.0, 25.0, DENSITY, HEAT, K)
    stood = stood_in(24.0, 4.0, np.linspace(0.0, 3600.0, 61), thick, alive=False)
    cores = np.array([stood.core_and_skin_c(t)[0][0] for t in stood.times_s])
    assert ((cores <= 24.0 + 1e-9) & (cores >= 4.0)).all()


def test_nudged_members_have_one_input_changed() -> None:
    """Behaviour: behind the members stands one for each nudge, everything else in its middle."""
    parameters = Parameters(draw(50))
    assert parameters.count == 50 + len(NUDGES)
    assert parameters.room_k[50:].tolist() == [1.0, 0.0, 0.0, 0.0, 0.0]
    assert parameters.dose_ratio[50:] == pytest.approx([1.0, 1.0, 1.0, 1.1, 1.0])
    assert not parameters.fridge_k[:50].any()


def test_when_something_is_reached() -> None:
    """Hand: a straight line from 0 to 4 in 4 s is at 2.5 after 2.5 s; nothing needed is there at once; 5 is never."""
    times, rising = np.array([0.0, 1.0, 4.0]), np.array([[0.0] * 3, [1.0] * 3, [4.0] * 3])
    assert reached_s(times, rising, np.array([2.5, 0.0, 5.0])).tolist() == [2.5, 0.0, np.inf]


def test_between_the_times_lies_a_parabola() -> None:
    """Hand: of t^2 at 0, 1, 3 and 4 s, 4 is found at 2 s exactly and reached there within 1 %; beyond is the end."""
    times = np.array([0.0, 1.0, 3.0, 4.0])
    rows = times[:, None] ** 2
    assert [at_time(times, rows, t)[0] for t in (0.5, 2.0, 3.0, 3.5)] == pytest.approx([0.25, 4.0, 9.0, 12.25])
    assert [at_time(times, rows, t)[0] for t in (-1.0, 9.0)] == [0.0, 16.0]
    assert reached_s(times, rows, np.array([4.0]))[0] == pytest.approx(2.0, rel=0.01)
    assert reached_s(times, rows, np.array([9.0]))[0] == 3.0


def test_what_was_made_at_a_changing_rate() -> None:
    """Hand: the integral of t^2 to 3 s is 9; straight lines over 0, 1, 2, 3 s would make it 9.5."""
    times = np.arange(4.0)
    assert made_until(times, times[:, None] ** 2)[:, 0] == pytest.approx([0.0, 1 / 3, 8 / 3, 9.0], abs=0.01)


def test_times_must_rise() -> None:
    """Bad input: a path that runs backwards."""
    with pytest.raises(BadInput, match="must rise"):
        stand(np.array([0.0, 60.0, 30.0]), np.array([20.0]), np.full((3, 1), 20.0), BALL)


def test_marks_that_only_rounding_parts_are_one_time() -> None:
    """Limit: two marks a billionth of a second apart give times that rise, with both among them to the millisecond."""
    times = times_for([9000.0 - 1e-9, 9000.0, 12600.0], 0.0)
    assert (np.diff(times) > 1.0).all()
    assert np.abs(times - 9000.0).min() < 1e-3
