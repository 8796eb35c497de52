"""Yeast's speed over temperature for arrays, its cold slope, published alternatives, doses; Freilich's proof times."""

from __future__ import annotations

import math

import numpy as np
import pytest

from smallhours.errors import BadInput, OutOfRange
from smallhours.reference import fermentation as tables
from smallhours.reference.defaults import cardinal_temperatures
from smallhours.science.conduction import left_fraction
from smallhours.science.dough_gas import DoughGas, gas_for_rise_mmol_per_g, mean_over_shells
from smallhours.science.fermentation import CardinalTemperatures, activity_fraction
from smallhours.science.fermentation_path import integrals_s
from smallhours.science.yeast_activity import (
    CultureCurves,
    RatePoints,
    YeastCurves,
    activity_fractions,
    cold_slope_per_k,
    constant_q10_ratios,
    dose_factors,
    interpolated_fractions,
    q10_ratios,
)

PLAIN = YeastCurves(2.0, 36.0, 50.0)


def test_arrays_are_the_single_values():
    """Limit: without cold slope, every draw is the plain cardinal model, zero at and beyond its ends."""
    sets = [CardinalTemperatures(2.0, 32.3, 45.4), CardinalTemperatures(-2.0, 36.0, 50.0)]
    temps = np.linspace(-40.0, 120.0, 641)
    curves = YeastCurves(*(np.array([getattr(c, n) for c in sets]) for n in ("min_c", "optimum_c", "max_c")))
    found = activity_fractions(temps, curves.widened(1))
    assert found.shape == (2, 641)
    for row, cardinal in zip(found, sets, strict=True):
        assert row == pytest.approx([activity_fraction(float(t), cardinal) for t in temps], abs=1e-12)


def test_published_ratios_over_ten_kelvins():
    """Published: Rosso et al. (1993), three sets evaluated apart from this code: Q10 from 8, 10, 15, 20 °C."""
    table = {
        (2.0, 32.3, 45.4): (5.7, 4.0, 2.3, 1.6),
        (2.0, 36.0, 50.0): (6.0, 4.2, 2.5, 1.8),
        (4.0, 37.0, 50.0): (10.5, 6.0, 3.0, 2.0),
    }
    for cardinal, expected in table.items():
        found = q10_ratios([8.0, 10.0, 15.0, 20.0], YeastCurves(*cardinal))
        assert found == pytest.approx(expected, abs=0.051)


def test_cold_slope_by_hand():
    """Hand: at 20 °C a slope of 0.03 from 30 °C leaves exp(-0.3) of the plain speed; above the pivot all of it."""
    steep = YeastCurves(2.0, 36.0, 50.0, 30.0, 0.03)
    ratio = activity_fractions([20.0, 30.0, 35.0], steep) / activity_fractions([20.0, 30.0, 35.0], PLAIN)
    assert ratio == pytest.approx([math.exp(-0.3), 1.0, 1.0], rel=1e-12)


@pytest.mark.parametrize("wanted", [2.2, 3.8, 6.0])
def test_slope_from_a_ratio_gives_that_ratio(wanted):
    """Round trip: the slope found for a ratio over ten kelvins gives it."""
    cardinal = CardinalTemperatures(-2.0, 36.0, 50.0)
    slope = cold_slope_per_k(wanted, 20.0, cardinal)
    steep = YeastCurves(-2.0, 36.0, 50.0, 30.0, slope)
    assert float(q10_ratios(20.0, steep)) == pytest.approx(wanted, rel=1e-9)


def test_slope_is_never_negative():
    """Limit: where the curve is steeper already than what is asked for, there is no slope."""
    assert cold_slope_per_k(2.0, 10.0, CardinalTemperatures(2.0, 36.0, 50.0)) == 0.0


def test_usual_curve_meets_what_it_was_set_for():
    """Hand: the usual curve (a judgement) is 3.8 times as fast at 20 as at 10 °C, 2.2 times at 30 as at 20 °C, 3 %."""
    assert q10_ratios([10.0, 20.0], tables.cold_curve()) == pytest.approx([3.8, 2.2], rel=0.03)
    # 1 to 5 % of the speed at 26 °C is what sets with a minimum of -2 to 2 °C give for 4 °C
    cold, warm = activity_fractions([4.0, 26.0], tables.cold_curve())
    assert 0.01 < cold / warm < 0.05
    prior = tables.cold_slope_per_k()
    assert prior.median == tables.cold_curve().cold_slope_per_k


