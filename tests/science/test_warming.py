"""Mean temperature of a piece against the exact series solution, and its closed form against itself."""

from __future__ import annotations

import math

import numpy as np
import pytest

from smallhours.errors import BadInput, Impossible, OutOfRange
from smallhours.science.warming import (
    Stay,
    biot_number,
    combined_time_constant_s,
    core_ratio,
    core_temp_c,
    mean_temp_c,
    mean_temps_c,
    time_constant_s,
    time_to_temp_s,
)

SHAPES = {"slab": "slab", "cyl": "cylinder", "sph": "sphere"}
BOUND = {0.1: 0.0003, 0.3: 0.002, 0.5: 0.0035, 1: 0.01, 2: 0.023, 5: 0.055, 10: 0.085, 50: 0.12}
"""Largest error of the mean by Biot number, in shares of the temperature step; 0.034 is stated for 3."""


def constant_in_fourier(shape, biot):
    """The time constant of a piece of unit size, diffusivity and conductivity: a Fourier number."""
    return time_constant_s(shape, 1000.0, 1.0, 0.001, 1.0, biot)


def test_against_the_exact_series(series):
    """Published: 120 means of the exact series (Carslaw & Jaeger), within the bound for each Biot number."""
    for row in series["theta"]:
        tau = constant_in_fourier(SHAPES[row["geom"]], row["Bi"])
        found = mean_temp_c(1.0, [Stay(row["Fo"], 0.0, tau)])
        assert abs(found - row["mean"]) <= BOUND[row["Bi"]], row


def test_plain_newton_would_be_worse(series):
    """Property: leaving out the inner resistance is further off, for every row from Bi 0.5 on after the start."""
    for row in series["theta"]:
        if row["Bi"] >= 0.5 and row["Fo"] >= 0.2:
            dimensions = {"slab": 1, "cyl": 2, "sph": 3}[row["geom"]]
            plain = math.exp(-dimensions * row["Bi"] * row["Fo"])
            ours = math.exp(-row["Fo"] / constant_in_fourier(SHAPES[row["geom"]], row["Bi"]))
            assert abs(ours - row["mean"]) < abs(plain - row["mean"]), row


def test_a_ball_in_the_fridge():
    """Published: 400 g ball, R 43 mm, k 0.40, 1150 kg/m³, 2.8 J/(g K), h 9, 24 °C into 4 °C: means of the exact series
    15.04, 10.17, 5.93 °C after 1, 2, 4 h, and 15.11, 10.17, 5.90 °C by this equation."""
    tau = time_constant_s("sphere", 43.0, 1150.0, 2.8, 0.40, 9.0)
    found = [mean_temp_c(24.0, [Stay(h * 3600.0, 4.0, tau)]) for h in (1, 2, 4)]
    assert found == pytest.approx([15.11, 10.17, 5.90], abs=0.005)
    assert found == pytest.approx([15.04, 10.17, 5.93], abs=0.08)


def test_its_core():
    """Published: the same ball's core 18.12, 11.92, 6.48 °C after 1, 2, 4 h (exact series); settled from 1 h on."""
    tau = time_constant_s("sphere", 43.0, 1150.0, 2.8, 0.40, 9.0)
    ratio = core_ratio("sphere", biot_number(43.0, 0.40, 9.0))
    found = [core_temp_c(mean_temp_c(24.0, [Stay(h * 3600.0, 4.0, tau)]), 4.0, ratio) for h in (1, 2, 4)]
    assert found == pytest.approx([18.12, 11.92, 6.48], abs=0.15)


def test_core_ratio_against_the_series(series):
    """Published: centre over mean of the exact series at Fo 1, where only its first mode is left; 6 digits printed."""
    for row in series["theta"]:
        if row["Fo"] == 1.0 and row["center"] > 0.01:
            found = core_ratio(SHAPES[row["geom"]], float(row["Bi"]))
            assert found == pytest.approx(row["center"] / row["mean"], rel=2e-4), row


@pytest.mark.parametrize(
    ("shape", "expected"),
    [("slab", (1.075, 1.135, 1.443)), ("cylinder", (1.119, 1.226, 1.950)), ("sphere", (1.149, 1.292, 2.530))],
)
def test_core_ratio_table(shape, expected):
    """Hand: 1 / mean of the first mode at Bi 0.5, 1 and 10, from tabulated first roots; 3 decimals."""
    assert [core_ratio(shape, b) for b in (0.5, 1.0, 10.0)] == pytest.approx(expected, abs=6e-4)


def test_core_ratio_over_all_biot_numbers():
    """Published: first roots and modes by SciPy's Bessel functions and root finder, Bi 0.001 to 1000.

    The sphere loses three digits to cancellation at small Biot numbers.
    """
    from scipy.optimize import brentq
    from scipy.special import j0, j1

    for biot in np.geomspace(1e-3, 1e3, 25):
        z = brentq(lambda x, b=biot: x * j1(x) - b * j0(x), 1e-9, 2.404825557695773, xtol=1e-15)
        assert core_ratio("cylinder", float(biot)) == pytest.approx(z / (2 * j1(z)), rel=1e-9)
        z = brentq(lambda x, b=biot: x * np.cos(x) + (b - 1) * np.sin(x), 1e-6, np.pi, xtol=1e-15)
        expected = z**3 / (3 * (np.sin(z) - z * np.cos(z)))
        assert core_ratio("sphere", float(biot)) == pytest.approx(expected, rel=1e-6)


