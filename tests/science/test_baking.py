"""Core times from the baker's own bake: worked values, round trips, and two published bakes."""

from __future__ import annotations

import json
import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from science.conftest import DATA
from smallhours.errors import BadInput, Impossible, OutOfRange
from smallhours.reference.bake_defaults import bake_diffusivity_m2_per_s
from smallhours.science.altitude import boiling_at_altitude_c
from smallhours.science.baking import (
    Bake,
    Direction,
    ball_radius_mm,
    core_temps_c,
    effective_diffusivity_m2_per_s,
    highest_core_c,
    log_radius_mm,
    scaled_time_s,
    size_time_ratio,
    slab_half_mm,
    time_to_core_s,
)

SEA_C = 99.97


@pytest.fixture(scope="module")
def published():
    return json.loads((DATA / "published_bakes.json").read_text(encoding="utf-8"))


def round_loaf(start_c=30.0, core_c=95.0, boiling_c=100.0, radius_mm=40.0, oven_c=220.0):
    return Bake([Direction("sphere", radius_mm)], start_c, core_c, boiling_c, oven_c)


def small_round(said, core_c, size="risen"):
    """The published round as a short cylinder."""
    ways = [Direction("cylinder", said["radius_mm"][size]), Direction("slab", said["height_mm"][size] / 2)]
    return Bake(ways, said["start_c"], core_c, SEA_C, said["oven_c"])


def minutes_at(said, core_c):
    return float(np.interp(core_c, said["core_c"], said["minutes"]))


@pytest.mark.parametrize(
    ("start", "core", "boiling", "minutes"),
    [
        (30, 88, 100, 10.5),
        (30, 93, 100, 12.9),
        (30, 95, 100, 14.3),
        (30, 98, 100, 18.2),
        (30, 92.65, 94.65, 17.9),
    ],
)
def test_a_round_of_eighty_millimetres(start, core, boiling, minutes):
    """Hand: t = R²/(alpha pi²) ln(2 (Tb - T0)/(Tb - T)), R 40 mm, alpha 0.63 mm²/s: 257.3 s x ln(...).

    At 1600 m water boils at 94.65 °C; ln(2 x 64.65/2) x 257.3 s = 1073 s = 17.9 min until 92.65 °C.
    """
    assert float(time_to_core_s(round_loaf(start, core, boiling), 6.3e-7)) / 60 == pytest.approx(minutes, abs=0.06)


def test_straight_from_the_fridge():
    """Hand: 5 instead of 30 °C adds 257.3 s x ln(95/70) = 79 s: 1.3 min."""
    longer = time_to_core_s(round_loaf(5.0), 6.3e-7) - time_to_core_s(round_loaf(30.0), 6.3e-7)
    assert float(longer) == pytest.approx(257.3 * math.log(95 / 70), rel=2e-3)


@pytest.mark.parametrize(
    ("shape", "factor", "root"),
    [("slab", 4 / math.pi, math.pi / 2), ("cylinder", 1.60197, 2.404826), ("sphere", 2.0, math.pi)],
)
def test_one_direction(shape, factor, root):
    """Published: first term for a held surface, textbook table: 1.2732 and 1.5708, 1.6020 and 2.4048, 2 and 3.1416."""
    found = time_to_core_s(Bake([Direction(shape, 50.0)], 25.0, 95.0, 100.0, 220.0), 6e-7)
    assert float(found) == pytest.approx(0.05**2 / 6e-7 / root**2 * math.log(factor * 75 / 5), rel=1e-4)


def test_a_cube_is_three_slabs():
    """Hand: three equal slabs: rates add, factors multiply: ln((4/pi)³ x 15)/3 against ln(4/pi x 15)."""
    slab = Direction("slab", 40.0)
    one, three = (time_to_core_s(Bake([slab] * n, 25.0, 95.0, 100.0, 220.0), 6e-7) for n in (1, 3))
    expected = math.log((4 / math.pi) ** 3 * 15) / (3 * math.log(4 / math.pi * 15))
    assert float(three / one) == pytest.approx(expected, rel=1e-4)


def test_a_long_way_does_not_matter():
    """Limit: a log a metre long bakes like an endless one."""
    ends = time_to_core_s(Bake([Direction("cylinder", 40.0), Direction("slab", 500.0)], 25.0, 95.0, 100.0, 220.0), 6e-7)
    assert float(ends) == pytest.approx(
        float(time_to_core_s(Bake([Direction("cylinder", 40.0)], 25.0, 95.0, 100.0, 220.0), 6e-7)), rel=1e-6
    )


