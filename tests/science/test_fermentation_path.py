"""Fermentation along a path: equivalent times, gas and rise for many draws and inside a piece; inverse questions."""

from __future__ import annotations

import math

import numpy as np
import pytest

from smallhours.errors import BadInput, OutOfRange
from smallhours.reference import fermentation as tables
from smallhours.reference.defaults import cardinal_temperatures
from smallhours.science.conduction import left_fraction
from smallhours.science.dough_gas import (
    DoughGas,
    fermentation_heat_w_per_kg,
    gas_for_rise_mmol_per_g,
    self_heating_k_per_s,
)
from smallhours.science.fermentation import CardinalTemperatures, PathPoint, equivalent_time_s, yeast_dose_percent
from smallhours.science.fermentation_path import (
    Yeast,
    dose_for_gas_percent,
    equivalent_times_s,
    gas_made_mmol_per_g,
    gas_rate_mmol_per_g_s,
    growth_times_s,
    heats_along_w_per_kg,
    integrals_s,
    rises_along_ratios,
    times_to_s,
)
from smallhours.science.yeast_activity import YeastCurves, activity_fractions

CURVE = tables.cold_curve()
CO2 = tables.carbon_dioxide()
LEAN = DoughGas(0.46, 0.80, 0.08, 8.0, 8.0)
NIGHT = np.linspace(0.0, 12 * 3600.0, 301)
COOLING = 4.0 + 20.0 * np.exp(-NIGHT / 6000.0)


def yeast(curves: YeastCurves = CURVE, dose: float = 2.0, litres_per_kg_h: float = 1.0) -> Yeast:
    """Yeast that makes so many litres (at 30 °C) for each kilogram and hour at 30 °C with 2 % of it."""
    at_fastest = litres_per_kg_h / 24.88 / 3600.0 / activity_fractions(30.0, curves)
    return Yeast(curves, dose, at_fastest, 2.0, 0.85)


def growing(dose: float = 2.0) -> Yeast:
    """The same yeast, which multiplies."""
    growth, reference_c = tables.yeast_growth()
    curve = YeastCurves.plain(cardinal_temperatures("bakers-yeast-growth"))
    plain = yeast(dose=dose)
    return Yeast(plain.curves, dose, plain.gas_mmol_per_g_s, 2.0, 0.85, growth, curve, reference_c)


def test_equivalent_time_as_the_exact_integral():
    """Round trip: with the plain curve, 300 steps agree with the exact integral of straight lines to 0.1 %."""
    cardinal = CardinalTemperatures(2.0, 36.0, 50.0)
    points = [PathPoint(float(t), float(c)) for t, c in zip(NIGHT, COOLING, strict=True)]
    found = equivalent_times_s(NIGHT, COOLING, 24.0, YeastCurves.plain(cardinal))
    assert found[-1] == pytest.approx(equivalent_time_s(points, 24.0, cardinal), rel=1e-3)


@pytest.mark.parametrize(
    ("shape", "radius_mm", "expected_h"), [("sphere", 24.4, 0.84), ("sphere", 43.6, 1.41), ("cylinder", 45.0, 2.27)]
)
def test_equivalent_hours_of_a_night_in_the_fridge(shape, radius_mm, expected_h):
    """Published: equivalent hours at 24 °C of 16 h at 4 °C, worked out apart with one equation for the mean temperature
    and heat of fermentation: 70 g ball 0.84, 400 g ball 1.41, 9 cm log 2.27. Ours by the exact series for its rings,
    without that heat: within 6 %. (With the plain curve (2, 36, 50), as there.)
    """
    times, edges = np.linspace(0.0, 16 * 3600.0, 400), np.linspace(0.0, 1.0, 13)
    shares = np.diff(edges ** (3 if shape == "sphere" else 2))
    left = np.ones((400, 12))
    fourier = 1.25e-7 * times[1:, None] / (radius_mm / 1000.0) ** 2
    left[1:] = left_fraction(shape, 8.0 * radius_mm / 1000.0 / 0.40, fourier, (edges[1:] + edges[:-1]) / 2)
    plain = YeastCurves(2.0, 36.0, 50.0)
    rates = activity_fractions(4.0 + 20.0 * left, plain) / activity_fractions(24.0, plain)
    hours = float(integrals_s(times, rates, shells=True)[-1] @ shares) / 3600.0
    assert hours == pytest.approx(expected_h, rel=0.06)


def test_steady_gas_by_hand():
    """Hand: 1 l/(kg h) at 30 °C for 2 h with twice the dose: 2 x 2^0.85 l, of 24.88 ml/mmol."""
    made = gas_made_mmol_per_g([0.0, 7200.0], [30.0, 30.0], yeast(dose=4.0))
    assert made[-1] * 24.88 == pytest.approx(2.0 * 2.0**0.85, rel=1e-9)


