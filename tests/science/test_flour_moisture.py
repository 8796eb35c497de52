"""Flour moisture: percentages on another basis and absorption."""

from __future__ import annotations

import math

import pytest

from smallhours.errors import OutOfRange
from smallhours.science.flour_moisture import (
    absorption_percent,
    absorption_slope_ratio,
    exchanged_g,
    percent_at_moisture,
)


def test_percent_on_another_basis(example):
    """Published: value x 86 / (100 - moisture), a miller's guide; three figures worked by hand to 3 decimals."""
    assert percent_at_moisture(11.7, 12.4) == pytest.approx(example("mb-1")["expect"], abs=5e-4)
    assert percent_at_moisture(0.55, 0.0) == pytest.approx(example("mb-2")["expect"], abs=5e-4)
    assert percent_at_moisture(12.0, 14.0, 0.0) == pytest.approx(example("mb-3")["expect"], abs=5e-4)
    given = example("mb-4")["inputs"]
    assert percent_at_moisture(given["p"], given["m"]) == pytest.approx(example("mb-4")["expect"], abs=5e-4)


@pytest.mark.parametrize("name", ["mb-5", "mb-8"])
def test_absorption(example, name):
    """Hand: 62 % at 14 %: 76 g of water on 86 g of dry matter; at 11 %: 76/86 x 89 - 11 = 67.651; at 15.2 %: 59.74."""
    given = example(name)["inputs"]
    assert absorption_percent(given["A"], given["M"]) == pytest.approx(example(name)["expect"], abs=5e-3)


def test_slope(example):
    """Hand: (100 + 62) / 86 = 1.884 points less for each point of moisture; equal to the difference of two values."""
    assert -absorption_slope_ratio(62.0) == pytest.approx(example("mb-7")["expect"], abs=5e-4)
    assert absorption_percent(62.0, 15.0) - 62.0 == pytest.approx(absorption_slope_ratio(62.0))


def test_exchange(example):
    """Hand: 8600 g of solids in 11 % flour are 9663 g; the water makes up the 16,200 g."""
    flour, water = exchanged_g(10_000.0, 6200.0, 11.0)
    assert flour / 1000 == pytest.approx(example("mb-6")["expect"]["flour"], abs=5e-4)
    assert water / 1000 == pytest.approx(example("mb-6")["expect"]["water"], abs=5e-4)


def test_back_and_forth():
    """Round trip: to another basis and back; same moisture changes nothing."""
    assert percent_at_moisture(percent_at_moisture(11.7, 12.4), 14.0, 12.4) == pytest.approx(11.7)
    assert absorption_percent(absorption_percent(62.0, 11.0), 14.0, 11.0) == pytest.approx(62.0)
    assert exchanged_g(1000.0, 620.0, 14.0) == pytest.approx((1000.0, 620.0))


@pytest.mark.parametrize("moisture", [math.nan, -1.0, 60.0])
def test_moisture_out_of_range(moisture):
    """Bad input: no flour holds 60 % of water."""
    with pytest.raises(OutOfRange, match="moisture"):
        absorption_percent(62.0, moisture)
