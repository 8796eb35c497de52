"""How hard butter is, what that does, and how long a block takes to soften."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

from smallhours.errors import Impossible, OutOfRange
from smallhours.reference.defaults import butter_melting, fat_window
from smallhours.reference.table import table
from smallhours.science.dough_temperature import Melting, Portion, dough_temp_c
from smallhours.science.milk_fat import (
    Block,
    SolidWindow,
    block_temps_c,
    fat_state,
    filling_state,
    heat_j_per_g,
    in_dough,
    layers_state,
    offset_melting,
    possible_states,
    softening,
    solid_fractions,
    temp_at_solid_c,
    window_temps_c,
)

BUTTER = butter_melting()
ROLL_IN, SPREADABLE = fat_window("roll-in"), fat_window("spreadable")
# the slab of the textbook: open on top only, so wide that its edges do not count
SLAB = Block(1e7, 1e7, 46.2, density_kg_per_m3=998.0, conductivity_w_per_m_k=0.197, specific_heat_j_per_g_k=2.3)
POUND = Block(110.0, 70.0, 65.0, density_kg_per_m3=942.5, conductivity_w_per_m_k=0.20, specific_heat_j_per_g_k=2.3)


@pytest.mark.parametrize(("temp_c", "percent"), [(0, 65), (10, 40), (20, 20), (35, 3)])
def test_solid_share_of_milk_fat(temp_c, percent):
    """Published: a dairy teaching text: about 65, 40, 20, 3 % solid at 0, 10, 20, 35 °C; 5 points, our uncertainty."""
    assert float(solid_fractions(BUTTER, temp_c)) * 100 == pytest.approx(percent, abs=5.0)


def test_solid_share_in_the_fridge():
    """Published: handbook of dairy processing, p. 207: butter of grazing cows may have 50 % solid fat in the fridge
    (5 °C), more in winter; inside the table's range."""
    row = next(r for r in table("butter_solids").rows if r["temp_c"] == 5.0)
    assert row["low_percent"] <= 50.0 <= row["high_percent"]
    assert float(solid_fractions(BUTTER, 5.0)) == pytest.approx(0.50)


def test_pliable_temperatures():
    """Published: roll-in fat has 15 to 25 % solids, which butter holds at 15 to 20 °C (McGee 2004); within 2 K."""
    cold, warm = window_temps_c(BUTTER, ROLL_IN)
    assert cold == pytest.approx(15.0, abs=2.0)
    assert warm == pytest.approx(20.0, abs=2.0)


def test_straight_lines_do():
    """Published: a monotone cubic through the table (SciPy's PCHIP) has 25 % at 16.4 °C and 15 % at 21.7 °C; straight
    lines are within 0.2 K and six tenths of a point of it everywhere."""
    temps, shares = zip(*BUTTER.solid_at, strict=True)
    smooth = PchipInterpolator(temps, shares)
    at = np.linspace(0.0, 38.0, 381)
    assert np.abs(smooth(at) - solid_fractions(BUTTER, at)).max() < 0.006
    assert window_temps_c(BUTTER, ROLL_IN) == pytest.approx((16.4, 21.7), abs=0.2)


def test_share_and_temperature():
    """Round trip: the temperature of a solid share has that share; a level curve gives the lowest temperature."""
    for share in (0.55, 0.40, 0.25, 0.033, 0.0):
        assert float(solid_fractions(BUTTER, temp_at_solid_c(BUTTER, share))) == pytest.approx(share)
    level = Melting(0.8, 100.0, ((0.0, 0.5), (10.0, 0.2), (20.0, 0.2), (30.0, 0.0)))
    assert temp_at_solid_c(level, 0.2) == pytest.approx(10.0)


def test_harder_butter():
    """Hand: butter harder by 2 K is pliable 2 K higher and as solid at 22 °C as the table's at 20 °C."""
    hard = offset_melting(BUTTER, 2.0)
    assert float(solid_fractions(hard, 22.0)) == pytest.approx(float(solid_fractions(BUTTER, 20.0)))
    assert window_temps_c(hard, ROLL_IN)[0] == pytest.approx(window_temps_c(BUTTER, ROLL_IN)[0] + 2.0)