def test_twice_the_mass():
    """Hand: the same shape of twice the mass has a radius 2^(1/3) as large and needs 2^(2/3) = 1.587 times the time."""
    radii = ball_radius_mm([80.0, 160.0], 3.3)
    times = time_to_core_s(round_loaf(radius_mm=radii), 6.3e-7)
    assert times[1] / times[0] == pytest.approx(1.5874, abs=2e-4)
    assert float(size_time_ratio(2.0)) == pytest.approx(1.5874, abs=1e-4)


def test_sizes_from_mass():
    """Hand: 80 g at 3.351 ml/g are 268.1 ml, a ball of 40.0 mm; 1 litre as a log of 318.3 mm has 31.6 mm; a pan of
    600 x 400 mm with 3 kg at 2 ml/g stands 25 mm high."""
    assert float(ball_radius_mm(80.0, 3.351)) == pytest.approx(40.0, abs=0.01)
    assert float(log_radius_mm(250.0, 4.0, 318.31)) == pytest.approx(math.sqrt(1000.0), abs=0.01)
    assert float(slab_half_mm(3000.0, 2.0, 240_000.0)) == pytest.approx(12.5)


@pytest.mark.parametrize(("kind", "core"), [("rolls", 95.0), ("rolls", 93.0)])
def test_a_published_round_untrained(published, kind, core):
    """Published: Zhang et al. (2005), round of 90 x 50 mm once risen, 190 °C: 95 °C after 9.8 min. Ours with the figure
    of the table for rolls, not tuned to it: 7 % late at 95, 6 % at 93 °C; 15 % allowed."""
    said = published["small-round"]
    found = float(time_to_core_s(small_round(said, core), bake_diffusivity_m2_per_s(kind).usual)) / 60
    assert found == pytest.approx(minutes_at(said, core), rel=0.15)


def test_a_published_can_untrained(published):
    """Published: bread in a can (Prague, 2025), 116 x 70 mm once risen, probe 21 mm off the axis and 7 mm below the
    middle: 95.0 °C after 21.9 min. Ours with the table's figure for tins: 5 % late; 15 % allowed."""
    said = published["in-a-can"]
    half = said["height_mm"]["risen"] / 2
    ways = [
        Direction("cylinder", said["radius_mm"], said["probe_off_axis_mm"] / said["radius_mm"]),
        Direction("slab", half, (half - said["probe_height_mm"]) / half),
    ]
    bake = Bake(ways, said["start_c"], 95.0, SEA_C, said["oven_c"])
    found = float(time_to_core_s(bake, bake_diffusivity_m2_per_s("tin-loaf").usual)) / 60
    assert found == pytest.approx(minutes_at(said, 95.0), rel=0.15)


@pytest.mark.parametrize(("logged", "off"), [(93.0, 0.025), (97.0, 0.10), (88.0, 0.12), (97.5, 0.13), (80.0, 0.22)])
def test_anchored_to_the_same_bake(published, logged, off):
    """Published: the same round, anchored at one core of its curve and asked for 95 °C: the nearer the better. At 80 °C
    the model is 21 % late, for real curves rise more steeply."""
    said = published["small-round"]
    found = scaled_time_s(small_round(said, logged), minutes_at(said, logged), small_round(said, 95.0))
    assert float(found) == pytest.approx(minutes_at(said, 95.0), rel=off)


def test_the_size_going_in_would_be_wrong(published):
    """Published: reckoned with its size before it rose the same round would be done 40 % too early."""
    said = published["small-round"]
    usual = bake_diffusivity_m2_per_s("rolls").usual
    early = float(time_to_core_s(small_round(said, 95.0, "going_in"), usual)) / 60
    assert early < 0.65 * minutes_at(said, 95.0)


def test_one_logged_bake_gives_its_time_again():
    """Round trip: diffusivity from a time, time from the diffusivity, for an array of draws."""
    bake = Bake([Direction("cylinder", 45.0), Direction("slab", 90.0)], 26.0, 94.0, SEA_C, 220.0)
    times = np.asarray([1500.0, 1800.0, 2400.0])
    assert time_to_core_s(bake, effective_diffusivity_m2_per_s(bake, times)) == pytest.approx(times)


def test_other_bakes_from_one():
    """Round trip: scaled to another size, start, core and altitude and back gives the logged time."""
    logged = Bake([Direction("cylinder", 45.0)], 26.0, 94.0, SEA_C, 220.0)
    wanted = Bake([Direction("cylinder", 55.0)], 5.0, 92.0, boiling_at_altitude_c(1500.0), 220.0)
    other = scaled_time_s(logged, 1800.0, wanted, 1.1)
    assert float(other) > 1800.0
    assert float(scaled_time_s(wanted, other, logged, 1 / 1.1)) == pytest.approx(1800.0)


