"""Heat, load, losses and yield against worked values and the trade's figures."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest

from science.conftest import DATA
from smallhours.errors import BadInput, OutOfRange
from smallhours.reference.bake_defaults import into_dough_fraction, mass_loss_percent
from smallhours.reference.defaults import bake_loss_percent
from smallhours.science.altitude import boiling_c
from smallhours.science.bake_loss import (
    LATENT_AT_BOILING_J_PER_G,
    bake_heat_j_per_g,
    kept_fraction,
    needed_g,
    scaled_loss_fraction,
    shortest_load_s,
)
from smallhours.science.moist_air import evaporation_heat_j_per_g


def test_heat_for_a_kilogram():
    """Hand: 2.8 x 68 + 0.10 x 2257 = 190.4 + 225.7 = 416.1 kJ/kg = 0.116 kWh/kg; one percent of water 22.6 kJ/kg."""
    heat = float(bake_heat_j_per_g(2.8, 25.0, 93.0, 0.10))
    assert heat == pytest.approx(416.1, abs=0.05)
    assert heat / 3600 == pytest.approx(0.116, abs=5e-4)
    assert float(bake_heat_j_per_g(2.8, 25.0, 93.0, 0.11)) - heat == pytest.approx(22.6, abs=0.05)


def test_heat_of_evaporation():
    """Published: IAPWS 2256.4 J/g at 99.97 °C; our constant and the other module's line agree within 0.4 %."""
    assert pytest.approx(2256.4, abs=1.0) == LATENT_AT_BOILING_J_PER_G
    assert float(evaporation_heat_j_per_g(boiling_c(101_325.0))) == pytest.approx(LATENT_AT_BOILING_J_PER_G, rel=4e-3)


def test_a_full_oven():
    """Hand: 20 kg x 416 kJ/kg = 8320 kJ; 12 kW of which half ends in the dough: 1387 s."""
    assert float(shortest_load_s(20_000.0, 416.0, 12_000.0, 0.5)) == pytest.approx(8_320_000 / 6000)
    share = into_dough_fraction("deck")
    slow, fast = (float(shortest_load_s(20_000.0, 416.0, 12_000.0, s)) for s in (share.low, share.high))
    assert slow > fast


def test_the_published_loss_over_time():
    """Published: Zhang et al. (2005): water lost by minute 13.27 is 1.98 times that by 9.08; exponent 1.8 meets it
    within 3 %, a steady loss from the start is 26 % short: the surface has to get hot first."""
    said = json.loads((DATA / "published_bakes.json").read_text(encoding="utf-8"))["small-round"]
    water = said["water_per_dry_ratio"]
    lost = [(water[0] - w) / (1 + water[0]) for w in water]
    early, late = lost[4], lost[6]
    ratio = said["water_minutes"][6] / said["water_minutes"][4]
    assert float(scaled_loss_fraction(early, ratio, 1.0, 1.8)) == pytest.approx(late, rel=0.03)
    assert float(scaled_loss_fraction(early, ratio, 1.0, 1.0)) == pytest.approx(late * 0.74, rel=0.03)


def test_loss_of_a_longer_bake():
    """Limit: the logged bake loses what it lost; twice the surface twice as much; exponent zero: time is nothing."""
    assert float(scaled_loss_fraction(0.12, 1.0)) == pytest.approx(0.12)
    assert float(scaled_loss_fraction(0.12, 1.0, 2.0)) == pytest.approx(0.24)
    assert float(scaled_loss_fraction(0.12, 1.5, 1.0, 0.0)) == pytest.approx(0.12)


def test_loss_by_size_against_the_trade():
    """Published: trade table: hearth loaves of 500 g lose 14 to 18 %, of 1 kg 12 to 15 %. At equal shape and core, with
    the exponent of a front, mass makes no difference: 2.5 points off, more than the 2 stated for the same size."""
    small, large = bake_loss_percent("hearth-loaf").usual, bake_loss_percent("hearth-loaf-large").usual
    found = 100 * float(scaled_loss_fraction(small / 100, 2 ** (2 / 3), 2 ** (-1 / 3), 0.5))
    assert found == pytest.approx(small)
    assert found - large == pytest.approx(2.5, abs=0.01)


def test_the_chain_of_losses():
    """Hand: 0.99 x 0.99 x 0.88 = 0.8625 of what was weighed is sold."""
    assert float(kept_fraction(0.01, 0.01, 0.12)) == pytest.approx(0.862488)
    assert float(needed_g(862.488, 0.01, 0.01, 0.12)) == pytest.approx(1000.0)


def test_the_chain_against_the_worked_example():
    """Hand: 30 buns of 90 g, one percent lost twice: 2754.8 g, as the page on losses works it out."""
    assert float(needed_g(30 * 90.0, 0.01, 0.01)) == pytest.approx(2754.8, abs=0.05)


def test_bake_out_is_baking_and_cooling():
    """Published: a trade dictionary's 9.8 to 11.5 % for baking and cooling; less 1 to 3 % in cooling that leaves 7 to
    10.6 % for the oven, which meets the table's 9 to 11 % for tin loaves."""
    whole, cooling = mass_loss_percent("bake-out"), mass_loss_percent("cooling")
    least = 1 - (1 - whole.low / 100) / (1 - cooling.high / 100)
    most = 1 - (1 - whole.high / 100) / (1 - cooling.low / 100)
    tin = bake_loss_percent("tin-loaf")
    assert 100 * least < tin.low < 100 * most < tin.high
    assert float(kept_fraction(most, cooling.low / 100)) == pytest.approx(1 - whole.high / 100)


def test_arrays_of_draws():
    """Behaviour: draws go through together."""
    lost = np.asarray([0.08, 0.10, 0.12])
    assert bake_heat_j_per_g(2.8, 25.0, 93.0, lost).shape == (3,)
    assert needed_g(100.0, lost) == pytest.approx(100.0 / (1 - lost))


@pytest.mark.parametrize(
    ("make", "error", "says"),
    [
        (lambda: bake_heat_j_per_g(0.0, 25.0, 93.0, 0.1), OutOfRange, "specific heat"),
        (lambda: bake_heat_j_per_g(2.8, 25.0, 20.0, 0.1), OutOfRange, "core less the start"),
        (lambda: bake_heat_j_per_g(2.8, 25.0, 93.0, math.nan), OutOfRange, "water lost"),
        (lambda: shortest_load_s(0.0, 416.0, 1e4, 0.5), OutOfRange, "dough in the oven"),
        (lambda: shortest_load_s(1.0, 416.0, 1e4, 1.5), OutOfRange, "share of heat"),
        (lambda: scaled_loss_fraction(0.12, 9.0), OutOfRange, "ratio of times"),
        (lambda: scaled_loss_fraction(0.5, 2.0), OutOfRange, "the loss"),
        (lambda: kept_fraction(), BadInput, "at least one loss"),
        (lambda: needed_g(0.0, 0.1), OutOfRange, "mass to sell"),
        (lambda: needed_g(100.0, 1.0), OutOfRange, "a loss"),
    ],
)
def test_what_cannot_be_lost(make, error, says):
    """Bad input: one sentence each."""
    with pytest.raises(error, match=says):
        make()
