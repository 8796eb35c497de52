"""Surface heat transfer against published correlations reckoned with a property library, and handbook air."""

from __future__ import annotations

import math

import numpy as np
import pytest

from smallhours.errors import BadInput, OutOfRange
from smallhours.reference.defaults import heat_transfer_w_per_m2_k
from smallhours.science.heat_transfer import (
    moving_air_w_per_m2_k,
    radiation_w_per_m2_k,
    still_air_w_per_m2_k,
    through_layers_w_per_m2_k,
)

# body, length mm; still: dough 20 and 8 °C in 4 °C, loaf 35 and 80 in 22, dough 24 in 35 °C;
# moving: 0.5, 1, 2, 3, 5 m/s at 4 °C
BODIES = {
    ("sphere", 80.0): ([5.1, 3.8, 4.9, 6.7, 4.7], [9.7, 14.1, 20.6, 25.8, 34.3]),
    ("cylinder", 100.0): ([4.4, 3.0, 4.0, 6.0, 3.8], [7.7, 11.1, 16.4, 20.6, 27.9]),
    ("plate", 300.0): ([4.7, 3.0, 4.2, 6.6, 4.0], [5.1, 7.2, 10.2, 12.5, 16.1]),
}


@pytest.mark.parametrize("body", BODIES)
def test_bodies_in_air(body):
    """Published: Churchill, Churchill & Chu, McAdams; Whitaker, Churchill & Bernstein, Pohlhausen with air by a
    reference property library, one decimal: 2 % and half a digit (ours: air by Sutherland, Prandtl number 0.71)."""
    still, moving = BODIES[body]
    found = still_air_w_per_m2_k(*body, [20.0, 8.0, 35.0, 80.0, 24.0], [4.0, 4.0, 22.0, 22.0, 35.0])
    assert found == pytest.approx(still, rel=0.02, abs=0.06)
    found = moving_air_w_per_m2_k(*body, [0.5, 1.0, 2.0, 3.0, 5.0], 20.0, 4.0)
    assert found == pytest.approx(moving, rel=0.02, abs=0.06)


def test_still_air_below():
    """Published: under a warm plate of 30 cm, 20 and 8 °C over 4 °C, air stands: 1.5 and 1.2 W/(m² K)."""
    assert still_air_w_per_m2_k("underside", 300.0, [20.0, 8.0], 4.0) == pytest.approx([1.5, 1.2], abs=0.06)


def test_radiation():
    """Published: emissivity 0.9: 20 and 8 °C to walls of 4 °C 4.7 and 4.4, 35 and 80 °C to 22 °C 5.6 and 7.0."""
    found = radiation_w_per_m2_k([20.0, 8.0, 35.0, 80.0], [4.0, 4.0, 22.0, 22.0])
    assert found == pytest.approx([4.7, 4.4, 5.6, 7.0], abs=0.06)
    exact = 0.9 * 5.670374419e-8 * (293.15**4 - 277.15**4) / 16.0
    assert float(radiation_w_per_m2_k(20.0, 4.0)) == pytest.approx(exact, rel=1e-12)
    assert float(radiation_w_per_m2_k(20.0, 4.0, seen_fraction=0.0)) == 0.0


def test_air_of_a_handbook():
    """Published: air at 300 K and 1 atm, Incropera table A.4: 0.0263 W/(m K), 15.89e-6 m²/s, Prandtl number 0.707: with
    them a plate of 0.3 m in 1 m/s has 0.664 Re^0.5 Pr^(1/3) k / L; 2 %."""
    expected = 0.664 * math.sqrt(0.3 / 15.89e-6) * 0.707 ** (1 / 3) * 0.0263 / 0.3
    assert float(moving_air_w_per_m2_k("plate", 300.0, 1.0, 26.85, 26.85)) == pytest.approx(expected, rel=0.02)


@pytest.mark.parametrize(("key", "speed"), [("fridge-still", 0.0), ("fridge-fan", 1.0), ("blast-chiller", 4.0)])
def test_the_table_of_places(key, speed):
    """Published: for a ball of 80 mm correlation and radiation together fall into the range that the table gives."""
    air = still_air_w_per_m2_k("sphere", 80.0, 16.0, 4.0) if speed == 0.0 else None
    air = moving_air_w_per_m2_k("sphere", 80.0, speed, 16.0, 4.0) if air is None else air
    total = float(air + radiation_w_per_m2_k(16.0, 4.0, seen_fraction=0.8))
    place = heat_transfer_w_per_m2_k(key)
    assert place.low <= total <= place.high


def test_layers():
    """Hand: 9 W/(m² K) through 20 mm of wood (0.15): 1 / (1/9 + 0.02/0.15) = 4.09; 1 mm of steel (16): 9.0."""
    assert float(through_layers_w_per_m2_k(9.0, [20.0], [0.15])) == pytest.approx(1 / (1 / 9 + 0.02 / 0.15))
    assert float(through_layers_w_per_m2_k(9.0, [1.0], [16.0])) == pytest.approx(9.0, rel=1e-3)
    both = through_layers_w_per_m2_k([4.0, 9.0, 0.0], [20.0, 1.0], [0.15, 16.0])
    resistance = 0.02 / 0.15 + 0.001 / 16
    assert both == pytest.approx([1 / (1 / 4 + resistance), 1 / (1 / 9 + resistance), 0.0])


def test_faster_and_warmer_pass_more():
    """Property: more wind and a larger difference pass more heat, a larger body less for each square metre."""
    for body in ("sphere", "cylinder", "plate", "underside"):
        speeds = moving_air_w_per_m2_k(body, 100.0, np.linspace(0.2, 8.0, 20), 20.0, 4.0)
        assert (np.diff(speeds) > 0.0).all()
        steps = still_air_w_per_m2_k(body, 50.0, np.linspace(5.0, 30.0, 20), 4.0)
        assert (np.diff(steps) > 0.0).all()
        sizes = moving_air_w_per_m2_k(body, np.linspace(20.0, 200.0, 20), 1.0, 20.0, 4.0)
        assert (np.diff(sizes) < 0.0).all()


def test_nonsense_is_refused():
    """Bad input: NaN, negative sizes and speeds, other bodies, layers without conductivity."""
    with pytest.raises(OutOfRange, match="surface"):
        still_air_w_per_m2_k("sphere", 80.0, math.nan, 4.0)
    with pytest.raises(OutOfRange, match="length"):
        still_air_w_per_m2_k("sphere", 0.0, 20.0, 4.0)
    with pytest.raises(OutOfRange, match="air speed"):
        moving_air_w_per_m2_k("sphere", 80.0, -1.0, 20.0, 4.0)
    with pytest.raises(BadInput, match="a body must be"):
        still_air_w_per_m2_k("cube", 80.0, 20.0, 4.0)
    with pytest.raises(BadInput, match="its conductivity"):
        through_layers_w_per_m2_k(9.0, [1.0, 2.0], [0.15])
