"""Pans: what they hold and how many pieces fit."""

from __future__ import annotations

import math

import pytest

from smallhours.errors import OutOfRange
from smallhours.science.pans import (
    arranged,
    box_volume_ml,
    round_pan_count,
    round_volume_ml,
    tapered_volume_ml,
    tin_dough_g,
)
from smallhours.science.units import G_PER_OZ, ML_PER_IN3, MM_PER_IN


def inches(*sizes):
    return [size * MM_PER_IN for size in sizes]


@pytest.mark.parametrize(
    ("sizes", "mass_g", "factor"),
    [((11, 5, 3.5), 27 * G_PER_OZ, 4.12), ((9.875, 4.25, 2.75), 21.5 * G_PER_OZ, 3.10), ((8, 3.5, 3), 450.0, 3.06)],
)
def test_tin_factors(sizes, mass_g, factor):
    """Published: army bread card (27 oz and 21.5 oz tins) and a whole-grain page (450 g): 4.12, 3.10, 3.06 ml/g."""
    volume = box_volume_ml(*inches(*sizes))
    assert volume / mass_g == pytest.approx(factor, abs=0.006)
    assert tin_dough_g(volume, volume / mass_g) == pytest.approx(mass_g)


def test_next_larger_tin():
    """Published: at 5.36 g per cubic inch a tin of 144 in³ takes 771 g (whole-grain page)."""
    assert tin_dough_g(144 * ML_PER_IN3, ML_PER_IN3 / (450 / 84)) == pytest.approx(771, abs=0.6)


def test_volumes_by_hand():
    """Hand: ends 30,000 + 25,200 mm², middle 290 x 95; x 90 / 6 = 2481 ml. A cylinder of 200 x 50 mm: 1570.8 ml."""
    assert tapered_volume_ml(300.0, 100.0, 280.0, 90.0, 90.0) == pytest.approx(2481.0)
    assert round_volume_ml(200.0, 200.0, 50.0) == pytest.approx(1570.796, abs=1e-3)
    assert round_volume_ml(200.0, 1e-9, 50.0) == pytest.approx(1570.796 / 3, abs=1e-3)


@pytest.mark.parametrize(
    ("length", "width", "piece", "square", "staggered"),
    [
        (600, 400, 80, 35, 36),
        (600, 400, 90, 24, 25),
        (600, 400, 100, 24, 22),
        (600, 400, 120, 15, 14),
        (600, 400, 60, 60, 67),
        (530, 325, 85, 18, 22),
    ],
)
def test_trays(length, width, piece, square, staggered):
    """Published: square and staggered rows on two standard trays, counted apart from this code; the larger wins."""
    found = arranged(length, width, piece)
    assert found.count == max(square, staggered)
    assert found.pattern == ("square" if square >= staggered else "staggered")
    assert arranged(width, length, piece).count == found.count


@pytest.mark.parametrize(("side", "best"), [(1, 1), (2, 4), (3, 9)])
def test_small_squares(side, best):
    """Limit: a square tray of whole diameters holds the square number."""
    assert arranged(side * 50.0, side * 50.0, 50.0).count == best


def test_gaps():
    """Hand: 5 pieces of 80 mm with 4 gaps of 30 mm take 520 mm, 3 with 2 gaps 300 mm: 15 on 520 x 300 mm."""
    assert arranged(520.0, 300.0, 80.0, gap_mm=30.0).rows == (5, 5, 5)
    assert arranged(519.0, 300.0, 80.0, gap_mm=30.0).count < 15


@pytest.mark.parametrize(
    ("pan", "piece", "count"), [(240, 80, 7), (260, 70, 9), (300, 75, 11), (230, 60, 10), (100, 100, 1)]
)
def test_round_pans(pan, piece, count):
    """Published: densest packings of circles in a circle (OEIS A281115 and tables): ratio 3 holds 7, and so on."""
    assert round_pan_count(pan, piece) == count


@pytest.mark.parametrize(
    ("count", "ratio"),
    [
        (3, 1 + 2 / math.sqrt(3)),
        (4, 1 + math.sqrt(2)),
        (5, 1 + math.sqrt(2 * (1 + 1 / math.sqrt(5)))),
        (8, 1 + 1 / math.sin(math.pi / 7)),
        (9, 1 + math.sqrt(2 * (2 + math.sqrt(2)))),
        (11, 1 + 1 / math.sin(math.pi / 9)),
        (13, 2 + math.sqrt(5)),
        (19, 1 + math.sqrt(2) + math.sqrt(6)),
    ],
)
def test_round_pans_at_the_limit(count, ratio):
    """Limit: closed forms of the smallest pan: just large enough holds them, a hair smaller does not."""
    assert round_pan_count(50.0 * (ratio + 1e-5), 50.0) == count
    assert round_pan_count(50.0 * (ratio - 1e-5), 50.0) < count


def test_what_does_not_fit():
    """Bad input: a piece larger than the tray, a pan too wide for the table, NaN."""
    with pytest.raises(OutOfRange, match="does not fit"):
        arranged(300.0, 50.0, 80.0)
    with pytest.raises(OutOfRange):
        round_pan_count(600.0, 60.0)
    with pytest.raises(OutOfRange):
        round_pan_count(50.0, 60.0)
    with pytest.raises(OutOfRange):
        box_volume_ml(math.nan, 10.0, 10.0)
