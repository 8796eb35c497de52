"""Another flour: more liquid in the same dough, against the baker's own reference."""

from __future__ import annotations

import pytest

from forecast.demo_bakery import formulas, kitchen, pantry
from smallhours.bakery.formula.absorb import absorbing
from smallhours.forecast.conditions import Conditions
from smallhours.forecast.ensemble import draw
from smallhours.forecast.formula_forecast import forecast_formula
from smallhours.forecast.other_flour import with_other_flour

ENSEMBLE = draw(40)


def _conditions(slug: str, points: float) -> Conditions:
    own = formulas()[slug]
    changed = absorbing(own, pantry(), points)
    return with_other_flour(Conditions(kitchen()), own, changed, pantry())


def test_the_same_flour_changes_nothing() -> None:
    """Limit: without a point more the forecast is the formula's own, to the second."""
    own = formulas()["milk-loaf"]
    plain = forecast_formula(own, pantry(), Conditions(kitchen()), ENSEMBLE)
    same = forecast_formula(own, pantry(), _conditions("milk-loaf", 0.0), ENSEMBLE)
    assert same.ready.median == pytest.approx(plain.ready.median, abs=1.0)
    assert same.to_oven.median == pytest.approx(plain.to_oven.median, abs=1.0)


def test_yeast_in_proportion_to_the_dough_and_salt_in_proportion_to_the_water() -> None:
    """Hand: the milk loaf is 100 flour, 68 milk (88.13 % water, USDA SR28 row 01077), 4 honey, 1.9 salt, 1.2 yeast and
    7 butter: 182.1. Four points of water are 4.539 of milk: 186.639. Its yeast counts for 1.2 x 182.1 / 186.639 =
    1.1708. Water: 0.8813 x 68 = 59.93 from the milk, by the same rows 0.68 from the honey (17.1 %) and 1.2 from the
    butter: 61.9, then 65.9; so its salt is as strong as 1.9 x 61.9 / 65.9 = 1.785 % is in its own water.
    """
    found = _conditions("milk-loaf", 4.0)
    assert found.yeast_percent == pytest.approx(1.1708, abs=0.0005)
    assert found.salt_percent == pytest.approx(1.785, abs=0.002)
    assert found.sugar_percent == pytest.approx(4 * 61.9 / 65.9, abs=0.005)


def test_what_no_yeast_raises_keeps_its_dose() -> None:
    """Behaviour: a culture is fed, not dosed, but its salt is thinner; what powder raises is left alone."""
    sour = _conditions("mooring-loaf", 2.0)
    assert sour.yeast_percent is None
    assert 0.0 < sour.salt_percent < 2.0
    assert _conditions("muffin", 2.0) == Conditions(kitchen())


def test_a_wetter_dough_is_raised_a_little_otherwise() -> None:
    """Behaviour: a few points move a plain dough's way to the oven by minutes, not by hours (common practice)."""
    own = formulas()["milk-loaf"]
    plain = forecast_formula(own, pantry(), Conditions(kitchen()), ENSEMBLE)
    wetter = forecast_formula(own, pantry(), _conditions("milk-loaf", 4.0), ENSEMBLE)
    assert 10.0 < abs(wetter.to_oven.median - plain.to_oven.median) < 1800.0
