"""Growth of harmful bacteria: curves against other curves, paths against a published program, and what is refused."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from smallhours.errors import BadInput, NotFound, OutOfRange
from smallhours.reference.defaults import growth_curves
from smallhours.science.fermentation import CardinalTemperatures, activity_fraction
from smallhours.science.food_microbes import (
    MOST_LOG10,
    GrowthCurve,
    caution,
    growth_log10,
    rates_log10_per_h,
    time_to_growth_s,
    water_activity_factor,
)

HOUR = 3600.0
MILK, LEAN_DOUGH = growth_curves("staphylococcus-aureus")
(CHICKEN,) = growth_curves("salmonella")
(RICE,) = growth_curves("bacillus-cereus")
(CUSTARD,) = growth_curves("listeria-monocytogenes")
# hours and °C of a cooling pot of rice, as the program's page shows them
COOLING = (54.59, 45.99, 38.94, 32.92, 27.86, 23.43, 19.89, 16.71, 14.14, 11.94, 10.13, 8.48, 7.21)


def rate(curve, temp_c):
    return float(rates_log10_per_h(curve, temp_c))


@pytest.mark.parametrize("temp_c", [20.0, 25.0, 30.0])
def test_staphylococcus_in_milk_against_broth(temp_c):
    """Published: Medvedova et al. (2019), 247 data in broth: cardinal temperatures 7.7, 40.6, 46.7 °C, fastest 1.97 1/h
    (e-foldings); the curve for milk is within 10 %, which also shows that both count e-foldings."""
    broth = 1.97 * activity_fraction(temp_c, CardinalTemperatures(7.7, 40.6, 46.7)) / math.log(10.0)
    assert rate(MILK, temp_c) == pytest.approx(broth, rel=0.10)


@pytest.mark.parametrize(("temp_c", "measured"), [(21, 0.4), (27, 1.1), (32, 1.7), (38, 2.2)])
def test_staphylococcus_in_lean_dough(temp_c, measured):
    """Published: J. Food Prot. 74:285 (2011): growth in 18 h; the curve lies above every one, by at most 0.6."""
    reckoned = float(growth_log10(LEAN_DOUGH, [0.0, 18 * HOUR], [temp_c, temp_c])[-1])
    assert measured - 0.01 <= reckoned <= measured + 0.6


@pytest.mark.parametrize("temp_c", [10.0, 20.0, 25.0, 32.0, 37.0])
def test_salmonella_against_another_curve(temp_c):
    """Published: Juneja et al. (2007), raw chicken: 0.0019 (t - 3.35)² (1 - exp(0.29 (t - 48.01))) per hour; only as
    e-foldings do the two agree, within a quarter."""
    other = 0.0019 * (temp_c - 3.35) ** 2 * (1.0 - math.exp(0.29 * (temp_c - 48.01))) / math.log(10.0)
    assert rate(CHICKEN, temp_c) == pytest.approx(other, rel=0.25)


@pytest.mark.parametrize(("hours", "measured"), [(6, 0.5), (12, 1.5), (18, 1.9), (24, 2.4)])
def test_salmonella_in_lean_dough_is_inside(hours, measured):
    """Published: J. Food Prot. 74:285 (2011): Salmonella in lean dough at 21 °C; inside the range of the caution."""
    found = caution([CHICKEN], [0.0, hours * HOUR], [21.0, 21.0])
    assert found.low_log10 <= measured <= found.high_log10


def test_salmonella_in_eggs_is_inside():
    """Published: Oh et al. (2023), table 2: in eggs root of the decimal rate = 0.0214 (t - 5.308); inside."""
    for temp_c in (10.0, 15.0, 20.0, 25.0):
        found = caution([CHICKEN], [0.0, HOUR], [temp_c, temp_c])
        assert found.low_log10 <= (0.0214 * (temp_c - 5.30841)) ** 2 <= found.high_log10


@pytest.mark.parametrize(("hour", "shown"), [(2, 0.93), (3, 0.78), (4, 0.56), (5, 0.36), (6, 0.22)])
def test_bacillus_rates_against_a_program(hour, shown):
    """Published: Pathogen Modeling Program of the US Department of Agriculture, B. cereus in cooling rice, the rates on
    its page at 38.94 to 19.89 °C in decimal logarithms per hour; within 10 %."""
    assert rate(RICE, COOLING[hour]) == pytest.approx(shown, rel=0.10)


def test_bacillus_in_cooling_rice():
    """Published: the same page: from 54.59 to 7.21 °C in 12 h, with a lag of 4.1 e-foldings, growth of 1.78 in log10;
    within 0.2. Without lag, as in a caution, it would be more."""
    times = np.arange(13) * HOUR
    lagged = growth_log10(RICE, times, COOLING, lag_work_ratio=4.1)
    assert float(lagged[-1]) == pytest.approx(1.78, abs=0.2)
    assert float(lagged[2]) == pytest.approx(0.06, abs=0.03)
    assert float(growth_log10(RICE, times, COOLING)[-1]) > 3.0


def test_listeria_in_custard():
    """Published: risk assessment of the US Food and Drug Administration, appendix 8: in other foods 0.035 to 0.56
    log10 a day at 5 °C, and 4 to 4.5 in 125 h at 10 °C in smoked salmon; the custard fits only as e-foldings."""
    assert 0.035 < rate(CUSTARD, 5.0) * 24.0 < 0.56
    assert 4.0 <= rate(CUSTARD, 10.0) * 125.0 <= 4.5


def test_steady_temperature_by_hand():
    """Hand: 4 h at 26 °C in milk: 4 x (0.0442 x 20.593)² / 2.3026 = 1.439; in dough 4 x (0.01281 x 18.3)² = 0.220."""
    path = [0.0, 4 * HOUR], [26.0, 26.0]
    assert float(growth_log10(MILK, *path)[-1]) == pytest.approx(1.439, abs=1e-3)
    assert float(growth_log10(LEAN_DOUGH, *path)[-1]) == pytest.approx(0.220, abs=1e-3)


def test_rising_temperature_by_hand():
    """Hand: from the minimum up by d kelvin at a steady pace the mean of the squared root rate is slope² d² / 3."""
    path = [0.0, 6 * HOUR], [7.7, 27.7]
    assert float(growth_log10(LEAN_DOUGH, *path)[-1]) == pytest.approx(6 * (0.01281 * 20.0) ** 2 / 3, rel=1e-3)


def test_time_to_tenfold():
    """Published: the lean-dough curve gives tenfold in 34.5 h at 21 °C, 18.2 h at 26, 12.3 h at 30 (worked apart)."""
    for temp_c, hours in ((21.0, 34.5), (26.0, 18.2), (30.0, 12.3)):
        found = time_to_growth_s(LEAN_DOUGH, [100.0, 48 * HOUR], [temp_c, temp_c])
        assert found == pytest.approx(hours * HOUR, abs=0.06 * HOUR)
    assert time_to_growth_s(LEAN_DOUGH, [0.0, 48 * HOUR], [5.0, 5.0]) is None


@pytest.mark.parametrize("curve", [MILK, LEAN_DOUGH, CHICKEN, RICE, CUSTARD], ids=lambda c: c.medium)
def test_nothing_grows_outside(curve):
    """Limit: no growth at the minimum, below it, at the maximum or above; up to where it was measured warmer is faster,
    or 12 K below the maximum."""
    assert rates_log10_per_h(curve, [curve.min_c, curve.min_c - 10.0, curve.max_c, 80.0]).tolist() == [0.0] * 4
    temps = np.linspace(curve.min_c, min(curve.measured_high_c, curve.max_c - 12.0), 60)
    assert (np.diff(rates_log10_per_h(curve, temps)) > 0).all()


def test_growth_only_adds_up():
    """Property: growth never falls, is the sum over parts of the path, and a lag only takes away."""
    times, temps = np.arange(6) * 2 * HOUR, [24.0, 12.0, 4.0, 4.0, 20.0, 30.0]
    grown = growth_log10(MILK, times, temps)
    assert (np.diff(grown) >= 0).all()
    second = growth_log10(MILK, times[2:], temps[2:])[-1]
    assert float(grown[2] + second) == pytest.approx(float(grown[-1]))
    assert (growth_log10(MILK, times, temps, 2.0) <= grown).all()


def test_keys():
    """Behaviour: which sentence a path calls for, and that none of them is a clearance."""
    night = [0.0, 10 * HOUR]
    both = [MILK, LEAN_DOUGH]
    assert caution([CHICKEN], night, [30.0, 30.0]).key == "microbes-grow"
    assert caution(both, [0.0, 4 * HOUR], [26.0, 26.0]).key == "microbes-may-grow"
    assert caution(both, night, [4.0, 4.0]).key == "microbes-below-minimum"
    assert caution([CUSTARD], [0.0, 4 * HOUR], [4.0, 4.0]).key == "microbes-hardly-grow"
    unknown = caution([CHICKEN], night, [6.0, 6.0])
    assert unknown.key == "microbes-beyond-measured"
    assert unknown.beyond_measured_s == pytest.approx(10 * HOUR)


def test_no_more_than_a_food_holds():
    """Limit: two days in the warm grow to 9.5 in log10 and no further; seconds outside are told."""
    found = caution([MILK, LEAN_DOUGH], [0.0, 48 * HOUR], [36.0, 36.0])
    assert found.high_log10 == MOST_LOG10
    assert found.beyond_measured_s == 0.0
    assert found.media == ("milk", "lean dough")
    assert caution([MILK], [0.0, 48 * HOUR], [36.0, 36.0]).beyond_measured_s == pytest.approx(48 * HOUR)


@pytest.mark.parametrize(("activity", "factor"), [(0.90, 0.2604), (0.95, 0.6179), (0.97, 0.7999), (0.98, 0.8956)])
def test_water_activity(activity, factor):
    """Published: Medvedova et al. (2019): S. aureus grows from 0.808, best at 0.994; factors worked apart, 4 digits."""
    assert float(water_activity_factor(activity)) == pytest.approx(factor, abs=6e-5)


def test_water_activity_at_the_ends():
    """Limit: none at 0.808 and below, 1 at 0.994 and in pure water (where the bare relation would fall to nothing)."""
    assert water_activity_factor([0.7, 0.808, 0.994, 1.0]) == pytest.approx([0.0, 0.0, 1.0, 1.0])


@pytest.mark.parametrize(
    ("times", "temps", "said"),
    [
        ([0.0, HOUR, HOUR / 2], [20.0, 20.0, 20.0], "must rise"),
        ([0.0, HOUR], [20.0], "as many temperatures"),
        ([0.0], [20.0], "two or more"),
    ],
)
def test_paths_that_do_not_hold_together(times, temps, said):
    """Bad input: a path running backwards, with temperatures missing, or with a single point."""
    with pytest.raises(BadInput, match=said):
        growth_log10(MILK, times, temps)


def test_microbe_nonsense():
    """Bad input: NaN from a probe, a kitchen at 200 °C, two organisms at once, none, one not known, a torn curve."""
    for temp_c in (math.nan, 200.0):
        with pytest.raises(OutOfRange):
            growth_log10(MILK, [0.0, HOUR], [20.0, temp_c])
    with pytest.raises(BadInput, match="one organism"):
        caution([MILK, CHICKEN], [0.0, HOUR], [20.0, 20.0])
    with pytest.raises(BadInput, match="none"):
        caution([], [0.0, HOUR], [20.0, 20.0])
    with pytest.raises(NotFound, match="salmonella"):
        growth_curves("clostridium")
    with pytest.raises(OutOfRange, match="below its upper"):
        replace(MILK, measured_low_c=50.0)
    with pytest.raises(OutOfRange):
        GrowthCurve("x", "y", 0.0, 5.0, 10.0, 20.0)