@pytest.mark.parametrize(
    ("temp_c", "state"), [(5.0, "brittle"), (13.0, "brittle"), (18.0, "pliable"), (24.0, "smearing")]
)
def test_states(temp_c, state):
    """Published: butter above 25 % solids is brittle, below 15 % it smears (McGee 2004): 5, 18, 24 °C."""
    assert fat_state(BUTTER, temp_c, ROLL_IN) == state
    assert layers_state(BUTTER, temp_c, ROLL_IN) == {"brittle": "break", "pliable": "hold", "smearing": "smear"}[state]


def test_what_it_may_be():
    """Hand: 5 points either way: 28 % at 15 °C may be 23 to 33 %; 50 % at 5 °C is brittle for sure."""
    assert possible_states(BUTTER, 15.0, ROLL_IN) == ("brittle", "pliable")
    assert possible_states(BUTTER, 5.0, ROLL_IN) == ("brittle",)
    assert possible_states(BUTTER, 19.0, ROLL_IN, 0.1) == ("brittle", "pliable", "smearing")


def test_in_a_dough():
    """Published: common practice: butter straight from the fridge lumps, at 15 °C it works into a dough of 24 °C, and a
    dough of 28 °C goes oily."""
    assert in_dough(BUTTER, 4.0, 24.0, SPREADABLE) == "lumps"
    assert in_dough(BUTTER, 15.0, 24.0, SPREADABLE) == "works in"
    assert in_dough(BUTTER, 15.0, 28.0, SPREADABLE) == "oils off"


def test_fillings():
    """Published: handbook of dairy processing: 40 % solids is the most that spreads, 10 % the least with body."""
    assert [filling_state(BUTTER, t, SPREADABLE) for t in (8.0, 18.0, 27.0)] == ["tears", "spreads", "runs"]


def test_heat_of_melting():
    """Hand: 5 to 24 °C: 2.3 x 19 = 43.7 J/g, and (0.50 - 0.116) x 0.81 x 100 = 31.1 J/g of melting."""
    assert heat_j_per_g(BUTTER, 2.3, 5.0, 24.0) == pytest.approx(43.7 + 31.1, abs=0.05)
    assert heat_j_per_g(BUTTER, 2.3, 24.0, 5.0) == pytest.approx(-74.8, abs=0.05)


def test_melting_cools_the_dough():
    """Published: in a dough with 50 % butter on flour melting alone cools it by some 2.6 to 3 K (worked apart)."""
    rest = Portion(1650.0, 2.6, 31.5)
    cold = Portion(500.0, 2.3, 5.0, BUTTER)
    cooled = dough_temp_c([rest, replace(cold, melting=None)]) - dough_temp_c([rest, cold])
    assert cooled == pytest.approx(2.8, abs=0.5)


def test_textbook_slab():
    """Published: Geankoplis, example 5.3-2: butter 46.2 mm, 277.6 K into air of 297.1 K, h 8.52, after 5 h: top 19.0,
    bottom 14.2 °C from charts; exact series 19.24, 14.02, mean 15.83 °C."""
    found = block_temps_c(SLAB, 277.6 - 273.15, 297.1 - 273.15, 8.52, 5 * 3600.0)
    assert (found.top_c, found.middle_c) == pytest.approx((19.0, 14.2), abs=0.3)
    assert (found.top_c, found.middle_c, found.mean_c) == pytest.approx((19.24, 14.02, 15.83), abs=6e-3)


