"""What the solver refuses, in one clear sentence each, and that it costs nothing to import."""

from __future__ import annotations

import math
import os
import subprocess
import sys

import numpy as np
import pytest

from smallhours.errors import BadInput, OutOfRange
from smallhours.science.heat_path import (
    Growth,
    Pieces,
    Places,
    Resolution,
    Spell,
    follow,
    known_heat,
    measured,
    path_of,
    with_doors,
    yeast_heat,
)
from smallhours.science.yeast_activity import YeastCurves

NIGHT = Spell(0.0, 3600.0, 4.0, 9.0)
ONE = Pieces("sphere", 40.0, 24.0)


def refusal(kind, action):
    """The sentence with which something is refused: one, of a readable length."""
    with pytest.raises(kind) as caught:
        action()
    sentence = str(caught.value)
    assert 20 < len(sentence) < 200
    assert "\n" not in sentence
    return sentence


@pytest.mark.parametrize("room_c", [-40.0, 140.0, math.nan, math.inf])
def test_a_room_that_cannot_be(room_c):
    """Bad input: a room at -40 or 140 °C or at no number, alone, at the end of a spell, or among many."""
    for action in (
        lambda: Spell(0.0, 60.0, room_c, 9.0),
        lambda: Spell(0.0, 60.0, 4.0, 9.0, ambient_end_c=room_c),
        lambda: Places([0.0, 60.0], [[4.0, room_c]], 9.0),
    ):
        assert f"a place must be -35 to 120 °C (found {room_c:g})" in refusal(OutOfRange, action)


@pytest.mark.parametrize("thick", [0.0, -3.0, math.nan, math.inf])
def test_a_slab_of_no_thickness(thick):
    """Bad input: a slab of zero, negative, undefined or endless thickness."""
    sentence = refusal(OutOfRange, lambda: Pieces("slab", [20.0, thick], 24.0))
    assert sentence.startswith("the thickness or radius of a piece must be more than 0 mm")
    assert f"(found {thick:g})" in sentence


def test_a_path_with_gaps():
    """Bad input: the next spell begins after the last one ended; the message says when."""
    late = Spell(4000.0, 5000.0, 24.0, 9.0)
    sentence = refusal(BadInput, lambda: path_of([NIGHT, late]))
    assert "leaves a gap" in sentence
    assert "3600" in sentence
    assert "4000" in sentence


def test_a_path_that_runs_backwards():
    """Bad input: a spell ends before it begins, the next one begins too early, or edges fall."""
    assert "after it begins" in refusal(BadInput, lambda: Spell(60.0, 0.0, 4.0, 9.0))
    early = Spell(3000.0, 5000.0, 24.0, 9.0)
    assert "runs backwards" in refusal(BadInput, lambda: path_of([NIGHT, early]))
    sentence = refusal(BadInput, lambda: Places([0.0, 60.0, 50.0], 4.0, 9.0))
    assert "must not run backwards (found 50 s after 60 s)" in sentence


def test_no_path_at_all():
    """Bad input: no spells, or an edge alone."""
    assert "at least one spell" in refusal(BadInput, lambda: path_of([]))
    assert "at least one spell" in refusal(BadInput, lambda: Places([0.0], 4.0, 9.0))


def test_a_broken_probe():
    """Bad input: NaN or a wild value from a probe, times that fall, one reading; good readings are followed."""
    times = [0.0, 600.0, 1200.0]
    assert "the reading of a probe" in refusal(OutOfRange, lambda: measured(times, [4.0, math.nan, 5.0], 9.0))
    assert "found 999" in refusal(OutOfRange, lambda: measured(times, [4.0, 999.0, 5.0], 9.0))
    assert "must rise" in refusal(BadInput, lambda: measured([0.0, 600.0, 300.0], [4.0, 5.0, 6.0], 9.0))
    assert "two readings" in refusal(BadInput, lambda: measured([0.0], [4.0], 9.0))
    found = follow(Pieces("slab", 5.0, 4.0), measured(times, [4.0, 6.0, 4.0], 9.0, 0.0), [0.0, 600.0, 1200.0])
    assert 4.0 < found.mean_c[0, 1] < found.mean_c[0, 2] < 6.0


