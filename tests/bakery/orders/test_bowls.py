"""Doughs are split over bowls: the fewest equal batches, stiff and wet doughs by their own limits."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smallhours.bakery.kitchen.document import Mixer
from smallhours.bakery.orders.bowls import BowlRange, bowl_ranges, share, split, takers
from smallhours.errors import BadInput, OutOfRange

SPIRAL = Mixer(id="spiral", name="Spiral", min_dough_g=4000, max_dough_g=30000, max_stiff_g=24000, max_wet_g=26000)
PLANETARY = Mixer(id="planetary", name="Planetary", kind="planetary", min_dough_g=1000, max_dough_g=8000)


@pytest.mark.parametrize(
    ("mass_g", "maximum_g", "number"),
    [(30000, 30000, 1), (30001, 30000, 2), (70000, 30000, 3), (90000, 30000, 3), (1, 30000, 1)],
)
def test_fewest_equal_batches(mass_g: float, maximum_g: float, number: int) -> None:
    """Hand: the trade's split rule (common practice) n = ceil(dough / max), e.g. 70 kg / 30 kg = 2.33 -> 3."""
    parts = split(mass_g, 0, maximum_g)
    assert len(parts) == number
    assert parts == pytest.approx([mass_g / number] * number)


@given(st.floats(1, 1e6), st.floats(0, 1), st.floats(5e3, 1e5))
def test_split_keeps_mass_and_limits(mass_g: float, share_of_max: float, maximum_g: float) -> None:
    """Limit: the parts add up, none is over the maximum, and one batch fewer would be."""
    minimum_g = share_of_max * maximum_g
    parts = split(mass_g, minimum_g, maximum_g)
    assert math.fsum(parts) == pytest.approx(mass_g)
    assert max(parts) <= maximum_g + 1e-5
    assert len(parts) == 1 or mass_g / (len(parts) - 1) > maximum_g
    reachable = any(n * minimum_g <= mass_g <= n * maximum_g for n in range(1, len(parts) + 3))
    assert (min(parts) >= minimum_g - 1e-5) == reachable or mass_g == pytest.approx(len(parts) * minimum_g)


def test_nothing_to_split() -> None:
    """Limit: no dough, no batch."""
    assert split(0, 1000, 8000) == ()


@pytest.mark.parametrize("mass_g", [-1, math.nan, math.inf])
def test_mass_must_be_a_mass(mass_g: float) -> None:
    """Bad input: a dough has a mass."""
    with pytest.raises(BadInput, match="cannot be split"):
        split(mass_g, 0, 1000)


def test_limits_in_order() -> None:
    """Bad input: a bowl whose minimum is above its maximum."""
    with pytest.raises(BadInput, match="0 <= minimum <= maximum"):
        split(1000, 2000, 1000)


def test_no_night_has_so_many_bowls() -> None:
    """Bad input: 80 t of dough for 30 kg bowls."""
    with pytest.raises(OutOfRange, match="2667 bowls of 30 kg"):
        split(80_000_000, 4000, 30000)


@pytest.mark.parametrize(("firm", "most_g"), [("stiff", 24000), ("medium", 30000), ("wet", 26000)])
def test_stiff_and_wet_doughs_have_their_own_limits(firm: str, most_g: float) -> None:
    """Hand: the mixer's own figures; the planetary gives one figure for all."""
    large, small = bowl_ranges((PLANETARY, SPIRAL), firm)  # type: ignore[arg-type]
    assert (large.mixer, large.max_g, small.max_g) == ("spiral", most_g, 8000)


@pytest.mark.parametrize(
    ("mass_g", "expected"),
    [
        (3000, [3000]),  # under the spiral's minimum, but the planetary takes it
        (62000, [62000 / 3] * 3),
        (500, [500]),  # under every minimum: left whole, to be reported
    ],
)
def test_share_prefers_equal(mass_g: float, expected: list[float]) -> None:
    """Hand: spiral 4-30 kg, planetary 1-8 kg."""
    assert share(mass_g, bowl_ranges((SPIRAL, PLANETARY), "medium")) == pytest.approx(expected)


def test_share_uses_the_small_bowl_when_equal_batches_fit_nowhere() -> None:
    """Hand: 35 kg with 20-30 kg and 1-8 kg: two of 17.5 fit neither bowl; 30 + 5 does."""
    ranges = (BowlRange("big", "Big", 20000, 30000), BowlRange("small", "Small", 1000, 8000))
    assert share(35000, ranges) == (30000, 5000)
    assert takers(30000, ranges) == ("big",)
    assert takers(5000, ranges) == ("small",)


@given(st.floats(100, 3e5))
def test_share_keeps_mass(mass_g: float) -> None:
    """Limit: whatever the bowls, the batches add up, and each that some bowl can take is in its range."""
    ranges = bowl_ranges((SPIRAL, PLANETARY), "medium")
    parts = share(mass_g, ranges)
    assert math.fsum(parts) == pytest.approx(mass_g)
    assert mass_g < 1000 or all(takers(part, ranges) for part in parts)