def test_the_curve_goes_through_its_end():
    """Round trip: the core at the time that brings it there has the temperature wanted; at the start its own."""
    bake = Bake([Direction("slab", 30.0), Direction("slab", 60.0)], 26.0, 94.0, SEA_C, 220.0)
    end = float(time_to_core_s(bake, 6e-7))
    found = core_temps_c(bake.directions, 6e-7, 26.0, SEA_C, [0.0, 1.0, end / 2, end])
    assert found[[0, 1, 3]] == pytest.approx([26.0, 26.0, 94.0], abs=1e-4)
    assert 60.0 < found[2] < 94.0


@settings(max_examples=30, deadline=None)
@given(st.floats(15, 90), st.floats(1, 40), st.floats(80, 97), st.sampled_from(["slab", "cylinder", "sphere"]))
def test_larger_colder_hotter_take_longer(size, start, core, shape):
    """Property: never quicker if larger, colder going in, or with a higher core."""
    bakes = [
        (size, start, core),
        (size * 1.1, start, core),
        (size * 1.1, start - 1, core),
        (size * 1.1, start - 1, core + 0.9),
    ]
    times = [float(time_to_core_s(Bake([Direction(shape, r)], t, c, SEA_C, 220.0), 6e-7)) for r, t, c in bakes]
    assert all(a < b for a, b in pairwise(times))


def test_higher_up_it_takes_longer():
    """Property: with altitude the same core takes ever longer."""
    boiling = np.asarray([boiling_at_altitude_c(m) for m in (0.0, 500.0, 1000.0, 1500.0)])
    times = time_to_core_s(round_loaf(core_c=92.0, boiling_c=boiling), 6.3e-7)
    assert (np.diff(times) > 0).all()


def test_out_of_reach_at_this_altitude():
    """Bad input: at 1600 m 95 °C is above what water allows; the message says what would be right."""
    assert float(highest_core_c(94.65)) == pytest.approx(92.65)
    with pytest.raises(Impossible, match=r"boils at 94\.\d °C: aim at 92\.\d °C or less"):
        round_loaf(core_c=95.0, boiling_c=94.65)


@pytest.mark.parametrize(
    ("make", "error", "says"),
    [
        (lambda: round_loaf(oven_c=90.0), Impossible, "never brings a core to 95 °C"),
        (lambda: round_loaf(core_c=50.0), OutOfRange, "half way from the start"),
        (lambda: round_loaf(core_c=math.nan), OutOfRange, "core temperature"),
        (lambda: round_loaf(start_c=[20.0, math.nan]), OutOfRange, "going in"),
        (lambda: round_loaf(oven_c=math.nan), OutOfRange, "oven"),
        (lambda: round_loaf(radius_mm=0.0), OutOfRange, "half size"),
        (lambda: Bake([], 20.0, 95.0, 100.0, 220.0), BadInput, "at least one direction"),
        (lambda: core_temps_c([], 6e-7, 20.0, 100.0, 60.0), BadInput, "at least one direction"),
        (lambda: core_temps_c([Direction("slab", 9.0)], 6e-7, 20.0, 100.0, -1.0), OutOfRange, "time in the oven"),
        (lambda: Direction("sphere", 40.0, 1.5), OutOfRange, "position"),
        (lambda: time_to_core_s(Bake([Direction("cube", 4.0)], 20.0, 95.0, 100.0, 220.0), 6e-7), BadInput, "'cube'"),
        (lambda: ball_radius_mm(0.0, 3.0), OutOfRange, "mass of a piece must be more than 0"),
        (lambda: log_radius_mm(100.0, 3.0, 0.0), OutOfRange, "length"),
        (lambda: slab_half_mm(100.0, 3.0, -1.0), OutOfRange, "area"),
        (lambda: time_to_core_s(round_loaf(), 0.0), OutOfRange, "diffusivity"),
        (lambda: effective_diffusivity_m2_per_s(round_loaf(), 0.0), OutOfRange, "bake time"),
        (lambda: scaled_time_s(round_loaf(), -60.0, round_loaf()), OutOfRange, "logged bake time"),
        (lambda: size_time_ratio(0.0), OutOfRange, "ratio of masses"),
        (lambda: highest_core_c(120.0), OutOfRange, "boiling point"),
    ],
)
def test_what_cannot_be_baked(make, error, says):
    """Bad input: one sentence each."""
    with pytest.raises(error, match=says) as caught:
        make()
    assert str(caught.value).count(". ") == 0
