"""Yeast: activity by temperature, time along a path of temperatures, forms and doses, gas."""

from __future__ import annotations

import math

import pytest

from smallhours.errors import BadInput, Impossible, OutOfRange
from smallhours.science.fermentation import (
    CardinalTemperatures,
    PathPoint,
    activity_fraction,
    activity_ratio,
    carbon_dioxide_ml,
    equivalent_time_s,
    time_along_s,
    time_for_dose_s,
    yeast_dose_percent,
    yeast_mass_g,
)

GROWTH = CardinalTemperatures(2.0, 32.3, 45.4)
WIDE = CardinalTemperatures(0.0, 37.0, 50.0)
GAS = CardinalTemperatures(-2.0, 36.0, 50.0)
CHECKS = {
    4: (0.01065, 0.02357, 0.05115),
    10: (0.15311, 0.13896, 0.19139),
    15: (0.36241, 0.29438, 0.35874),
    20: (0.60713, 0.48552, 0.55218),
    26: (0.87234, 0.72838, 0.78348),
    30: (0.98058, 0.87184, 0.91038),
    35: (0.96870, 0.98732, 0.99704),
    40: (0.70436, 0.96525, 0.94352),
    43: (0.37713, 0.84292, 0.80742),
}


@pytest.mark.parametrize(("temp_c", "expected"), CHECKS.items())
def test_activity_table(temp_c, expected):
    """Published: Rosso et al. (1993) as in rTPC `rosso_1993`, evaluated apart from this code; 5 digits."""
    found = [activity_fraction(temp_c, cardinal) for cardinal in (GROWTH, WIDE, GAS)]
    assert found == pytest.approx(expected, abs=6e-6)


@pytest.mark.parametrize("cardinal", [GROWTH, WIDE, GAS])
def test_activity_at_its_ends(cardinal):
    """Limit: 1 and flat at the optimum, 0 at and beyond both ends."""
    best = cardinal.optimum_c
    assert activity_fraction(best, cardinal) == pytest.approx(1.0, abs=1e-12)
    slope = activity_fraction(best + 1e-4, cardinal) - activity_fraction(best - 1e-4, cardinal)
    assert abs(slope) < 1e-7
    for outside in (cardinal.min_c, cardinal.max_c, cardinal.min_c - 5.0, cardinal.max_c + 5.0):
        assert activity_fraction(outside, cardinal) == 0.0


@pytest.mark.parametrize(
    ("temp_c", "expected"),
    [
        (4, 0.011),
        (8, 0.091),
        (12, 0.24),
        (16, 0.43),
        (20, 0.66),
        (24, 0.89),
        (28, 1.10),
        (32, 1.26),
        (36, 1.32),
        (40, 1.24),
    ],
)
def test_activity_against_26(temp_c, expected):
    """Published: Rosso et al. (1993) with (2, 36, 50), relative to 26 °C, evaluated apart from this code; 2 digits."""
    found = activity_ratio(temp_c, 26.0, CardinalTemperatures(2.0, 36.0, 50.0))
    assert found == pytest.approx(expected, abs=0.0055 if temp_c > 8 else 0.00055)


def test_a_steady_path_is_its_own_time():
    """Limit: at the reference all along, equivalent time is clock time; at another temperature it is the ratio."""
    path = [PathPoint(100.0, 18.0), PathPoint(3700.0, 18.0)]
    assert equivalent_time_s(path, 18.0, GAS) == pytest.approx(3600.0)
    assert equivalent_time_s(path, 26.0, GAS) == pytest.approx(3600.0 * activity_ratio(18.0, 26.0, GAS))


def test_a_ramp_against_fine_steps():
    """Hand: 24 to 4 °C in 4 h, summed in 20,000 midpoints; the integral of a smooth curve agrees to 1e-6."""
    steps = 20_000
    mids = (24.0 - 20.0 * (i + 0.5) / steps for i in range(steps))
    summed = sum(activity_ratio(t, 24.0, GAS) for t in mids) * 14_400.0 / steps
    path = [PathPoint(0.0, 24.0), PathPoint(14_400.0, 4.0)]
    assert equivalent_time_s(path, 24.0, GAS) == pytest.approx(summed, rel=1e-6)


def test_a_path_through_the_ends_of_activity():
    """Hand: -10 to 60 °C in 70 min, 20,000 midpoints; kinks at both ends are cut exactly."""
    steps = 20_000
    mids = (-10.0 + 70.0 * (i + 0.5) / steps for i in range(steps))
    summed = sum(activity_ratio(t, 26.0, GAS) for t in mids) * 4200.0 / steps
    path = [PathPoint(0.0, -10.0), PathPoint(4200.0, 60.0)]
    assert equivalent_time_s(path, 26.0, GAS) == pytest.approx(summed, rel=1e-6)