def test_thick_and_thin():
    """Limit: with the surface alone in the way the time grows with thickness, with the inside alone as its square."""
    surface = [time_constant_s("slab", x, 1150.0, 2.8, 1e9, 9.0) for x in (20.0, 40.0)]
    inside = [time_constant_s("slab", x, 1150.0, 2.8, 0.4, 1e9) for x in (20.0, 40.0)]
    assert surface[1] / surface[0] == pytest.approx(2.0)
    assert inside[1] / inside[0] == pytest.approx(4.0, rel=1e-6)


def test_directions_add_up():
    """Hand: a log losing heat with time constants 60 and 30 min along two directions: 1 / (1/60 + 1/30) = 20 min."""
    assert combined_time_constant_s([3600.0, 1800.0]) == pytest.approx(1200.0)
    assert combined_time_constant_s([3600.0]) == 3600.0


def test_one_long_stay_is_two_short_ones():
    """Property: cutting a stay in two changes nothing."""
    whole = mean_temp_c(24.0, [Stay(7200.0, 4.0, 5000.0, 1e-4)])
    halves = mean_temp_c(24.0, [Stay(3000.0, 4.0, 5000.0, 1e-4), Stay(4200.0, 4.0, 5000.0, 1e-4)])
    assert halves == pytest.approx(whole, abs=1e-12)


def test_the_equation_is_solved():
    """Hand: 20,000 small Euler steps through three places with own heating agree with the closed form to 2 mK."""
    stays = [Stay(5400.0, 22.0, 6000.0, 2e-4), Stay(9000.0, 4.0, 4000.0, 5e-5), Stay(3600.0, 30.0, 7000.0)]
    temp = 26.0
    for stay in stays:
        steps = 20_000
        for _ in range(steps):
            rate = (stay.ambient_c - temp) / stay.time_constant_s + stay.self_heating_k_per_s
            temp += rate * stay.duration_s / steps
    assert mean_temp_c(26.0, stays) == pytest.approx(temp, abs=2e-3)


def test_many_times_at_once():
    """Property: the array form agrees with the single one at every time, also between stays and after the last."""
    stays = [Stay(3600.0, 22.0, 6000.0), Stay(7200.0, 4.0, 4000.0)]
    times = np.array([[0.0, 1800.0, 3600.0], [3601.0, 10_800.0, 20_000.0]])
    found = mean_temps_c(26.0, stays, times)
    one = [
        26.0,
        mean_temp_c(26.0, [Stay(1800.0, 22.0, 6000.0)]),
        mean_temp_c(26.0, stays[:1]),
        mean_temp_c(26.0, [stays[0], Stay(1.0, 4.0, 4000.0)]),
        mean_temp_c(26.0, stays),
        mean_temp_c(26.0, [stays[0], Stay(16_400.0, 4.0, 4000.0)]),
    ]
    assert found.shape == times.shape
    assert found.ravel() == pytest.approx(one, abs=1e-12)


@pytest.mark.parametrize("wanted_c", [23.0, 20.0, 10.0, 5.0])
def test_time_undoes_temperature(wanted_c):
    """Round trip: after the time that was found the mean is what was wanted."""
    stays = [Stay(1800.0, 22.0, 6000.0), Stay(3600.0, 4.0, 4000.0)]
    when = time_to_temp_s(26.0, wanted_c, stays) if wanted_c < 26.0 else 0.0
    assert mean_temps_c(26.0, stays, when) == pytest.approx(wanted_c, abs=1e-9)


def test_it_settles():
    """Limit: after a very long time it is as warm as the place, plus what its own heating keeps up."""
    assert mean_temp_c(24.0, [Stay(1e7, 4.0, 5000.0, 2e-4)]) == pytest.approx(5.0, abs=1e-9)


def test_what_it_never_reaches():
    """Bad input: a fridge at 4 °C never brings a dough to 2 °C; the message says where it settles."""
    with pytest.raises(Impossible, match=r"settles at 4\.0"):
        time_to_temp_s(24.0, 2.0, [Stay(3600.0, 4.0, 5000.0)])


def test_nonsense_is_refused():
    """Bad input: NaN, negative sizes, other shapes and no places are refused."""
    with pytest.raises(OutOfRange):
        time_constant_s("slab", -1.0, 1150.0, 2.8, 0.4, 9.0)
    with pytest.raises(OutOfRange):
        mean_temp_c(math.nan, [])
    with pytest.raises(OutOfRange):
        Stay(math.nan, 4.0, 5000.0)
    with pytest.raises(OutOfRange):
        mean_temps_c(24.0, [Stay(1.0, 4.0, 5000.0)], [-1.0])
    with pytest.raises(BadInput, match="slab, cylinder or sphere"):
        time_constant_s("cube", 20.0, 1150.0, 2.8, 0.4, 9.0)
    with pytest.raises(BadInput):
        mean_temps_c(24.0, [], [0.0])
