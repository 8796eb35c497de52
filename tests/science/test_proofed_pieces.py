"""Pieces after proof, on trays and in pans."""

from __future__ import annotations

import math

import pytest

from smallhours.errors import NotFound, OutOfRange
from smallhours.reference.defaults import pan_size_mm
from smallhours.science.pans import arranged, tin_dough_g
from smallhours.science.proofed_pieces import (
    PieceSize,
    pan_dough_g,
    pitch_for_touching_mm,
    risen_log_diameter_mm,
    risen_size,
    slice_mass_g,
    spread_ratio,
    touching_fraction,
    tray_fit,
)
from smallhours.science.shapes import linear_growth_ratio, rolled_diameter_mm, rolled_turns_count, sheet_mass_g


def test_filled_spiral():
    """Hand: a sheet of 600 x 400 x 5 mm at 1.15 g/cm³ weighs 1380 g; with 480 g of filling (2 mm at 1.0) rolled along
    400 mm it is 59.7 mm thick in 4.3 turns, and each of 20 slices of 30 mm weighs 93 g."""
    dough = sheet_mass_g(1.15, 600.0, 400.0, 5.0)
    assert dough == pytest.approx(1380.0)
    assert rolled_diameter_mm(400.0, 5.0, 2.0) == pytest.approx(59.7, abs=0.05)
    assert rolled_turns_count(400.0, 5.0, 2.0) == pytest.approx(4.27, abs=0.01)
    assert slice_mass_g(dough, 480.0, 600.0, 30.0) == pytest.approx(93.0)


@pytest.mark.parametrize("growth", [1.5, 2.0, 2.5, 3.0])
def test_growing_alike(growth):
    """Limit: without spread both sides grow by the cube root; 60 g at 1.15 g/cm³, 46.4 mm, is 62.9 mm at 2.5 times."""
    found = risen_size(46.4, 46.4, growth)
    assert found.diameter_mm == pytest.approx(46.4 * linear_growth_ratio(growth))
    assert found.height_mm == pytest.approx(found.diameter_mm)


def test_flattening():
    """Round trip: the volume is kept, and the spread can be read off the sizes again."""
    before = PieceSize(60.0, 30.0)
    after = risen_size(before.diameter_mm, before.height_mm, 2.0, 1.4)
    assert after.diameter_mm**2 * after.height_mm == pytest.approx(2.0 * 60.0**2 * 30.0)
    assert spread_ratio(before, after) == pytest.approx(1.4)
    assert after.diameter_mm > risen_size(60.0, 30.0, 2.0).diameter_mm


def test_log_after_proof():
    """Hand: to 2.25 times in a tin the diameter grows by 1.5; free, by the cube root like all other sides."""
    assert risen_log_diameter_mm(60.0, 2.25) == pytest.approx(90.0)
    free = linear_growth_ratio(2.0)
    assert risen_log_diameter_mm(60.0, 2.0, free) == pytest.approx(60.0 * free)


def test_touching():
    """Limit: free at a distance of the diameter; no gap left at cos 45° (square) and cos 30° (staggered) of it."""
    assert touching_fraction(100.0, 100.0) == touching_fraction(120.0, 100.0) == 0.0
    assert touching_fraction(100.0 * math.cos(math.pi / 4), 100.0) == pytest.approx(1.0)
    assert touching_fraction(100.0 * math.cos(math.pi / 6), 100.0, neighbours=6) == pytest.approx(1.0)
    assert touching_fraction(10.0, 100.0) == 1.0


@pytest.mark.parametrize("neighbours", [4, 6])
def test_distance_for_touching(neighbours):
    """Round trip: the distance for a share of touching gives that share."""
    for share in (0.0, 0.3, 0.8, 1.0):
        pitch = pitch_for_touching_mm(85.0, share, neighbours)
        assert touching_fraction(pitch, 85.0, neighbours) == pytest.approx(share, abs=1e-7)


def test_buns_that_kiss():
    """Published: common practice: buns that shall kiss are set at about 80 % of their final diameter: more fit, and
    they touch along four fifths of the side."""
    free = tray_fit(600.0, 400.0, 60.0, 1.15, 2.5)
    kissing = tray_fit(600.0, 400.0, 60.0, 1.15, 2.5, touching_fraction=0.82)
    assert free.final.diameter_mm == pytest.approx(62.9, abs=0.1)
    assert free.arrangement.count == arranged(600.0, 400.0, free.final.diameter_mm).count
    assert kissing.pitch_mm / kissing.final.diameter_mm == pytest.approx(0.80, abs=0.005)
    assert kissing.arrangement.count > free.arrangement.count


def test_pan_and_tin_factor():
    """Published: a tin of 2360 ml takes 771 g at a factor of 3.06 ml/g (whole-grain page); that is dough of 1.15 g/cm³
    growing 3.52 times."""
    assert pan_dough_g(2360.0, 1.15, 3.06 * 1.15) == pytest.approx(tin_dough_g(2360.0, 3.06))
    assert pan_dough_g(2360.0, 1.15, 3.06 * 1.15, 0.5) == pytest.approx(tin_dough_g(2360.0, 3.06) / 2)


def test_pan_sizes():
    """Published: gastronorm parts divide the whole, 530 x 325 mm, and sheet pans halve: sums within 4 mm."""
    gn = {part: pan_size_mm(f"gastronorm-{part}") for part in ("2-1", "1-1", "2-3", "1-2", "1-3", "1-4", "1-6", "1-9")}
    assert gn["1-1"] == (530.0, 325.0)
    assert gn["2-1"] == (2 * 325.0, 530.0)
    along = [2 * gn["1-2"][1], 3 * gn["1-3"][1], gn["2-3"][0] + gn["1-3"][1], 2 * gn["1-4"][0], 3 * gn["1-6"][0]]
    across = [gn["1-2"][0], gn["1-3"][0], gn["2-3"][1], 2 * gn["1-4"][1], 2 * gn["1-6"][1], 3 * gn["1-9"][1]]
    assert all(526.0 <= sum_mm <= 530.0 for sum_mm in along)
    assert all(321.0 <= sum_mm <= 325.0 for sum_mm in across)
    full, half, quarter = (pan_size_mm(f"sheet-pan-{size}") for size in ("full", "half", "quarter"))
    assert full == pytest.approx((26 * 25.4, 18 * 25.4))
    assert half == pytest.approx((full[1], full[0] / 2))
    assert quarter == pytest.approx((half[1], 9.5 * 25.4))
    with pytest.raises(NotFound):
        pan_size_mm("dustbin-lid")


def test_piece_nonsense():
    """Bad input: NaN, a slice longer than its log, growth to nothing, 5 neighbours, a piece larger than its tray."""
    with pytest.raises(OutOfRange):
        risen_size(math.nan, 30.0, 2.0)
    with pytest.raises(OutOfRange, match="no longer than the log"):
        slice_mass_g(1000.0, 0.0, 300.0, 400.0)
    with pytest.raises(OutOfRange):
        risen_log_diameter_mm(60.0, 0.0)
    with pytest.raises(OutOfRange, match="staggered"):
        touching_fraction(50.0, 60.0, 5)
    with pytest.raises(OutOfRange, match="does not fit"):
        tray_fit(300.0, 200.0, 8000.0, 1.1, 2.0)
    with pytest.raises(OutOfRange):
        pan_dough_g(1000.0, 1.1, 2.0, 2.0)
