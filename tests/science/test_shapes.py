"""Sheets, rolls, slices, layers and growth."""

from __future__ import annotations

import math

import pytest

from smallhours.errors import OutOfRange
from smallhours.science.shapes import (
    ball_diameter_mm,
    laminated,
    linear_growth_ratio,
    rolled_diameter_mm,
    rolled_turns_count,
    sheet_density_g_per_cm3,
    sheet_mass_g,
    sheet_thickness_mm,
    slices_count,
    spiral_length_mm,
)
from smallhours.science.units import G_PER_LB, G_PER_OZ, MM_PER_IN, mass_g_from_lb_oz

SCHOOL_SHEET_G = mass_g_from_lb_oz(3, 6)
LONG, WIDE = 25 * MM_PER_IN, 10 * MM_PER_IN


def test_school_roll(example):
    """Published: USDA school recipe (1988): 3 lb 6 oz for 25 rolls: 2.16 oz, 61.23 g each."""
    each = SCHOOL_SHEET_G / 25
    assert [each / G_PER_OZ, each] == pytest.approx(example("usda-1")["expect"], abs=5e-3)


def test_school_sheet_cannot_be_so_thin(example):
    """Published: the same recipe says 1/4 in thick on 25 x 10 in: that would be 1.495 g/cm³, denser than any dough."""
    found = sheet_density_g_per_cm3(SCHOOL_SHEET_G, LONG, WIDE, MM_PER_IN / 4)
    assert found == pytest.approx(example("usda-2")["expect"], abs=5e-4)


def test_school_sheet_thickness(example):
    """Hand: at 1.15 and 1.20 g/cm³ that sheet is 8.25 and 7.91 mm thick."""
    found = [sheet_thickness_mm(SCHOOL_SHEET_G, d, LONG, WIDE) for d in (1.15, 1.20)]
    # the data were worked with 1 oz = 28.35 g and rounded to 2 decimals
    assert found == pytest.approx(example("usda-3")["expect"], abs=0.01)


def test_tray_of_dough(example):
    """Published: school recipes: 28 lb for 220 rolls is 2.036 oz; 220 rolls on 7 pans 31.4; 4.5 lb on 18 x 26 in."""
    assert pytest.approx(example("tray-1")["expect"], abs=5e-4) == 28 * G_PER_LB / 220 / G_PER_OZ
    assert pytest.approx(example("tray-2")["expect"], abs=0.05) == 220 / 7
    area_m2 = 18 * 26 * MM_PER_IN**2 / 1e6
    assert 4.5 * G_PER_LB / 1000 / area_m2 == pytest.approx(example("tray-3")["expect"], abs=5e-3)
    spread_mm = sheet_thickness_mm(4.5 * G_PER_LB, 1.15, 18 * MM_PER_IN, 26 * MM_PER_IN)
    assert spread_mm == pytest.approx(example("tray-3")["expect"] / 1.15, abs=5e-3)


def test_sheet_mass_and_thickness():
    """Round trip: 3 kg at 1.15 g/cm³ on 600 x 400 mm is 10.87 mm thick, and that sheet weighs 3 kg."""
    thick = sheet_thickness_mm(3000.0, 1.15, 600.0, 400.0)
    assert thick == pytest.approx(3000 / 1.15 * 1000 / 240_000)
    assert sheet_mass_g(1.15, 600.0, 400.0, thick) == pytest.approx(3000.0)
    assert sheet_density_g_per_cm3(3000.0, 600.0, 400.0, thick) == pytest.approx(1.15)


@pytest.mark.parametrize(
    ("pitch", "turns", "core", "expected"),
    [
        (1, 1, 0, 3.383044),
        (1, 5, 0, 78.909103),
        (8, 4, 0, 404.936138),
        (10, 3.5, 5, 496.445934),
        (12, 5, 0, 946.909232),
    ],
)
def test_spiral_length(pitch, turns, core, expected):
    """Published: arc length of the Archimedean spiral by quadrature; 6 printed decimals."""
    assert spiral_length_mm(pitch, turns, core) == pytest.approx(expected, abs=6e-7)


@pytest.mark.parametrize(
    ("length", "dough", "filling", "diameter"),
    [(400, 5, 2, 59.7), (450, 6, 3, 71.8), (300, 5, 2, 51.7), (600, 4, 3, 73.1)],
)
def test_rolled_log(length, dough, filling, diameter):
    """Hand: sqrt(4 L t / pi), e.g. sqrt(4 x 400 x 7 / pi) = 59.7 mm and 59.7 / 14 = 4.26 turns."""
    assert rolled_diameter_mm(length, dough, filling) == pytest.approx(diameter, abs=0.05)
    assert rolled_turns_count(length, dough, filling) == pytest.approx(diameter / 2 / (dough + filling), abs=0.01)


def test_area_and_spiral_agree():
    """Property: the spiral of as many turns is about 1 % longer than the sheet that was rolled (area form, 4 turns)."""
    turns = rolled_turns_count(400.0, 5.0, 2.0)
    assert spiral_length_mm(7.0, turns) == pytest.approx(400.0, rel=0.012)


def test_sixteen_inch_log():
    """Published: common practice: a 12 x 16 in sheet rolled along its long side gives a 16 in log, 8 slices of 2 in."""
    assert slices_count(16 * MM_PER_IN, 2 * MM_PER_IN) == 8
    assert slices_count(16 * MM_PER_IN - 10.0, 2 * MM_PER_IN) == 7
    assert slices_count(25 * MM_PER_IN, MM_PER_IN) == 25


def test_layers(example):
    """Published: lock-in over two thirds and three letter folds is called 135 layers (5 x 27); touching dough layers
    merge, so there are 54 of fat and 55 of dough, 109. A patent: n letter folds of an envelope give 3^n fat layers."""
    expected = example("layer-1")["expect"]
    found = laminated([3, 3, 3], locked_in=2)
    assert (found.fat, found.dough, found.total) == (expected["fat"], expected["dough"], expected["total"])
    assert expected["counted"] == (2 * 2 + 1) * 27
    assert laminated([3] * example("layer-2")["inputs"]["n"]).fat == example("layer-2")["expect"]
    assert laminated([]).total == 3


@pytest.mark.parametrize(
    ("volume", "linear"), [(1.5, 1.145), (2, 1.260), (2.5, 1.357), (3, 1.442), (3.5, 1.518), (4, 1.587)]
)
def test_growth(volume, linear):
    """Hand: cube roots to 3 decimals."""
    assert linear_growth_ratio(volume) == pytest.approx(linear, abs=5e-4)


def test_ball():
    """Hand: 60 g at 1.15 g/cm³: cbrt(6 x 52174 / pi) = 46.4 mm; at two and a half times the volume 62.9 mm."""
    ball = ball_diameter_mm(60.0, 1.15)
    assert ball == pytest.approx(46.4, abs=0.05)
    assert ball * linear_growth_ratio(2.5) == pytest.approx(62.9, abs=0.1)
    assert math.pi / 6 * ball**3 / 1000 * 1.15 == pytest.approx(60.0)


def test_nonsense_is_refused():
    """Bad input: NaN, nothing, and more layers than can be."""
    with pytest.raises(OutOfRange):
        sheet_thickness_mm(math.nan, 1.15, 600.0, 400.0)
    with pytest.raises(OutOfRange):
        sheet_thickness_mm(100.0, 1.15, 0.0, 400.0)
    with pytest.raises(OutOfRange):
        slices_count(400.0, 0.0)
    with pytest.raises(OutOfRange):
        laminated([3] * 20)
    with pytest.raises(OutOfRange):
        laminated([1])