def proof_gas(curves: YeastCurves, box_c: float, minutes: float, start_c: float, transfer: float) -> float:
    """Seconds of yeast's fastest in a loaf of 5 cm radius after a proof, over ten rings; temperatures exact."""
    radius_m, conductivity, diffusivity = 0.05, 0.30, 1.2e-7
    edges = np.linspace(0.0, 1.0, 11)
    rings, shares = np.sqrt((edges[1:] ** 2 + edges[:-1] ** 2) / 2), edges[1:] ** 2 - edges[:-1] ** 2
    times = np.linspace(0.0, minutes * 60.0, 121)
    left = np.ones((121, 10))
    fourier = (diffusivity * times[1:] / radius_m**2)[:, None]
    left[1:] = left_fraction("cylinder", transfer * radius_m / conductivity, fourier, rings)
    rates = activity_fractions(box_c + (start_c - box_c) * left, curves)
    return float(mean_over_shells(integrals_s(times, rates, shells=True), shares)[-1])


def freilich_misses(curves: YeastCurves) -> list[float]:
    """Gas of 270 min in a 13 °C box over gas of 55 min in one of 41.5 °C; 1 if the curve told the truth."""
    warm = {start: proof_gas(curves, 41.5, 55.0, start, 12.0) for start in (27.0, 30.0)}
    return [proof_gas(curves, 13.0, 270.0, s, h) / warm[s] for s in warm for h in (8.0, 15.0)]


def test_freilich_proof_times_are_missed():
    """Published: Freilich (1949) in Siffring & Bruinsma (1993): to equal height 270 min at 13 °C; at 41 to 43 °C 55 min
    are typical (Dubois & Vetter 1987). A curve that is true gives 1.

    A failed check, and this is how far it fails: without cold slope 2.3 to 2.9 (within the 1.6 to 3.2 found for such
    sets), with the usual slope 2.0 to 2.6; a slope at the upper 10 % of its prior gives 1.2 to 1.8. Loaf size, loading
    temperature and transfer are assumed; CO2 that dissolves better in the cold and warm gas that expands account for
    some 20 %. The slope is not tuned to it.
    """
    plain, usual = freilich_misses(PLAIN), freilich_misses(tables.cold_curve())
    assert 2.2 < min(plain) < max(plain) < 3.0
    assert 1.9 < min(usual) < max(usual) < 2.7
    assert all(u < p for u, p in zip(usual, plain, strict=True))
    prior = tables.cold_slope_per_k()
    steep = prior.median * math.exp(1.2816 * prior.log_sd)
    high = freilich_misses(YeastCurves(-2.0, 36.0, 50.0, 30.0, steep))
    assert 1.1 < min(high) < max(high) < 1.9


def test_freilich_to_equal_height_with_the_gas_that_dissolves():
    """Published: Freilich (1949) as above, to equal height in place of equal gas. In the cold more gas dissolves and
    what is left takes less room: a lean dough of 46 % water at 15 °C needs 1.20 to 1.27 times the gas that it needs at
    34 °C to be 2 to 3 times its volume. That leaves a miss of 1.6 to 2.1 in place of 2.0 to 2.6: better, still failed.
    """
    lean, gas = DoughGas(0.46, 0.80, 0.08, 20.0, 20.0), tables.carbon_dioxide()
    wanted = [gas_for_rise_mmol_per_g(rise, [15.0, 34.0], lean, gas, 28.0) for rise in (2.0, 3.0)]
    more = [float(cold / warm) for cold, warm in wanted]
    assert 1.15 < min(more) < max(more) < 1.30
    misses = [miss / ratio for miss in freilich_misses(tables.cold_curve()) for ratio in more]
    assert 1.5 < min(misses) < max(misses) < 2.3