def test_heat_by_hand():
    """Hand: 1 l/(kg h) at 30 °C, 1/24.88 mol of 50 kJ, is 0.558 W/kg, 0.72 K an hour in a dough of 2.8 J/(g K)."""
    heat = heats_along_w_per_kg([0.0, 60.0], [30.0, 30.0], yeast(), tables.fermentation_heat_kj_per_mol())
    assert heat == pytest.approx([50_000.0 / 24.88 / 3600.0] * 2, rel=1e-9)
    assert float(self_heating_k_per_s(heat[0], 2.8)) * 3600.0 == pytest.approx(0.72, abs=0.005)
    assert heat[0] == pytest.approx(float(fermentation_heat_w_per_kg(1000.0, 30.0, 50.0)), rel=1e-3)


def test_rate_from_yeast_by_hand():
    """Hand: 1.18 % of 85 ml/(g h) is 1 l/(kg h); half of it where sugar leaves half."""
    strength = tables.yeast_strength()
    rate = gas_rate_mmol_per_g_s(0.0118, strength.gas_ml_per_g_h.median, strength.measured_c, CURVE, [1.0, 0.5])
    litres = rate * activity_fractions(30.0, CURVE) * 3600.0 * 24.876
    assert litres == pytest.approx([1.003, 0.5015], rel=1e-3)


def test_a_dough_doubles_in_about_an_hour_and_a_quarter():
    """Hand: at 28 °C a dough with 1 l/(kg h) at 30 °C makes 0.85 l/(kg h). It needs 0.80 / 0.92 = 0.87 l for its double
    and what dissolves, 0.3 l and a little: 1.4 h. Before 12 minutes it has hardly moved.
    """
    times = np.linspace(0.0, 3 * 3600.0, 361)
    rises = rises_along_ratios(times, np.full(361, 28.0), yeast(), LEAN, CO2)
    assert rises[0] == pytest.approx(1.0, abs=1e-9)
    assert rises[24] < 1.06
    rate = float(activity_fractions(28.0, CURVE) / activity_fractions(30.0, CURVE))
    assert rate == pytest.approx(0.87, abs=0.02)
    assert times_to_s(times, rises, 2.0)[0] / 3600.0 == pytest.approx((0.87 + 0.33) / rate, rel=0.05)


def test_shells_of_one_temperature_are_one_piece():
    """Limit: shells that are all as warm give the rise of one temperature; shares do not matter."""
    shelled = np.repeat(COOLING[:, None], 4, axis=1)
    one = rises_along_ratios(NIGHT, COOLING, yeast(), LEAN, CO2)
    many = rises_along_ratios(NIGHT, shelled, yeast(), LEAN, CO2, [0.1, 0.2, 0.3, 0.4])
    assert many == pytest.approx(one, rel=1e-12)


def test_a_warm_core_ferments_on():
    """Limit: with half of it at 24 °C and half at 4 °C a piece has risen more than at 14 °C, where activity bends
    upwards, and between the rises of the two.
    """
    halves = np.stack([np.full(301, 24.0), np.full(301, 4.0)], axis=1)
    weak = yeast(litres_per_kg_h=0.15)
    both = rises_along_ratios(NIGHT, halves, weak, LEAN, CO2, [0.5, 0.5])[-1]
    cold, even, warm = (rises_along_ratios(NIGHT, np.full(301, t), weak, LEAN, CO2)[-1] for t in (4.0, 14.0, 24.0))
    assert even < both < warm
    assert both > cold


def test_draws_are_single_forecasts():
    """Limit: each row of an ensemble is what its own parameters give alone, with shells, growth and without."""
    rng = np.random.default_rng(3)
    slopes, rates = rng.uniform(0.0, 0.08, 5), rng.uniform(5e-6, 2e-5, 5)
    many = Yeast(YeastCurves(-2.0, 36.0, 50.0, 30.0, slopes), rng.uniform(0.5, 3.0, 5), rates, 2.0, 0.85)
    shelled = np.stack([COOLING, COOLING - 1.0, COOLING - 2.0], axis=1)
    found = rises_along_ratios(NIGHT, shelled, many, LEAN, CO2, [0.5, 0.3, 0.2])
    assert found.shape == (5, 301)
    for row, slope, dose, rate in zip(found, slopes, np.asarray(many.dose_percent), rates, strict=True):
        one = Yeast(YeastCurves(-2.0, 36.0, 50.0, 30.0, slope), dose, rate, 2.0, 0.85)
        assert row == pytest.approx(rises_along_ratios(NIGHT, shelled, one, LEAN, CO2, [0.5, 0.3, 0.2]), rel=1e-12)
    growth = growing()
    doses = np.array([0.1, 1.0])
    both = gas_made_mmol_per_g(NIGHT, COOLING, growing(dose=doses))
    alone = [gas_made_mmol_per_g(NIGHT, COOLING, growing(dose=float(d))) for d in doses]
    assert both == pytest.approx(np.stack(alone), rel=1e-12)
    assert growth.growth is not None


