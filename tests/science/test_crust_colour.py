"""How a crust browns, against the published kinetics."""

from __future__ import annotations

import math

import numpy as np
import pytest

from smallhours.errors import OutOfRange
from smallhours.reference.bake_defaults import browning
from smallhours.science.crust_colour import browned_fraction, browning_rate_per_s, same_colour_time_ratio

CRUST = browning()
PAIR = (CRUST.factor_per_s, CRUST.activation_j_per_mol)


def test_the_published_parameters():
    """Published: Zanoni, Peri & Bruno (1995), abstract: k0 42 000 1/s, Ea 64 151 J/mol, darkest Delta E 52."""
    assert (*PAIR, CRUST.darkest_delta_e) == (42_000.0, 64_151.0, 52.0)


@pytest.mark.parametrize(
    ("temp", "half_s"), [(140, 2131), (150, 1370), (165, 734), (185, 340), (200, 200), (210, 142), (235, 65), (250, 42)]
)
def test_half_way_to_burnt(temp, half_s):
    """Hand: ln 2 / (42 000 exp(-64 151/(8.314 T))) at the temperatures that were measured; whole seconds, 1 %."""
    assert math.log(2) / float(browning_rate_per_s(temp, *PAIR)) == pytest.approx(half_s, rel=0.012)


def test_ten_kelvin_hotter():
    """Hand: exp(64 151/8.314 x (1/483.15 - 1/473.15)) = 0.71: 29 % less time at 200 °C."""
    assert float(same_colour_time_ratio(200.0, 210.0, CRUST.activation_j_per_mol)) == pytest.approx(0.714, abs=0.001)
    both = same_colour_time_ratio([200.0, 210.0], [210.0, 200.0], CRUST.activation_j_per_mol)
    assert both[0] * both[1] == pytest.approx(1.0)


def test_a_steady_crust():
    """Limit: at one temperature 1 - exp(-k t): half after its half time, three quarters after two."""
    half = math.log(2) / float(browning_rate_per_s(185.0, *PAIR))
    found = browned_fraction(np.full(3, 185.0), [0.0, half, 2 * half], *PAIR)
    assert found == pytest.approx([0.0, 0.5, 0.75])


def test_dough_does_not_brown():
    """Limit: at 100 °C the rate is 1/40 000 s; below it stays pale, and paths of many draws go through together."""
    pale = browned_fraction([[20.0, 60.0, 99.0], [20.0, 180.0, 200.0]], [0.0, 600.0, 1200.0], *PAIR)
    assert pale[0] == pytest.approx([0.0, 0.0, 0.0])
    assert pale[1, 2] > 0.5


def test_order_does_not_matter():
    """Property: a first-order change depends on how long it was how hot, not on what came first."""
    rising = browned_fraction([160.0, 180.0, 200.0], [0.0, 300.0, 600.0], *PAIR)[-1]
    assert browned_fraction([200.0, 180.0, 160.0], [0.0, 300.0, 600.0], *PAIR)[-1] == pytest.approx(rising)


@pytest.mark.parametrize(
    ("temps", "times", "says"),
    [
        ([180.0, math.nan], [0.0, 60.0], "temperature of the crust"),
        ([180.0, 400.0], [0.0, 60.0], "temperature of the crust"),
        ([180.0, 180.0], [60.0, 0.0], "step from one time"),
    ],
)
def test_no_such_crust(temps, times, says):
    """Bad input: one sentence each."""
    with pytest.raises(OutOfRange, match=says):
        browned_fraction(temps, times, *PAIR)