def test_constant_factor_is_wrong_in_the_cold():
    """Hand: doubling for ten kelvins from 24 °C leaves 0.25 at 4 °C, six times what the usual curve does."""
    assert float(constant_q10_ratios(4.0, 24.0, 2.0)) == pytest.approx(0.25)
    usual = activity_fractions([4.0, 24.0], tables.cold_curve())
    assert 0.25 / (usual[0] / usual[1]) == pytest.approx(6.0, abs=0.5)


def test_sourdough_yeast_doubles_as_read():
    """Published: a sourdough FAQ: rate doubles for every 7 °F (3.9 K) from 40 to 75 °F, 5.9 times for ten kelvins.

    Gänzle's points rise from 0.25 to 0.5 in six kelvins, a factor of 3.2: the two sources do not agree.
    """
    assert pytest.approx(5.9, abs=0.05) == 2 ** (10 / (7 / 1.8))
    points = tables.culture_growth("yeast")
    fourteen, twenty = interpolated_fractions([14.0, 20.0], points)
    assert (twenty / fourteen) ** (10 / 6) == pytest.approx(3.2, abs=0.05)


def test_points_are_met_and_the_cardinal_model_misses_them():
    """Published: Gänzle's relative rates of sourdough yeast; the fitted cardinal set misses them by up to 0.17."""
    points = tables.culture_growth("yeast")
    temps = np.array(points.temps_c)
    assert interpolated_fractions(temps, points).tolist() == list(points.rates_fraction)
    fitted = activity_fractions(temps, YeastCurves.plain(cardinal_temperatures("sourdough-yeast")))
    assert np.abs(fitted - points.rates_fraction).max() == pytest.approx(0.165, abs=0.005)


def test_trade_rule_of_ten_percent_a_degree():
    """Published: a trade reference has 1 °C = 10 % activity; the usual curve comes to 4 to 12 % from 20 to 30 °C."""
    temps = np.arange(20.0, 31.0)
    steps = np.diff(np.log(activity_fractions(temps, tables.cold_curve())))
    assert 0.04 < steps.min() < steps.max() < 0.12


def test_warmer_is_never_slower_below_the_optimum():
    """Limit: over 200 draws of all parameters, activity never falls from -10 °C to the optimum."""
    rng = np.random.default_rng(7)
    low, best = rng.uniform(-4.0, 5.0, 200), rng.uniform(32.0, 39.0, 200)
    high = best + rng.uniform(10.0, 14.0, 200)
    curves = YeastCurves(low, best, high, rng.uniform(20.0, 32.0, 200), rng.uniform(0.0, 0.2, 200))
    temps = -10.0 + (best[:, None] + 10.0) * np.linspace(0.0, 1.0, 400)
    assert (np.diff(activity_fractions(temps, curves.widened(1)), axis=1) >= -1e-15).all()


def test_dose_exponent_of_the_leavening_table():
    """Published: leavening 1200 at 2.8 % and 1800 at 5 % yeast (table of a commercial strain); exponent 0.70.

    The exponent to start from, 0.85, gives 1.64 where 1.50 was read: 9 % too much.
    """
    assert float(dose_factors(5.0, 2.8, 0.70)) == pytest.approx(1800 / 1200, rel=0.002)
    usual = tables.yeast_strength().dose_exponent
    assert float(dose_factors(5.0, 2.8, usual)) / 1.5 == pytest.approx(1.09, abs=0.01)


def test_more_yeast_is_never_slower():
    """Limit: at every exponent allowed, a larger dose is faster."""
    doses = np.linspace(0.01, 20.0, 300)
    assert (np.diff(dose_factors(doses, 2.0, np.array([[0.4], [0.85], [1.2]])), axis=1) > 0.0).all()


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: activity_fractions([20.0, 140.0], PLAIN), "found 140"),
        (lambda: activity_fractions(-41.0, PLAIN), "-40 to 120 °C"),
        (lambda: activity_fractions([math.nan], PLAIN), "found nan"),
        (lambda: YeastCurves(2.0, [36.0, 20.0], 50.0), "above the middle"),
        (lambda: YeastCurves(2.0, 36.0, 50.0, 40.0, 0.02), "not be above the optimum"),
        (lambda: YeastCurves(2.0, 36.0, 50.0, 30.0, -0.01), "the cold slope must be 0 to 0.2"),
        (lambda: YeastCurves(math.nan, 36.0, 50.0), "found nan"),
        (lambda: q10_ratios(-10.0, PLAIN), "does not work at the lower"),
        (lambda: cold_slope_per_k(2.0, 60.0, CardinalTemperatures(2.0, 36.0, 50.0)), "no ratio"),
        (lambda: dose_factors(0.0, 2.0, 0.85), "dose of yeast must be 0.001 to 20"),
        (lambda: dose_factors(40.0, 2.0, 0.85), "found 40"),
        (lambda: RatePoints((8.0, 8.0), (0.0, 1.0)), "rising temperatures"),
    ],
)
def test_nonsense_is_refused(call, message):
    """Bad input: one sentence each, naming what was found."""
    with pytest.raises((OutOfRange, BadInput), match=message):
        call()


