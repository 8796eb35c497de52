"""Cutting pieces from a sheet and rolling the scraps again."""

from __future__ import annotations

import math

import pytest

from smallhours.errors import OutOfRange
from smallhours.science.cutting import cut_with_rerolls, rounds_fraction


def test_rounds_from_a_sheet():
    """Hand: 24 rounds of 100 mm from 600 x 400 mm are pi/4 of it, 0.785; in staggered rows of small rounds up to
    pi / (2 sqrt 3) = 0.907 of a large sheet."""
    assert rounds_fraction(600.0, 400.0, 100.0) == pytest.approx(math.pi / 4)
    small = rounds_fraction(6000.0, 4000.0, 20.0)
    assert 0.88 < small < math.pi / (2 * math.sqrt(3))
    assert rounds_fraction(600.0, 400.0, 90.0, gap_mm=10.0) < rounds_fraction(600.0, 400.0, 90.0)


def test_scraps_by_hand():
    """Hand: 3000 g at 0.785 and 60 g: 39 pieces, 660 g of scraps; then 8 and 180 g; then 2 and 60 g."""
    found = cut_with_rerolls(3000.0, 60.0, 0.785, rerolls_count=2)
    assert found.pieces == (39, 8, 2)
    assert found.scraps_g == pytest.approx(60.0)
    assert found.count == 49


@pytest.mark.parametrize("rerolls", [0, 1, 3])
@pytest.mark.parametrize("fresh", [1.0, 0.6, 0.0])
def test_dough_is_neither_made_nor_lost(rerolls, fresh):
    """Property: pieces and scraps weigh what the sheet did; rolling again never gives fewer."""
    found = cut_with_rerolls(3217.0, 58.0, 0.8, rerolls, fresh)
    assert found.count * 58.0 + found.scraps_g == pytest.approx(3217.0)
    assert found.count >= cut_with_rerolls(3217.0, 58.0, 0.8).count


def test_squares_leave_nothing():
    """Limit: squares without gap use the whole sheet; scraps unfit to be rolled again give nothing."""
    assert cut_with_rerolls(3000.0, 60.0, 1.0).count == 50
    assert cut_with_rerolls(3000.0, 60.0, 0.785, 5, 0.0).pieces[1:] == (0,) * 5


def test_cutting_nonsense():
    """Bad input: no dough, NaN, nothing cut, a share above the whole, scraps rolled for ever."""
    for arguments in ((0.0, 60.0, 0.8), (math.nan, 60.0, 0.8), (3000.0, 60.0, 0.0), (3000.0, 60.0, 1.2)):
        with pytest.raises(OutOfRange):
            cut_with_rerolls(*arguments)
    with pytest.raises(OutOfRange, match="times"):
        cut_with_rerolls(3000.0, 60.0, 0.8, 99)
