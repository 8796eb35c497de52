"""How yeast multiplies in a dough, against published increases and the trade's doses of long preferments."""

from __future__ import annotations

import math

import numpy as np
import pytest

from smallhours.errors import OutOfRange
from smallhours.reference import fermentation as tables
from smallhours.reference.defaults import cardinal_temperatures
from smallhours.science.fermentation_path import Yeast, gas_made_mmol_per_g
from smallhours.science.yeast_activity import YeastCurves
from smallhours.science.yeast_growth import YeastGrowth, growth_ratios

GROWTH, REFERENCE_C = tables.yeast_growth()
GROWTH_CURVE = YeastCurves.plain(cardinal_temperatures("bakers-yeast-growth"))


def test_two_doses_set_the_growth():
    """Published: yeast in doughs after 6 h (a public text on dough): +88 % from 0.5 %, +29 % from 2 %. They set the
    rate and the most, so this only shows that the table holds them.
    """
    assert growth_ratios(21_600.0, [0.5, 2.0], GROWTH) == pytest.approx([1.88, 1.29], abs=0.005)
    assert REFERENCE_C == 27.0


def test_the_third_dose_is_met():
    """Published: the same text, 1.67 % at 27 °C: nothing in 2 h, then 26 and 9 %, in all 1.37 times. Ours 1.39 (1 %
    more), of which 20 % come in the third and fourth hour and 16 % in the last two: the sum is met, its course less.
    """
    found = growth_ratios([7200.0, 14_400.0, 21_600.0], 1.67, GROWTH)
    assert found[0] == 1.0
    assert found[2] == pytest.approx(1.26 * 1.09, rel=0.015)
    assert found[1] == pytest.approx(1.20, abs=0.005)
    assert found[2] / found[1] == pytest.approx(1.16, abs=0.006)


def test_limits_of_growth():
    """Limit: none during the lag, never past what a dough carries, none where more was put in, never backwards."""
    times = np.linspace(0.0, 10 * 86_400.0, 500)
    doses = np.array([[0.01], [0.5], [2.0], [8.0]])
    found = growth_ratios(times, doses, GROWTH)
    assert (np.diff(found, axis=1) >= 0.0).all()
    assert found[:, 0].tolist() == [1.0] * 4
    assert (found * doses)[:3, -1] == pytest.approx([GROWTH.most_percent] * 3, rel=1e-6)
    assert (found[3] == 1.0).all()
    assert (np.diff(found * doses, axis=0) >= -1e-12).all()


# Long preferments of flour and water, half and half: fresh yeast in % of their flour, hours until ripe. Common practice
# of French baking, from memory; of it 0.1 to 0.2 % for 12 hours and more was also read on two bakers' pages.
POOLISH = ((1.5, 2.5), (0.7, 4.5), (0.3, 7.5), (0.1, 13.5))


@pytest.mark.parametrize("room_c", [21.0, 23.0, 24.0])
def test_doses_of_long_preferments(room_c):
    """Published: doses of a poolish over 2.5 to 13.5 h (common practice, from memory) are meant to be ripe alike.

    Gas made by then: with growth within a factor of 1.2 of each other, without it 1.85.
    """
    grown, still = [], []
    for dose, hours in POOLISH:
        times, temps = np.linspace(0.0, hours * 3600.0, 200), np.full(200, room_c)
        plain = Yeast(tables.cold_curve(), dose, 1e-5, 2.0, 0.85)
        growing = Yeast(tables.cold_curve(), dose, 1e-5, 2.0, 0.85, GROWTH, GROWTH_CURVE, REFERENCE_C)
        still.append(float(gas_made_mmol_per_g(times, temps, plain)[-1]))
        grown.append(float(gas_made_mmol_per_g(times, temps, growing)[-1]))
    assert max(still) / min(still) == pytest.approx(1.85, abs=0.01)
    assert max(grown) / min(grown) < 1.2


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: growth_ratios(3600.0, 0.0, GROWTH), "dose of yeast must be 0.001 to 20"),
        (lambda: growth_ratios(3600.0, 40.0, GROWTH), "found 40"),
        (lambda: growth_ratios(-1.0, 1.0, GROWTH), "time since mixing"),
        (lambda: growth_ratios(math.nan, 1.0, GROWTH), "found nan"),
        (lambda: growth_ratios(1.0, [], GROWTH), "found none"),
        (lambda: YeastGrowth(7200.0, 1.0, 3.4), "rate at which yeast multiplies"),
        (lambda: YeastGrowth(-1.0, 1e-5, 3.4), "lag before"),
    ],
)
def test_nonsense_is_refused(call, message):
    """Bad input: one sentence each, naming what was found."""
    with pytest.raises(OutOfRange, match=message):
        call()