def test_a_culture_runs_between_its_published_points():
    """Published: Gänzle's summary: sourdough yeast is fastest at 28 °C, half at 20 and 32, a quarter at 14 and 34."""
    curve = tables.culture_curve()
    assert activity_fractions([14.0, 20.0, 28.0, 32.0, 34.0], curve) == pytest.approx([0.25, 0.5, 1.0, 0.5, 0.25])
    assert activity_fractions([36.0, -3.0], curve).tolist() == [0.0, 0.0]


def test_a_culture_in_the_cold():
    """Published: a list of sourdough questions: the rate doubles every 7 °F (3.89 K) from 40 to 75 °F. Below 14 °C ours
    does; from 24 to 14 °C the points, of the same author, fall by 3.0 where that rule has 5.9: they do not agree.
    """
    curve = tables.culture_curve()
    four, eight = activity_fractions([14.0 - 2 * 35 / 9, 14.0 - 35 / 9], curve)
    assert eight / four == pytest.approx(2.0, rel=2e-3)
    warm, cool = activity_fractions([24.0, 14.0], curve)
    assert warm / cool == pytest.approx(3.0)
    assert pytest.approx(5.9, abs=0.1) == 2 ** (10 / (35 / 9))


def test_draws_of_a_culture_s_cold_slope():
    """Hand: at 4 °C, ten kelvins below the pivot, a quarter x exp(-10 slope): four draws in five from 0.8 to 10 %."""
    prior = tables.culture_cold_slope_per_k()
    low, high = (prior.median * math.exp(z * 1.2816 * prior.log_sd) for z in (1, -1))
    found = activity_fractions(4.0, CultureCurves(tables.culture_growth("yeast"), np.array([low, high])))
    assert found == pytest.approx([0.25 * math.exp(-10 * low), 0.25 * math.exp(-10 * high)])
    assert found == pytest.approx([0.0086, 0.098], abs=0.001)


def test_a_culture_beside_yeast():
    """Limit: a share of 1 is the yeast's own curve, 0 the culture's; at 25 °C a half is half of each."""
    points, yeast = tables.culture_growth("yeast"), tables.cold_curve()
    temps = [10.0, 20.0, 25.0, 31.0]
    alone = activity_fractions(temps, CultureCurves(points, 0.178))
    only = activity_fractions(temps, CultureCurves(points, 0.178, yeast=yeast, yeast_fraction=1.0))
    both = activity_fractions(temps, CultureCurves(points, 0.178, yeast=yeast, yeast_fraction=0.5))
    assert only / only[2] == pytest.approx(activity_fractions(temps, yeast) / float(activity_fractions(25.0, yeast)))
    assert both == pytest.approx((alone + only) / 2)
    assert both[2] == pytest.approx(alone[2])


def test_a_culture_that_cannot_be():
    """Bad input: a slope of none, a pivot where nothing grows, a yeast without a share."""
    points = tables.culture_growth("yeast")
    with pytest.raises(OutOfRange, match="cold slope of a culture"):
        CultureCurves(points, 0.0)
    with pytest.raises(OutOfRange, match="does not work at the 6 °C"):
        CultureCurves(points, 0.178, cold_pivot_c=6.0)
    with pytest.raises(BadInput, match="both its curve and its share"):
        CultureCurves(points, 0.178, yeast=tables.cold_curve())
