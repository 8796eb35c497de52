"""Cooling after the bake against the exact series, worked values and the trade's times."""

from __future__ import annotations

import math

import numpy as np
import pytest

from smallhours.errors import BadInput, Impossible, OutOfRange
from smallhours.reference.bake_defaults import cooled_core_c, mass_loss_percent, topping
from smallhours.reference.defaults import heat_transfer_w_per_m2_k
from smallhours.science.conduction import left_fraction
from smallhours.science.cooling_bread import (
    cooling_constant_s,
    core_cooled_s,
    core_cooling_temps_c,
    evaporative_share_fraction,
    glazing_window_s,
    packable_below_c,
    surface_cooling_temps_c,
    sweats_in_bag,
)
from smallhours.science.moist_air import dew_point_c

CRUMB = (250.0, 2.8, 0.12)
"""Density [kg/m³], specific heat [J/(g K)] and conductivity [W/(m K)] of crumb."""


def biot(half_mm, transfer):
    return transfer * half_mm / 1000 / CRUMB[2]


def minutes(shape, half_mm, transfer, core_c=35.0, share=0.0):
    constant = cooling_constant_s(shape, half_mm, *CRUMB, transfer, share)
    return float(core_cooled_s(shape, constant, biot(half_mm, transfer), 96.0, 22.0, core_c)) / 60


@pytest.mark.parametrize(
    ("shape", "half", "transfer", "expected"),
    [
        ("cylinder", 55.0, 10.0, 164),
        ("cylinder", 55.0, 18.0, 141),
        ("sphere", 40.0, 10.0, 63),
        ("sphere", 40.0, 18.0, 52),
    ],
)
def test_cooling_by_conduction_alone(shape, half, transfer, expected):
    """Published: exact series worked out elsewhere for 96 to 35 °C in a room at 22: loaf of 900 g, roll of 80 g, still
    and moved air; whole minutes."""
    assert minutes(shape, half, transfer) == pytest.approx(expected, abs=0.6)


@pytest.mark.parametrize("shape", ["slab", "cylinder", "sphere"])
def test_against_the_whole_series(shape):
    """Limit: core and surface within 0.7 K of the exact series (Carslaw & Jaeger) from Fourier number 0.25 on."""
    fourier = np.asarray([0.25, 0.5, 1.0, 2.0])
    times = fourier * 0.04**2 * CRUMB[0] * CRUMB[1] * 1000 / CRUMB[2]
    for transfer in (6.0, 13.0, 30.0):
        constant, number = cooling_constant_s(shape, 40.0, *CRUMB, transfer), biot(40.0, transfer)
        core = core_cooling_temps_c(shape, constant, number, 96.0, 22.0, times)
        surface = surface_cooling_temps_c(shape, constant, number, 96.0, 22.0, times)
        assert core == pytest.approx(22 + 74 * left_fraction(shape, number, fourier), abs=0.7)
        assert surface == pytest.approx(22 + 74 * left_fraction(shape, number, fourier, 1.0), abs=0.7)


def test_what_evaporation_takes():
    """Hand: 1 % of mass takes 24 J/g, 8.6 K of a crumb of 2.8 J/(g K); 1 to 3 % take 14 to 42 % of what 61 K hold, the
    usual 2 % takes 28 %: within the 20 to 30 % by which real loaves cool faster than conduction says (judgement)."""
    loss = mass_loss_percent("cooling")
    shares = [float(evaporative_share_fraction(x / 100, 2.8, 61.0)) for x in (loss.low, loss.usual, loss.high)]
    assert shares == pytest.approx([0.1405, 0.281, 0.4215], abs=1e-3)
    assert 0.2 <= shares[1] <= 0.3
    assert minutes("cylinder", 55.0, 10.0, share=shares[1]) == pytest.approx(164 * (1 - shares[1]), abs=0.6)


def test_a_loaf_takes_up_to_two_hours():
    """Published: trade pages: up to 2 h until a loaf can be sliced at 35 to 40 °C. The large loaf with its usual loss
    and a hot loaf's heat transfer in a room: 1 h 35 to 1 h 50."""
    transfer, cut = heat_transfer_w_per_m2_k("room-hot-loaf").usual, cooled_core_c("cut")
    share = float(evaporative_share_fraction(mass_loss_percent("cooling").usual / 100, 2.8, 61.0))
    for core in (cut.usual, cut.high):
        assert 85 < minutes("cylinder", 55.0, transfer, core, share) < 120