def test_growth_hardly_matters_within_two_hours_and_nearly_doubles_a_long_night():
    """Hand: nothing for two hours at 27 °C; 12 h at 24 °C with 0.1 % make nearly twice the gas with growth."""
    short = np.linspace(0.0, 7200.0, 50)
    both = [gas_made_mmol_per_g(short, np.full(50, 27.0), y)[-1] for y in (yeast(), growing())]
    assert both[0] == pytest.approx(both[1], rel=1e-9)
    night = [gas_made_mmol_per_g(NIGHT, np.full(301, 24.0), y)[-1] for y in (yeast(dose=0.1), growing(dose=0.1))]
    assert night[1] / night[0] == pytest.approx(1.9, abs=0.1)
    curve = YeastCurves.plain(cardinal_temperatures("bakers-yeast-growth"))
    assert growth_times_s(short, np.full(50, 27.0), 27.0, curve)[-1] == pytest.approx(7200.0)


def test_gas_that_was_there_before():
    """Limit: a path in two parts, the second with the gas of the first, ends where the whole path does; a dough that
    starts at another temperature in each draw starts at 1 in each.
    """
    half = 150
    whole = rises_along_ratios(NIGHT, np.full(301, 24.0), yeast(), LEAN, CO2)
    first = gas_made_mmol_per_g(NIGHT[: half + 1], np.full(half + 1, 24.0), yeast())[-1]
    rest = NIGHT[half:]
    second = rises_along_ratios(rest, np.full(rest.size, 24.0), yeast(), LEAN, CO2, made_before_mmol_per_g=first)
    assert second == pytest.approx(whole[half:], rel=1e-9)
    starts = np.array([[20.0], [24.0], [28.0]]) + np.zeros(301)
    assert rises_along_ratios(NIGHT, starts, yeast(), LEAN, CO2)[:, 0] == pytest.approx([1.0] * 3, rel=1e-9)


def test_dose_for_a_rise_in_the_morning():
    """Round trip: the dose found for a dough to be double at the end of a night in the fridge makes it double then."""
    gas = gas_for_rise_mmol_per_g(2.0, COOLING[-1], LEAN, CO2, COOLING[0])
    dose = dose_for_gas_percent(NIGHT, COOLING, gas, growing())
    assert 0.3 < float(dose[0]) < 5.0
    rises = rises_along_ratios(NIGHT, COOLING, growing(dose=float(dose[0])), LEAN, CO2)
    assert rises[-1] == pytest.approx(2.0, rel=1e-6)


def test_time_to_a_rise():
    """Round trip: the rise at the time found is the rise asked for; never reached is infinite; at the start is zero."""
    rises = rises_along_ratios(NIGHT, np.full(301, 24.0), yeast(), LEAN, CO2)
    found = times_to_s(NIGHT, rises, [1.5, 2.0, 99.0, 1.0])
    assert np.interp(found[:2], NIGHT, rises) == pytest.approx([1.5, 2.0], rel=1e-9)
    assert math.isinf(found[2])
    assert found[3] == 0.0


@pytest.mark.parametrize("multiplies", [False, True])
def test_dose_comes_back(multiplies):
    """Round trip: the dose that makes the gas of a dose is that dose, with and without growth."""
    made = (growing if multiplies else yeast)(dose=0.7)
    gas = gas_made_mmol_per_g(NIGHT, COOLING, made)[-1]
    asked = (growing if multiplies else yeast)(dose=3.0)
    assert dose_for_gas_percent(NIGHT, COOLING, gas, asked)[0] == pytest.approx(0.7, rel=1e-6)