def test_softening_of_the_slab():
    """Round trip: after the time it takes, the middle is at the firm end of the window; melting makes it slower."""
    dry = replace(BUTTER, latent_heat_j_per_g=0.0)
    plain = softening(SLAB, dry, ROLL_IN, 4.45, 23.95, 8.52)
    middle = block_temps_c(SLAB, 4.45, 23.95, 8.52, plain.pliable_s).middle_c
    assert middle == pytest.approx(window_temps_c(BUTTER, ROLL_IN)[0], abs=1e-3)
    melting = softening(SLAB, BUTTER, ROLL_IN, 4.45, 23.95, 8.52)
    assert 1.6 < melting.pliable_s / plain.pliable_s < 2.0


@pytest.mark.parametrize(("height_mm", "room_c"), [(20.0, 22.0), (20.0, 26.0), (46.2, 19.0)])
def test_softening_against_small_steps(height_mm, room_c):
    """Hand: the same slab in 20 layers, each marched by its heat content in small steps, to melt where and when
    it is warm enough: spreading the melting evenly is within 2 % of that in time and 0.3 K at the top."""
    slab, layer_m, h = replace(SLAB, height_mm=height_mm), height_mm / 20_000.0, 9.0
    temps = np.linspace(-5.0, 45.0, 5001)
    held = 2300.0 * temps + 0.81 * 1e5 * (0.6 - solid_fractions(BUTTER, temps))
    step_s = 0.4 * layer_m**2 * 998.0 * 2300.0 / 0.197
    to_air = 1.0 / (1.0 / h + layer_m / 2.0 / 0.197)
    now, heat, passed_s = np.full(20, 5.0), np.full(20, np.interp(5.0, temps, held)), 0.0
    while now[0] < window_temps_c(BUTTER, ROLL_IN)[0]:
        up = np.concatenate([[0.0], 0.197 * (now[:-1] - now[1:]) / layer_m, [to_air * (now[-1] - room_c)]])
        heat = heat - step_s * np.diff(up) / (998.0 * layer_m)
        now, passed_s = np.interp(heat, held, temps), passed_s + step_s
    found = softening(slab, BUTTER, ROLL_IN, 5.0, room_c, h)
    assert found.pliable_s == pytest.approx(passed_s, rel=0.02)
    assert found.top_c == pytest.approx(room_c + (now[-1] - room_c) * to_air / h, abs=0.3)


def test_a_block_takes_hours():
    """Property: a pound takes hours; thinner, rack-borne, warmer-started or in a warmer room it takes less."""
    base = softening(POUND, BUTTER, ROLL_IN, 5.0, 22.0, 9.0)
    assert POUND.mass_g == pytest.approx(471.7, abs=0.1)
    assert 2.0 < base.pliable_s / 3600.0 < 8.0
    flat = replace(POUND, height_mm=20.0, length_mm=200.0, width_mm=125.0)
    for block, start, room in (
        (flat, 5, 22),
        (replace(POUND, bottom_open=True), 5, 22),
        (POUND, 9, 22),
        (POUND, 5, 26),
    ):
        assert softening(block, BUTTER, ROLL_IN, start, room, 9.0).pliable_s < base.pliable_s


def test_the_top_smears_first():
    """Behaviour: in a hot room the top of a thick block smears before its middle is pliable; what is pliable already
    needs no time."""
    assert softening(replace(POUND, height_mm=150.0), BUTTER, ROLL_IN, 5.0, 32.0, 9.0).top_state == "smearing"
    assert softening(POUND, BUTTER, ROLL_IN, 18.0, 22.0, 9.0).pliable_s == 0.0


def test_butter_nonsense():
    """Bad input: a room too cold, a block without height, NaN, a window the wrong way round, a share off the curve."""
    with pytest.raises(Impossible, match="rolling pin"):
        softening(POUND, BUTTER, ROLL_IN, 5.0, 15.0, 9.0)
    with pytest.raises(OutOfRange, match="height of a block"):
        replace(POUND, height_mm=0.0)
    with pytest.raises(OutOfRange):
        fat_state(BUTTER, math.nan, ROLL_IN)
    with pytest.raises(OutOfRange, match="below the most"):
        SolidWindow(0.25, 0.15)
    with pytest.raises(OutOfRange):
        temp_at_solid_c(BUTTER, 0.7)
