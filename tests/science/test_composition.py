"""Composition: what is unknown stays unknown."""

from __future__ import annotations

import math

import pytest

from smallhours.errors import BadInput, OutOfRange
from smallhours.science.composition import Composition, Total, mixed, total_of

FLOUR = Composition(water_fraction=0.13, protein_fraction=0.12, sugars_fraction=None, sodium_fraction=2e-5)
MILK = Composition(water_fraction=0.88, protein_fraction=0.033, sugars_fraction=0.05, sodium_fraction=4e-4)


def test_mixing_by_mass():
    """Hand: 1000 g x 0.13 + 600 g x 0.88 = 658 g of water in 1600 g."""
    assert mixed([(1000.0, FLOUR), (600.0, MILK)]).water_fraction == pytest.approx(658 / 1600)


def test_unknown_stays_unknown():
    """Behaviour: one part without sugars leaves the mixture's sugars unknown, and the total says which part."""
    assert mixed([(1000.0, FLOUR), (600.0, MILK)]).sugars_fraction is None
    total = total_of([(1000.0, FLOUR), (600.0, MILK)], "sugars_fraction")
    assert total == Total(pytest.approx(30.0), 1000.0, (0,))
    assert not total.complete


def test_nothing_of_an_unknown_is_known():
    """Limit: zero grams of something unknown do not make a total unknown."""
    assert total_of([(0.0, FLOUR), (600.0, MILK)], "sugars_fraction").complete


def test_mixing_with_itself():
    """Limit: two parts of the same are the same."""
    again = mixed([(3.0, MILK), (5.0, MILK)])
    assert again.water_fraction == pytest.approx(0.88)
    assert again.fat_fraction is None


def test_label_salt():
    """Published: EU Regulation 1169/2011, Annex I: salt is sodium x 2.5."""
    assert MILK.label_salt_fraction == pytest.approx(0.001)
    assert Composition().label_salt_fraction is None


@pytest.mark.parametrize("bad", [math.nan, -0.01, 1.01])
def test_fractions_out_of_range(bad):
    """Bad input: a share of the mass is 0 to 1, and the parts are no more than the whole."""
    with pytest.raises(OutOfRange, match="water_fraction"):
        Composition(water_fraction=bad)
    with pytest.raises(OutOfRange, match="add up"):
        Composition(water_fraction=0.8, fat_fraction=0.3)


def test_masses_out_of_range():
    """Bad input: negative and undefined masses, nothing at all, and a nutrient that is none."""
    with pytest.raises(OutOfRange):
        total_of([(-1.0, MILK)], "water_fraction")
    with pytest.raises(OutOfRange):
        mixed([(math.nan, MILK)])
    with pytest.raises(OutOfRange):
        mixed([])
    with pytest.raises(BadInput, match="no 'vitamin'"):
        total_of([(1.0, MILK)], "vitamin")
