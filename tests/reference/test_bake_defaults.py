"""Where a bakery starts from at the oven and the rack: the tables, typed."""

from __future__ import annotations

import math

import pytest

from smallhours.errors import NotFound
from smallhours.reference import bake_defaults as defaults
from smallhours.reference.table import table


def test_every_kind_that_has_a_core_has_a_diffusivity():
    """Behaviour: the tables on baking name the same kinds of product."""
    assert {r["key"] for r in table("bake_diffusivity").rows} == {r["key"] for r in table("baking").rows}


def test_limits_hold_four_times_in_five():
    """Hand: a spread of 0.4 in the logarithm, 1.2816 of it either way, is a factor of 1.67; two printed digits, 5 %."""
    for row in table("bake_diffusivity").rows:
        found = defaults.bake_diffusivity_m2_per_s(str(row["key"]))
        assert found.high / found.usual == pytest.approx(math.exp(1.2816 * 0.4), rel=0.05)
        assert found.usual / found.low == pytest.approx(math.exp(1.2816 * 0.4), rel=0.05)


def test_crumb_at_boiling():
    """Published: Zanoni et al. (1995), abstract: crumb at 100 °C has exp(0.01 gas % - 15.25) m²/s: 0.50 mm²/s with 75 %
    gas, 0.24 without. Every usual figure lies within a factor of 1.7 of the first, rye between the two."""
    full, empty = math.exp(0.75 - 15.25), math.exp(-15.25)
    for row in table("bake_diffusivity").rows:
        assert full / 1.7 < defaults.bake_diffusivity_m2_per_s(str(row["key"])).usual < full * 1.7
    assert empty < defaults.bake_diffusivity_m2_per_s("rye-loaf").usual < full


def test_losses_and_cooling():
    """Published: a trade dictionary: fermentation 0.5 to 4, normally 1 %; bake-out 9.8 to 11.5 %. Trade pages:
    sliced at 30 to 40 °C, packed at 32 to 43 °C."""
    fermentation, out = defaults.mass_loss_percent("fermentation"), defaults.mass_loss_percent("bake-out")
    assert (fermentation.low, fermentation.usual, fermentation.high) == (0.5, 1.0, 4.0)
    assert (out.low, out.high) == (9.8, 11.5)
    cut, pack = defaults.cooled_core_c("cut"), defaults.cooled_core_c("pack")
    assert (cut.low, cut.high, pack.low, pack.high) == (30.0, 40.0, 32.0, 43.0)


def test_toppings():
    """Limit: each is stiff below where it runs off; chocolate runs off where cocoa butter melts, 32 °C (memory)."""
    for row in table("toppings").rows:
        found = defaults.topping(str(row["key"]))
        assert found.stiff_below_c < found.runs_off_above_c
    assert 30.0 <= defaults.topping("chocolate").runs_off_above_c <= 36.0


def test_ovens():
    """Published: rule of thumb for fan ovens, 25 °F lower; they use 2 to 4 times what the dough takes (memory)."""
    assert defaults.oven_set_lower_k("convection") == pytest.approx(25 / 1.8, abs=0.2)
    assert defaults.oven_set_lower_k("deck") == 0.0
    share = defaults.into_dough_fraction("deck")
    assert share.low == pytest.approx(1 / 4)
    assert share.usual <= 1 / 2


def test_the_model_dough():
    """Hand: 100 flour with 13 % water and 62 water are 75 in 164 with salt and yeast, 46 %; the usual has no more."""
    dough, water = defaults.baking_dough(), defaults.baking_dough_figure("water")
    assert dough.water_fraction == water.usual
    assert water.high == pytest.approx(75 / 164, abs=0.01)


@pytest.mark.parametrize(
    "ask",
    [
        lambda: defaults.bake_diffusivity_m2_per_s("brick"),
        lambda: defaults.topping("varnish"),
        lambda: defaults.cooled_core_c("frozen"),
        lambda: defaults.mass_loss_percent("slicing"),
        lambda: defaults.browning("brick"),
        lambda: defaults.oven_set_lower_k("kiln"),
    ],
)
def test_no_such_row(ask):
    """Bad input: the message says what there is."""
    with pytest.raises(NotFound, match="has no row"):
        ask()