def test_core_and_time_belong_together():
    """Round trip: the core at the time that it needs has the temperature asked for, for an array of rooms."""
    rooms = np.asarray([15.0, 20.0, 25.0])
    constant = cooling_constant_s("sphere", 40.0, *CRUMB, 12.0)
    times = core_cooled_s("sphere", constant, 4.0, 96.0, rooms, 35.0)
    assert core_cooling_temps_c("sphere", constant, 4.0, 96.0, rooms, times) == pytest.approx([35.0] * 3)
    assert (np.diff(times) > 0).all()


def test_at_the_start():
    """Limit: a core is no hotter than it was, and one that is cool enough needs no time."""
    constant = cooling_constant_s("sphere", 40.0, *CRUMB, 12.0)
    assert float(core_cooling_temps_c("sphere", constant, 4.0, 96.0, 22.0, 0.0)) == 96.0
    assert float(core_cooled_s("sphere", constant, 4.0, 30.0, 22.0, 35.0)) == 0.0


def test_larger_takes_longer():
    """Property: thicker, stiller, warmer room, cooler core: never quicker."""
    assert minutes("sphere", 44.0, 10.0) > minutes("sphere", 40.0, 10.0) > minutes("sphere", 40.0, 18.0)
    assert minutes("sphere", 40.0, 10.0, 30.0) > minutes("sphere", 40.0, 10.0, 35.0)


def test_when_to_glaze():
    """Round trip: at the ends of the window the surface is where the topping runs off and where it gets stiff."""
    fondant = topping("fondant")
    constant, number = cooling_constant_s("sphere", 35.0, *CRUMB, 10.0), biot(35.0, 10.0)
    window = glazing_window_s("sphere", constant, number, 94.0, 18.0, fondant.runs_off_above_c, fondant.stiff_below_c)
    found = [float(surface_cooling_temps_c("sphere", constant, number, 94.0, 18.0, t)) for t in window]
    assert found == pytest.approx([fondant.runs_off_above_c, fondant.stiff_below_c])


def test_a_warm_room_never_stiffens():
    """Limit: in a room warmer than the stiff end the window stays open; a surface cool enough may be glazed at once."""
    earliest, latest = glazing_window_s("sphere", 1800.0, 3.0, 90.0, 24.0, [40.0, 89.0], 20.0)
    assert np.isinf(latest).all()
    assert earliest[0] > 0.0
    assert earliest[1] == 0.0


@pytest.mark.parametrize(("film", "humidity"), [(22.0, 0.65), (4.0, 0.9), (18.0, 1.0)])
def test_water_in_the_bag(film, humidity):
    """Round trip: at the warmest that may be packed the dew point in the bag is the film's temperature (the dew point
    from the module on humid air, tested there against ASHRAE); a kelvin warmer it sweats, a kelvin cooler not."""
    highest = float(packable_below_c(film, humidity))
    assert float(dew_point_c(highest, humidity)) == pytest.approx(film, abs=0.02)
    assert [bool(sweats_in_bag(dew_point_c(highest + k, humidity), film)) for k in (-1.0, 1.0)] == [False, True]


@pytest.mark.parametrize(
    ("make", "error", "says"),
    [
        (lambda: core_cooled_s("sphere", 1800.0, 3.0, 95.0, 36.0, 35.0), Impossible, "in a room at 36 °C"),
        (lambda: core_cooled_s("sphere", 1800.0, 3.0, math.nan, 22.0, 35.0), OutOfRange, "out of the oven"),
        (lambda: core_cooled_s("cube", 1800.0, 3.0, 95.0, 22.0, 35.0), BadInput, "'cube'"),
        (lambda: core_cooled_s("sphere", 1800.0, 3e5, 95.0, 22.0, 35.0), OutOfRange, "Biot"),
        (lambda: cooling_constant_s("sphere", 0.0, *CRUMB, 9.0), OutOfRange, "half size"),
        (lambda: cooling_constant_s("sphere", 40.0, *CRUMB, 9.0, 0.9), OutOfRange, "leaves as vapour"),
        (lambda: evaporative_share_fraction(0.1, 2.8, 61.0), OutOfRange, "leaves as vapour"),
        (lambda: glazing_window_s("sphere", 1800.0, 3.0, 95.0, 22.0, 20.0, 30.0), BadInput, "stiff at a lower"),
        (lambda: glazing_window_s("sphere", 1800.0, 3.0, 95.0, 34.0, 32.0, 18.0), Impossible, "always runs off"),
        (lambda: packable_below_c(22.0, 0.0), OutOfRange, "crust"),
        (lambda: surface_cooling_temps_c("sphere", 1800.0, 3.0, 95.0, 22.0, -1.0), OutOfRange, "since the oven"),
    ],
)
def test_what_does_not_cool(make, error, says):
    """Bad input: one sentence each."""
    with pytest.raises(error, match=says):
        make()
