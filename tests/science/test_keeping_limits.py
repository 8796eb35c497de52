"""Acid and water that keep a food, by the tables of the Food Code."""

from __future__ import annotations

import math

import pytest

from smallhours.errors import OutOfRange
from smallhours.science.keeping_limits import keeping_class


@pytest.mark.parametrize(
    ("aw", "ph", "spared"),
    [(0.92, 6.0, True), (0.9201, 6.0, False), (0.95, 5.6, True), (0.96, 4.6, True), (0.96, 4.61, False)],
)
def test_cooked_then_packed(aw, ph, spared):
    """Published: Food Code table A: the edges of its cells."""
    assert (keeping_class(ph, aw, cooked_then_packed=True) == "no control by the table") is spared


@pytest.mark.parametrize(
    ("aw", "ph", "spared"),
    [
        (0.879, 7.0, True),
        (0.88, 5.01, False),
        (0.90, 5.0, True),
        (0.901, 4.6, True),
        (0.901, 4.61, False),
        (0.93, 4.19, True),
        (0.93, 4.2, False),
    ],
)
def test_open(aw, ph, spared):
    """Published: Food Code table B: the edges of its cells."""
    assert (keeping_class(ph, aw, cooked_then_packed=False) == "no control by the table") is spared


def test_custard_needs_control():
    """Published: common practice: a custard of pH 6.5 and water activity 0.98 is kept cold, packed or not."""
    assert {keeping_class(6.5, 0.98, packed) for packed in (True, False)} == {"assess or control"}


@pytest.mark.parametrize(("ph", "aw"), [(math.nan, 0.9), (15.0, 0.9), (5.0, 1.1), (5.0, math.nan)])
def test_keeping_nonsense(ph, aw):
    """Bad input: NaN, a pH of 15, a water activity above pure water."""
    with pytest.raises(OutOfRange):
        keeping_class(ph, aw, cooked_then_packed=True)
