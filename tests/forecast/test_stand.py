"""Doughs standing in air, against the relations they are made of."""

from __future__ import annotations

import numpy as np
import pytest

from smallhours.bakery.formula.document import Place
from smallhours.errors import BadInput
from smallhours.forecast.assumed import ASSUMED
from smallhours.forecast.ensemble import draw
from smallhours.forecast.parameters import NUDGES, Parameters
from smallhours.forecast.sizes import Size, ball_size, bulk_size, slab_size
from smallhours.forecast.stand import reached_s, stand
from smallhours.forecast.time_constants import time_constant_s
from smallhours.forecast.walk import times_for
from smallhours.reference.fermentation import cold_curve
from smallhours.science.heat_path import Pieces, Spell, follow, path_of
from smallhours.science.warming import Stay, biot_number, core_ratio, mean_temps_c
from smallhours.science.yeast_activity import activity_fractions

HOURS = np.linspace(0.0, 4 * 3600.0, 49)


def test_without_yeast_it_is_the_equation_of_the_mean() -> None:
    """Limit: ``science.warming.mean_temps_c`` in constant air, exactly, whatever the steps of time."""
    times = times_for([3600.0, 9000.0], 14_400.0)
    stood = stand(times, np.array([24.0, 5.0]), np.full((times.size, 1), 4.0), np.array([3000.0, 9000.0]))
    for n, (start_c, tau_s) in enumerate(((24.0, 3000.0), (5.0, 9000.0))):
        assert stood.mean_c[:, n] == pytest.approx(mean_temps_c(start_c, [Stay(20_000.0, 4.0, tau_s)], times))
    assert not stood.gas_s.any()


def test_gas_at_one_temperature_is_activity_times_time() -> None:
    """Hand: a dough that stays at its place's 25 °C makes activity(25) x 4 h; only its own heat is on top of it."""
    still = stand(HOURS, np.array([25.0]), np.full((49, 1), 25.0), np.array([3000.0]), cold_curve(), np.zeros(1))
    rate = float(activity_fractions(25.0, cold_curve()))
    assert still.gas_s[-1, 0] == pytest.approx(rate * 4 * 3600.0, rel=1e-9)
    warmed = stand(HOURS, np.array([25.0]), np.full((49, 1), 25.0), np.array([3000.0]), cold_curve())
    assert warmed.gas_s[-1, 0] > still.gas_s[-1, 0]


def test_own_heat_of_an_insulated_dough() -> None:
    """Hand: 0.73 K an hour at 28 °C (50 kJ per mol of CO2, 1 l per kg and hour) if nearly no heat leaves."""
    stood = stand(HOURS, np.array([28.0]), np.full((49, 1), 28.0), np.array([1e7]), cold_curve())
    assert stood.mean_c[12, 0] - 28.0 == pytest.approx(0.73, abs=0.02)


def test_coarse_steps_are_good_enough() -> None:
    """Limit: the times that are used give the gas of steps forty times as fine within 0.5 %, also while it cools."""
    coarse = times_for([5400.0, 9000.0], 36_000.0)
    fine = np.interp(np.linspace(0, coarse.size - 1, 40 * (coarse.size - 1) + 1), np.arange(coarse.size), coarse)
    for start_c, air_c, tau_s in ((26.0, 17.0, 2500.0), (24.0, 4.0, 9000.0), (5.0, 24.0, 4000.0)):
        found = [
            stand(t, np.array([start_c]), np.full((t.size, 1), air_c), np.array([tau_s]), cold_curve()).at(9000.0)[1][0]
            for t in (coarse, fine)
        ]
        assert found[0] == pytest.approx(found[1], rel=0.005)


@pytest.mark.parametrize("size", [ball_size(400.0), slab_size(3000.0, 220_400.0, 0.5), bulk_size(12_000.0)])
@pytest.mark.parametrize(("place", "fan"), [("room", False), ("fridge", False), ("fridge", True), ("proofer", False)])
def test_the_middle_member_follows_its_place_as_planning_has_it(size: Size, place: Place, fan: bool) -> None:
    """Limit: with every parameter in its middle the time constant is that of ``time_constant_s``."""
    heat = Parameters(draw(50)).heat(size, place, fan)
    assert heat.tau_s[0] == pytest.approx(time_constant_s(size, place, fan))