def test_dose_for_another_ready_time():
    """Published: 6 parts of yeast for 1.5 h become 0.75 for 12 h (a baking blog, yeast x time constant), at one
    temperature, without growth and with an exponent of 1; the same as ``yeast_dose_percent`` says. With growth and 0.85
    0.26 % is enough, of which growth saves half (0.52 without).
    """
    plain = Yeast(CURVE, 6.0, 1e-5, 2.0, 1.0)
    short, long = np.linspace(0.0, 5400.0, 100), np.linspace(0.0, 43_200.0, 400)
    gas = gas_made_mmol_per_g(short, np.full(100, 24.0), plain)[-1]
    found = float(dose_for_gas_percent(long, np.full(400, 24.0), gas, plain)[0])
    assert found == pytest.approx(0.75, rel=1e-6)
    assert found == pytest.approx(yeast_dose_percent(6.0, 5400.0, 43_200.0))
    grown = gas_made_mmol_per_g(short, np.full(100, 24.0), growing(dose=6.0))[-1]
    doses = [float(dose_for_gas_percent(long, np.full(400, 24.0), grown, y)[0]) for y in (growing(), yeast())]
    assert doses == pytest.approx([0.26, 0.52], abs=0.005)


def test_no_dose_is_not_a_number():
    """Limit: gas that no dose from 0.001 to 20 % makes on the path has no answer."""
    tiny, huge = dose_for_gas_percent([0.0, 60.0], [24.0, 24.0], [1e-9, 1.9], yeast())
    assert math.isnan(tiny)
    assert math.isnan(huge)
    assert np.isnan(dose_for_gas_percent([0.0, 60.0], [24.0, 24.0], [1e-9, 1.9], growing())).all()


def test_warmer_is_never_slower_and_more_yeast_is_never_slower():
    """Limit: over 60 random paths below the optimum, adding kelvins or yeast never makes a dough rise later."""
    rng = np.random.default_rng(11)
    times = np.linspace(0.0, 8 * 3600.0, 100)
    for _ in range(60):
        path = np.clip(8.0 + np.cumsum(rng.normal(0.0, 1.0, 100)) + rng.uniform(0.0, 18.0), 0.0, 30.0)
        warmer = path + rng.uniform(0.0, 5.0)
        dose = float(rng.uniform(0.2, 4.0))
        for made in (yeast, growing):
            cool, warm = (gas_made_mmol_per_g(times, p, made(dose=dose)) for p in (path, warmer))
            assert (warm >= cool - 1e-15).all()
            assert (gas_made_mmol_per_g(times, path, made(dose=dose * 1.2)) >= cool).all()


def test_a_dough_that_can_hold_no_more_stays():
    """Limit: after much gas the rise is what the dough can hold, however much more is made."""
    dough = DoughGas(0.46, 0.80, 0.08, 3.0, 6.0)
    rises = rises_along_ratios(NIGHT, np.full(301, 30.0), yeast(litres_per_kg_h=1.5), dough, CO2)
    most = (0.80 + 3.0) / (0.80 / 0.92)
    assert rises.max() <= most
    assert rises[-1] == pytest.approx(most, rel=1e-3)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: equivalent_times_s([0.0, 10.0, 5.0], [20.0] * 3, 24.0, CURVE), "must rise .found 5 s after 10 s"),
        (lambda: equivalent_times_s([0.0], [20.0], 24.0, CURVE), "two or more times"),
        (lambda: equivalent_times_s([0.0, math.nan], [20.0, 20.0], 24.0, CURVE), "a number of seconds"),
        (
            lambda: equivalent_times_s([0.0, 10.0], [20.0, math.nan], 24.0, CURVE),
            "gap: no temperature .* at 10 s",
        ),
        (lambda: equivalent_times_s([0.0, 10.0], [20.0, 140.0], 24.0, CURVE), "found 140"),
        (lambda: equivalent_times_s([0.0, 10.0], [-41.0, 20.0], 24.0, CURVE), "found -41"),
        (lambda: equivalent_times_s([0.0, 10.0], [20.0] * 3, 24.0, CURVE), "each of its 2 times"),
        (lambda: equivalent_times_s([0.0, 10.0], [20.0, 20.0], -18.0, CURVE), "reference of -18"),
        (lambda: yeast(dose=0.0), "dose of yeast must be 0.001 to 20"),
        (lambda: yeast(dose=40.0), "found 40"),
        (lambda: Yeast(CURVE, 2.0, 1e-5, growth=tables.yeast_growth()[0]), "needs both"),
        (lambda: dose_for_gas_percent([0.0, 10.0], [20.0, 20.0], 0.0, yeast()), "gas that is wanted"),
        (lambda: gas_rate_mmol_per_g_s(0.5, 85.0, 30.0, CURVE), "yeast in a dough"),
        (lambda: times_to_s([0.0, 1.0], [1.0, 2.0], math.nan), "found nan"),
        (lambda: rises_along_ratios([0.0, 9e4], [20.0, 140.0], yeast(), LEAN, CO2), "found 140"),
    ],
)
def test_nonsense_is_refused(call, message):
    """Bad input: one sentence each, naming what was found."""
    with pytest.raises((OutOfRange, BadInput), match=message):
        call()
