"""A dough's course: the temperature follows its places, the rise follows its gas."""

from __future__ import annotations

import math
import time
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from smallhours.bakery.formula.document import Place, Stage, Way
from smallhours.errors import BadInput
from smallhours.forecast.course import CoursePoint, CourseStep, course
from smallhours.forecast.sizes import ball_size, bulk_size
from smallhours.forecast.time_constants import time_constant_s

BALL = ball_size(400)
MIX = Stage(kind="mix", low_s=300)
FERMENT = Stage(kind="ferment", duration_s=7200, at_temp_c=24, rise=2.0)
SHAPE = Stage(kind="shape", per_piece_s=10)
PROOF = Stage(kind="proof", duration_s=3600, at_temp_c=26, rise=2.4)
BAKE = Stage(kind="bake", duration_s=1800, set_temp_c=200, core_temp_c=92)
COOL = Stage(kind="cool", duration_s=3600)


def _steps(*each: tuple[Stage, Place, float, float], meant_c: float | None = None) -> list[CourseStep]:
    """Steps one after another: stage, place, duration, air."""
    steps, at = [], 0.0
    for stage, place, duration_s, air_c in each:
        steps.append(CourseStep(stage, place, at, duration_s, air_c, BALL, reference_dough_temp_c=meant_c))
        at += duration_s
    return steps


def _end(points: list[CoursePoint]) -> CoursePoint:
    return points[-1]


def test_no_steps_no_points() -> None:
    """Limit: nothing happens to no dough."""
    assert course([], start_temp_c=24) == []


def test_the_rise_is_reached_under_reference_conditions() -> None:
    """Limit: in the baker's own time and place the dough is as risen as her formula says, at the end and not before."""
    points = course(_steps((FERMENT, "room", 7200, 24)), start_temp_c=24)
    assert _end(points).rise == pytest.approx(2.0)
    assert _end(points).t_s == 7200
    assert all(a.rise < b.rise for a, b in pairwise(points))


@given(st.floats(15, 23), st.floats(600, 7200))
def test_colder_or_shorter_is_less_risen(air_c: float, length_s: float) -> None:
    """Limit: less warmth and less time never give more rise."""
    cold = course(_steps((FERMENT, "room", length_s, air_c), meant_c=24), start_temp_c=24)
    warm = course(_steps((FERMENT, "room", length_s, 24), meant_c=24), start_temp_c=24)
    assert 1.0 <= _end(cold).rise <= _end(warm).rise + 1e-9 <= 2.0 + 1e-6


def test_temperature_follows_the_place() -> None:
    """Hand: a dead dough of 24 °C after one time constant in 4 °C air: 4 + 20 / e = 11.36 °C."""
    tau = time_constant_s(BALL, "fridge")
    points = course(_steps((Stage(kind="chill", duration_s=tau), "fridge", tau, 4)), start_temp_c=24, living=False)
    assert _end(points).temp_c == pytest.approx(4 + 20 / math.e)
    assert _end(points).rise == 1.0


def test_a_dough_warms_itself() -> None:
    """Hand: 20 kg in one mass at its own temperature gain 0.73 K/h at most (50 kJ per mol of CO2, 1 l per kg and h)."""
    step = CourseStep(FERMENT, "room", 0.0, 3600.0, 26.0, bulk_size(20_000))
    gained = _end(course([step], start_temp_c=26)).temp_c - 26
    assert 0.3 < gained < 0.73


def test_handling_oven_and_cooling() -> None:
    """Behaviour: shaping drives gas out, the oven springs it and bakes it to its core temperature."""
    steps = _steps(
        (MIX, "mixer", 600, 22),
        (FERMENT, "room", 7200, 24),
        (SHAPE, "bench", 600, 22),
        (PROOF, "room", 3600, 26),
        (BAKE, "oven", 1800, 200),
        (COOL, "rack", 7200, 20),
    )
    points = course(steps, start_temp_c=24)
    at = {round(p.t_s): p for p in points}
    assert at[600].rise == 1.0
    assert at[7800].rise == pytest.approx(2.0, abs=0.05)
    assert at[8400].rise == pytest.approx(1 + 0.3 * (at[7800].rise - 1))
    assert at[12000].rise == pytest.approx(2.4, abs=0.25)
    assert at[13800].temp_c == pytest.approx(92)
    assert at[13800].rise == pytest.approx(1.25 * at[12000].rise)
    assert 20 < _end(points).temp_c < 35
    assert [p.t_s for p in points] == sorted(p.t_s for p in points)


def test_a_night_in_the_fridge_rises_less_than_the_same_time_in_the_room() -> None:
    """Behaviour: a retard without a named rise grows at the pace of the dough's own fermentation."""
    retard = Stage(kind="retard", duration_s=8 * 3600)
    cold = course(_steps((FERMENT, "room", 7200, 24), (retard, "fridge", 8 * 3600, 4)), start_temp_c=24)
    assert 2.0 < _end(cold).rise < 3.2
    assert _end(cold).temp_c == pytest.approx(4, abs=0.5)


def test_another_way_has_its_own_reference() -> None:
    """Limit: a proof that is a night in the fridge instead is as risen in the morning as the formula means it to be."""
    night = Way(place="fridge", duration_s=10 * 3600, at_temp_c=4)
    step = CourseStep(PROOF, "fridge", 0.0, 10 * 3600, 4.0, BALL, way=night)
    assert _end(course([step], start_temp_c=24)).rise == pytest.approx(2.4)
    shorter = CourseStep(PROOF, "fridge", 0.0, 3600, 4.0, BALL, way=night)
    assert _end(course([shorter], start_temp_c=24)).rise < 2.3


def test_waiting_between_stages() -> None:
    """Behaviour: between two stages the dough waits in the room and goes on rising."""
    first, second = _steps((FERMENT, "room", 3600, 24), (PROOF, "room", 3600, 26))
    later = CourseStep(second.stage, "room", 5400, 3600, 26, BALL)
    points = course([first, later], start_temp_c=24, room_c=18)
    waited = next(p for p in points if p.t_s == pytest.approx(5400))
    assert waited.temp_c < 24
    assert waited.rise > next(p for p in points if p.t_s == pytest.approx(3600)).rise


def test_overlapping_steps() -> None:
    """Bad input: a dough cannot be in two stages at once, nor in one of negative length."""
    first, second = _steps((FERMENT, "room", 3600, 24), (PROOF, "room", 3600, 26))
    with pytest.raises(BadInput, match="begins 1800 s before"):
        course([first, CourseStep(second.stage, "room", 1800, 3600, 26, BALL)], start_temp_c=24)
    with pytest.raises(BadInput, match="must be 0 or more"):
        course([CourseStep(PROOF, "room", 0, -5, 26, BALL)], start_temp_c=24)


def test_a_whole_night_is_quick() -> None:
    """Behaviour: 30 lots of 10 stages in well under half a second, whatever else the machine does."""
    night = _steps(*((FERMENT, "room", 3600.0, 22.0),) * 10)
    course(night, start_temp_c=24)
    began = time.perf_counter()
    for _ in range(30):
        course(night, start_temp_c=24)
    assert time.perf_counter() - began < 0.5