@pytest.mark.parametrize("shape", ["slab", "cylinder", "sphere"])
def test_core_and_skin_against_the_first_mode(shape: str) -> None:
    """Published: the first term of the exact series (Carslaw & Jaeger): core within 4 % of the step up to Biot 1."""
    for radius_mm in (4.0, 15.0, 40.0):
        size = Size(shape, radius_mm)  # type: ignore[arg-type]
        heat = Parameters(draw(50)).heat(size, "room")
        biot = biot_number(radius_mm, ASSUMED.conductivity_w_per_m_k, ASSUMED.surface_w_per_m2_k("room"))
        assert biot < 1.0
        assert heat.biot == pytest.approx(biot)
        assert heat.settled_core[0] == pytest.approx(core_ratio(shape, biot), abs=0.04)  # type: ignore[arg-type]


@pytest.mark.parametrize(("shape", "radius_mm"), [("slab", 12.0), ("cylinder", 35.0), ("sphere", 43.0)])
def test_core_and_skin_against_the_solver(shape: str, radius_mm: float) -> None:
    """Published: finite volumes of ``science.heat_path``, themselves within 0.05 K of the exact series.

    From the room into the fridge and out again; core and skin of the middle member within 1.2 K at all times.
    """
    size = Size(shape, radius_mm)  # type: ignore[arg-type]
    parameters, hours = Parameters(draw(50)), 1.5
    fridge, room = parameters.heat(size, "fridge"), parameters.heat(size, "room")
    pieces = Pieces(shape, radius_mm * (2.0 if shape == "slab" else 1.0), 24.0)  # type: ignore[arg-type]
    spells = [Spell(0.0, hours * 3600, 4.0, 8.0), Spell(hours * 3600, 2 * hours * 3600, 20.0, 9.0)]
    found = follow(pieces, path_of(spells), np.linspace(0.0, 2 * hours * 3600, 25))
    core = skin = mean = 24.0
    for begin, heat, air in ((0, fridge, 4.0), (12, room, 20.0)):
        for n in range(2, 13):
            t_s = n * hours * 300.0
            here = air + (mean - air) * np.exp(-t_s / heat.tau_s[0])
            far, near, left = heat.across(t_s)
            guess = [air + (here - air) * r[0] + (was - mean) * left for r, was in ((far, core), (near, skin))]
            exact = found.core_c[0, begin + n], found.skin_c[0, begin + n]
            assert guess == pytest.approx(exact, abs=1.2)
        mean, core, skin = here, guess[0], guess[1]


def test_nudged_members_have_one_input_changed() -> None:
    """Behaviour: behind the members stands one for each nudge, everything else in its middle."""
    parameters = Parameters(draw(50))
    assert parameters.count == 50 + len(NUDGES)
    assert parameters.room_k[50:].tolist() == [1.0, 0.0, 0.0, 0.0, 0.0]
    assert parameters.speed[50:] == pytest.approx([1.0, 1.0, 1.0, 1.1**0.85, 1.0])
    assert not parameters.fridge_k[:50].any()


def test_when_something_is_reached() -> None:
    """Hand: a straight line from 0 to 4 in 4 s is at 2.5 after 2.5 s; nothing needed is there at once; 5 is never."""
    times, rising = np.array([0.0, 1.0, 4.0]), np.array([[0.0] * 3, [1.0] * 3, [4.0] * 3])
    assert reached_s(times, rising, np.array([2.5, 0.0, 5.0])).tolist() == [2.5, 0.0, np.inf]


def test_times_must_rise() -> None:
    """Bad input: a path that runs backwards."""
    with pytest.raises(BadInput, match="must rise"):
        stand(np.array([0.0, 60.0, 30.0]), np.array([20.0]), np.full((3, 1), 20.0), np.array([600.0]))