@pytest.mark.parametrize("clock_s", [0.0, 900.0, 5000.0, 20_000.0, 60_000.0])
def test_time_along_a_path_undoes_equivalent_time(clock_s):
    """Round trip: the time a path needs for the gas it has made by then is that time, also after its last point."""
    full = [PathPoint(0.0, 26.0), PathPoint(7200.0, 8.0), PathPoint(36_000.0, 5.0), PathPoint(43_200.0, 22.0)]
    if clock_s == 0.0:
        made = 0.0
    else:
        cut = [p for p in full if p.at_s < clock_s]
        after = next((p for p in full if p.at_s >= clock_s), None)
        before = cut[-1]
        slope = (after.temp_c - before.temp_c) / (after.at_s - before.at_s) if after else 0.0
        made = equivalent_time_s([*cut, PathPoint(clock_s, before.temp_c + slope * (clock_s - before.at_s))], 24.0, GAS)
    assert time_along_s(made, full, 24.0, GAS) == pytest.approx(clock_s, abs=1e-3)


def test_it_never_rises_in_the_freezer():
    """Bad input: a path that ends below the minimum never gets there; the message says between which temperatures."""
    with pytest.raises(Impossible, match="between -2 and 50"):
        time_along_s(7200.0, [PathPoint(0.0, 10.0), PathPoint(600.0, -18.0)], 24.0, GAS)


def test_yeast_ratio_from_dry_matter(example):
    """Published: dry matter of fresh over dry yeast (USDA SR28, rows 18374 and 18375), beside the trade's 0.33."""
    assert pytest.approx(example("y-1")["expect"], abs=1e-4) == (100 - 69.0) / (100 - 5.08)
    assert yeast_mass_g(17.0, 1.0, 7.2 / 17.0) == pytest.approx(7.2)
    assert pytest.approx(example("y-2")["expect"], abs=1e-3) == 7.2 / 17.0


def test_dose_and_time(example):
    """Published: 6 tsp for 1.5 h become 0.75 tsp for 12 h (a baking blog's example, yeast x time constant)."""
    given = example("y-3")["inputs"]
    found = yeast_dose_percent(given["y"], given["t0"] * 3600, given["t1"] * 3600)
    assert found == pytest.approx(example("y-3")["expect"], abs=1e-12)


def test_dose_exponent_from_two_points():
    """Published: leavening 1200 at 2.8 % and 1800 at 5 % yeast (table of a commercial strain): exponent 0.70."""
    exponent = math.log(1800 / 1200) / math.log(5 / 2.8)
    assert exponent == pytest.approx(0.70, abs=0.005)
    assert time_for_dose_s(1800.0, 2.8, 5.0, exponent) == pytest.approx(1200.0)


def test_forms_and_doses_come_back():
    """Round trip: fresh to instant to fresh, and dose to time to dose."""
    assert yeast_mass_g(yeast_mass_g(50.0, 1.0, 0.33), 0.33, 1.0) == pytest.approx(50.0)
    dose = yeast_dose_percent(1.2, 5400.0, 40_000.0, 0.85)
    assert time_for_dose_s(5400.0, 1.2, dose, 0.85) == pytest.approx(40_000.0)


@pytest.mark.parametrize(("temp_c", "litres"), [(25, 0.2716), (28, 0.2743), (35, 0.2807)])
def test_carbon_dioxide(temp_c, litres):
    """Hand: 2 mol from 180.156 g; molar volume 22.414 l x T / 273.15 K at one atmosphere."""
    by_hand = 2 / 180.156 * 22.41396954 * (temp_c + 273.15) / 273.15
    assert carbon_dioxide_ml(1.0, temp_c) / 1000 == pytest.approx(by_hand, rel=1e-6)
    assert by_hand == pytest.approx(litres, abs=5e-5)


def test_nonsense_is_refused():
    """Bad input: wrong order of temperatures, NaN, times that do not rise, a reference where yeast sleeps."""
    with pytest.raises(OutOfRange, match="optimum"):
        CardinalTemperatures(2.0, 20.0, 45.0)
    with pytest.raises(OutOfRange):
        activity_fraction(math.nan, GAS)
    with pytest.raises(OutOfRange, match="reference"):
        equivalent_time_s([PathPoint(0.0, 20.0), PathPoint(1.0, 20.0)], -18.0, GAS)
    with pytest.raises(BadInput, match="rise"):
        equivalent_time_s([PathPoint(0.0, 20.0), PathPoint(0.0, 21.0)], 24.0, GAS)
    with pytest.raises(BadInput, match="two or more"):
        equivalent_time_s([PathPoint(0.0, 20.0)], 24.0, GAS)
    with pytest.raises(OutOfRange):
        yeast_dose_percent(0.0, 1.0, 1.0)
