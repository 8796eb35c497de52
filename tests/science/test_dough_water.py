"""Water activity of sugar and salt solutions, osmotic pressure of doughs, what it leaves of yeast's speed."""

from __future__ import annotations

import math

import numpy as np
import pytest

from smallhours.errors import OutOfRange
from smallhours.reference import fermentation as tables
from smallhours.science.dough_water import (
    SALT_G_PER_MOL,
    dough_water_activity_ratios,
    osmotic_factors,
    osmotic_pressures_kpa,
    salt_water_activity_ratios,
    sugar_water_activity_ratios,
)

ATM_KPA = 101.325
DOUGHS = [  # water, salt, sugar in % of flour; water activity; osmotic pressure in atm
    (62, 2, 0, 0.977, 31),
    (62, 2, 5, 0.969, 43),
    (60, 2, 10, 0.959, 57),
    (55, 1.8, 15, 0.948, 73),
    (50, 1.5, 20, 0.936, 91),
    (50, 1.2, 25, 0.928, 103),
]


def activity(water: float, salt: float, sucrose: float, hexose: float = 0.0) -> float:
    """Water activity with the constants of the tables."""
    factor, flour = tables.solute("hexose").norrish_factor, tables.flour_water().solutes_mol_per_kg
    return float(dough_water_activity_ratios(water, salt, sucrose, factor, flour, hexose))


def speed(water: float, salt: float, sucrose: float, hexose: float = 0.0, kind: str = "ordinary") -> float:
    """What is left of yeast's speed, with the figures of the tables."""
    pressure = osmotic_pressures_kpa(activity(water, salt, sucrose, hexose))
    scale = tables.yeast_strength(kind).osmotic_scale_kpa.median
    return float(osmotic_factors(pressure, tables.flour_water().lean_osmotic_kpa, scale))


@pytest.mark.parametrize(
    ("molal", "expected"), [(0.5, 0.9906), (1.0, 0.9803), (2.0, 0.9577), (4.0, 0.9059), (6.0, 0.8486)]
)
def test_sucrose(molal, expected):
    """Published: Norrish's equation with K = 6.47, evaluated apart from this code; last digit."""
    found = float(sugar_water_activity_ratios(molal, tables.solute("sucrose").norrish_factor))
    assert found == pytest.approx(expected, abs=6e-5)


def test_glucose_and_saturated_sucrose():
    """Published: glucose 1 and 2 mol/kg .9816, .9626 (Norrish); saturated sucrose, 67 %, .843-.85 (handbooks)."""
    found = sugar_water_activity_ratios([1.0, 2.0], tables.solute("hexose").norrish_factor)
    assert found == pytest.approx([0.9816, 0.9626], abs=6e-5)
    saturated = float(sugar_water_activity_ratios(67.0 / 33.0 * 1000.0 / 342.297, 6.47))
    assert 0.840 < saturated < 0.851


@pytest.mark.parametrize(
    ("molal", "expected", "tolerance"),
    [(0.5, 0.9835, 1e-4), (1.0, 0.9669, 3e-4), (2.0, 0.9315, 1e-4), (6.144, 0.753, 0.003)],
)
def test_salt(molal, expected, tolerance):
    """Published: 1 mol/kg .9669 and saturated .75 to .755 in tables of water activity; the others by Pitzer, apart."""
    assert float(salt_water_activity_ratios(molal)) == pytest.approx(expected, abs=tolerance)


def test_brine_of_a_food_agency():
    """Published: 4.5 % salt by mass has .974 (US agricultural research service); Pitzer gives .9734."""
    assert float(salt_water_activity_ratios(45.0 / 0.955 / SALT_G_PER_MOL)) == pytest.approx(0.974, abs=0.001)


@pytest.mark.parametrize(("water", "salt", "sugar", "ratio", "atm"), DOUGHS)
def test_doughs(water, salt, sugar, ratio, atm):
    """Published: lean to very sweet doughs worked out apart (Norrish, Pitzer, .25 mol/kg of flour)."""
    found = activity(water, salt, sugar)
    assert found == pytest.approx(ratio, abs=6e-4)
    assert float(osmotic_pressures_kpa(found)) / ATM_KPA == pytest.approx(atm, abs=0.6)