def test_times_outside_the_path():
    """Bad input: a time before the begin or after the end, or times that fall."""
    assert "within the path, from 0 to 3600 s" in refusal(OutOfRange, lambda: follow(ONE, path_of([NIGHT]), [3700.0]))
    assert "(found -1)" in refusal(OutOfRange, lambda: follow(ONE, path_of([NIGHT]), [-1.0, 10.0]))
    assert "rises" in refusal(BadInput, lambda: follow(ONE, path_of([NIGHT]), [10.0, 5.0]))


def test_a_first_time_needs_a_history():
    """Bad input: one reported time has no before and after; rows of another history do not fit."""
    once = follow(ONE, path_of([NIGHT]), [600.0])
    assert "two reported times" in refusal(BadInput, lambda: once.first_time_s(10.0))
    many = follow(ONE, path_of([NIGHT]))
    assert "a row of temperatures" in refusal(BadInput, lambda: many.first_time_s(10.0, once.core_c))
    assert "wanted temperature" in refusal(OutOfRange, lambda: many.first_time_s(math.nan))


def test_what_does_not_fit_together():
    """Bad input: three sizes for two temperatures, two paths for three pieces, rows for other spells."""
    assert "one for each piece" in refusal(BadInput, lambda: Pieces("slab", [1.0, 2.0, 3.0], [4.0, 5.0]))
    two = Places([0.0, 60.0], [[4.0, 5.0]], 9.0)
    assert "for one piece or for 3" in refusal(BadInput, lambda: follow(Pieces("slab", [1.0, 2.0, 3.0], 4.0), two))
    assert "one row for each of 2 spells" in refusal(BadInput, lambda: Places([0.0, 60.0, 90.0], [4.0, 5.0, 6.0], 9.0))
    assert "slab, cylinder or sphere" in refusal(BadInput, lambda: Pieces("cube", 10.0, 4.0))
    assert "must be numbers" in refusal(BadInput, lambda: Pieces("slab", "thick", 4.0))


def test_growth_that_cannot_be():
    """Bad input: factors of zero, times that fall, rows that do not fit, a sphere that spreads."""
    assert "size factor" in refusal(OutOfRange, lambda: Growth([0.0, 1.0], [1.0, 0.0]))
    assert "rises" in refusal(BadInput, lambda: Growth([1.0, 0.0], 1.0))
    assert "one row for each of 2 times" in refusal(BadInput, lambda: Growth([0.0, 1.0], [1.0, 1.1, 1.2]))
    wide = Growth([0.0, 1.0], 1.0, [1.0, 1.2])
    assert "spread factor of a sphere" in refusal(OutOfRange, lambda: follow(ONE, path_of([NIGHT]), growth=wide))


def test_heat_that_cannot_be():
    """Bad input: too much heat, a reference at which yeast is dead, rates without times, doors that do not fit."""
    curves = YeastCurves(-2.0, 36.0, 50.0)
    assert "heat of fermentation" in refusal(OutOfRange, lambda: yeast_heat(curves, 26.0, 60.0))
    assert "at the reference" in refusal(OutOfRange, lambda: yeast_heat(curves, 55.0, 1.0))
    assert "rising times" in refusal(BadInput, lambda: known_heat([0.0, 0.0], [1.0, 1.0]))
    assert "do not fit" in refusal(BadInput, lambda: with_doors(NIGHT, 40, 120.0, 6.0))
    warming = Spell(0.0, 3600.0, 4.0, 9.0, ambient_end_c=9.0)
    assert "same temperature" in refusal(BadInput, lambda: with_doors(warming, 2, 60.0, 6.0))


def test_a_mesh_without_a_middle():
    """Bad input: an odd number of cells has no node in the middle of a slab."""
    assert "even" in refusal(BadInput, lambda: Resolution(33))


def test_no_time_in_common():
    """Bad input: one piece's path ends before the other's begins, and no times were said."""
    apart = Places(np.array([[0.0, 100.0], [60.0, 200.0]]), 4.0, 9.0)
    assert "no time in common" in refusal(BadInput, lambda: follow(Pieces("slab", 10.0, [4.0, 5.0]), apart))


def test_importing_it_is_free():
    """Behaviour: importing the solver and the series loads neither NumPy nor SciPy."""
    code = (
        "import sys, smallhours.science.heat_path, smallhours.science.conduction, smallhours.science.heat_transfer; "
        "print(sorted({'numpy', 'scipy'} & set(sys.modules)))"
    )
    path = {"PYTHONPATH": os.pathsep.join(sys.path)}
    said = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=path)
    assert said.stdout.strip() == "[]"
