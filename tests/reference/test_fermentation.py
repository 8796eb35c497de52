"""Parameters of fermentation, typed: what the tables hold is what the relations take."""

from __future__ import annotations

import pytest

from smallhours.errors import NotFound
from smallhours.reference import fermentation as tables
from smallhours.reference.defaults import dough_class


def test_every_row_can_be_had():
    """Behaviour: each row of each table makes what it is for; a name that is not there is said."""
    for key in ("sucrose", "hexose", "lactose", "maltose"):
        assert tables.solute(key).norrish_factor > 2.0
    for kind in ("ordinary", "osmotolerant"):
        assert tables.yeast_strength(kind).gas_ml_per_g_h.median > 50.0
    for key in ("sourdough-dough", "sourdough-starter"):
        assert tables.culture(key).doubling_s == tables.culture_doubling_h(key).median * 3600.0
    with pytest.raises(NotFound):
        tables.solute("mannitol")
    with pytest.raises(NotFound, match="yeast and bacteria"):
        tables.culture_growth("mould")


def test_each_class_of_dough_holds_gas():
    """Behaviour: every class that a formula can fall into has its figures, richer ones hold less."""
    held = [tables.holding(dough_class(fat_and_sugar)).most_ml_per_g for fat_and_sugar in (0.0, 17.5, 40.0, 80.0)]
    assert held == sorted(held, reverse=True)
    assert tables.holding("rye").most_ml_per_g < min(held)


def test_tolerant_yeast_stands_more():
    """Behaviour: the tolerant yeast's scale is larger; in lean dough it makes no more gas."""
    plain, tolerant = tables.yeast_strength("ordinary"), tables.yeast_strength("osmotolerant")
    assert tolerant.osmotic_scale_kpa.median > plain.osmotic_scale_kpa.median
    assert tolerant.gas_ml_per_g_h.median <= plain.gas_ml_per_g_h.median


def test_growth_as_read():
    """Published: Gänzle's summary: yeast 28 °C fastest, 32 and 20 half, 34 and 14 a quarter, 35 and 8 none; bacteria
    32-33, 37 and 20, 39 and 15, 41 and 4 °C.
    """
    yeast, bacteria = tables.culture_growth("yeast"), tables.culture_growth("bacteria")
    assert dict(zip(yeast.temps_c, yeast.rates_fraction, strict=True)) == {
        8: 0, 14: 0.25, 20: 0.5, 28: 1, 32: 0.5, 34: 0.25, 35: 0,
    }  # fmt: skip
    assert dict(zip(bacteria.temps_c, bacteria.rates_fraction, strict=True)) == {
        4: 0, 15: 0.25, 20: 0.5, 32.5: 1, 37: 0.5, 39: 0.25, 41: 0,
    }  # fmt: skip