def test_range_of_doughs():
    """Published: sweet doughs are read to have 35 to 100 atm; ours of 5 to 25 % sugar come to 43 to 103."""
    pressures = [float(osmotic_pressures_kpa(activity(*d[:3]))) / ATM_KPA for d in DOUGHS[1:]]
    assert 35.0 < min(pressures) < max(pressures) < 105.0


def test_pure_water_draws_nothing():
    """Limit: nothing dissolved, no pressure; a lean dough's own pressure leaves all of the speed."""
    assert float(sugar_water_activity_ratios(0.0, 6.47)) == 1.0
    assert float(salt_water_activity_ratios(0.0)) == 1.0
    assert float(osmotic_pressures_kpa(1.0)) == pytest.approx(0.0, abs=1e-12)
    assert speed(62, 2, 0) == pytest.approx(1.0, abs=0.02)


def test_leavening_of_sweet_doughs_as_read():
    """Published: leavening table of a commercial strain (Appl. Environ. Microbiol.), gas against the same dough without
    sugar: .80 with 5 % glucose, .29 per gram of yeast with 10 % sucrose. Recipes unknown; 60 % water, 2 % salt taken.

    Ours: .77 (4 % low) and .58 (twice too high): the two readings contradict any one scale. A tolerant mutant made 1.58
    to 1.84 times its parent's gas; ours 1.34 at 10 %, 1.6 at 15 %.
    """
    lean = speed(60, 2, 0)
    assert speed(60, 2, 0, hexose=5) / lean / 0.80 == pytest.approx(0.965, abs=0.02)
    assert speed(60, 2, 10) / lean / 0.29 == pytest.approx(1.98, abs=0.06)
    assert speed(60, 2, 10, kind="osmotolerant") / speed(60, 2, 10) == pytest.approx(1.34, abs=0.02)
    assert 1.5 < speed(60, 2, 15, kind="osmotolerant") / speed(60, 2, 15) < 1.7


def test_scales_behind_the_prior():
    """Hand: the scales that would give each of the two readings, 53 and 21 atm, lie within two sd of the prior's 45."""
    pressures = [float(osmotic_pressures_kpa(activity(60, 2, *s))) for s in ((0, 0), (0, 5), (10, 0))]
    scales = [(p - pressures[0]) / -math.log(r) / ATM_KPA for p, r in zip(pressures[1:], (0.80, 0.29), strict=True)]
    assert scales == pytest.approx([52.0, 20.0], abs=2.0)
    prior = tables.yeast_strength().osmotic_scale_kpa
    assert prior.median / ATM_KPA == pytest.approx(45.0, abs=0.1)
    assert all(abs(math.log(s * ATM_KPA / prior.median)) < 2 * prior.log_sd for s in scales)


def test_milk_sugar_and_dilution():
    """Limit: lactose lowers water activity; more water raises it; more sugar or salt lowers it, at every step."""
    lactose = tables.solute("lactose")
    plain = dough_water_activity_ratios(60.0, 2.0, 10.0, 2.25, 0.25)
    assert dough_water_activity_ratios(60.0, 2.0, 10.0, 2.25, 0.25, 0.0, 3.0, lactose) < plain
    assert (np.diff(dough_water_activity_ratios(np.arange(40.0, 100.0), 2.0, 10.0, 2.25, 0.25)) > 0).all()
    assert (np.diff(dough_water_activity_ratios(60.0, 2.0, np.arange(0.0, 40.0), 2.25, 0.25)) < 0).all()
    assert (np.diff(dough_water_activity_ratios(60.0, np.arange(0.0, 4.0, 0.1), 0.0, 2.25, 0.25)) < 0).all()


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: activity(5, 2, 0), "water of a dough must be 20 to 300"),
        (lambda: activity(60, 30, 0), "found 30"),
        (lambda: activity(60, 2, math.nan), "found nan"),
        (lambda: osmotic_factors(-1.0, 3140.0, 4560.0), "osmotic pressure must be 0"),
        (lambda: osmotic_factors(3000.0, 3140.0, 0.0), "stands must be 500"),
        (lambda: salt_water_activity_ratios(7.0), "found 7"),
    ],
)
def test_nonsense_is_refused(call, message):
    """Bad input: one sentence each, naming what was found."""
    with pytest.raises(OutOfRange, match=message):
        call()
