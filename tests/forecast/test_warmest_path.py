"""The path of the warmest layer: never colder than the dough is said to be, whole, and through every stage."""

from __future__ import annotations

import numpy as np
import pytest

from forecast.demo_bakery import asked
from smallhours.errors import BadInput, OutOfRange
from smallhours.forecast.warmest_path import WarmPath, measured_path, warm_paths

HOUR = 3600.0


def _path(slug: str, part: str, **conditions: object) -> WarmPath:
    here = asked(slug, **conditions)
    return next(path for path in warm_paths(here, here.forecast()) if path.part == part)


@pytest.mark.parametrize("slug", ["brioche", "harbour-bun", "croissant", "milk-loaf"])
def test_it_is_never_colder_than_the_dough_on_average(slug: str) -> None:
    """Limit: the warmest layer is at least as warm as the upper end of the mean, at every point up to the bake."""
    here = asked(slug)
    made = here.forecast()
    path = next(one for one in warm_paths(here, made) if one.part == "dough")
    baked_s = next(stage.start_s for stage in made.stages if stage.kind == "bake")
    assert path.times_s[-1] == pytest.approx(baked_s, rel=0.01)
    inside = [point for point in made.curve if 0.0 < point.t_s < baked_s * 0.99]
    edges = [edge for stage in made.stages for edge in (stage.start_s, stage.end_s)]
    for point in inside:
        if min(abs(point.t_s - edge) for edge in edges) > 5.0:
            assert np.interp(point.t_s, path.times_s, path.temps_c) >= point.temp_c.high - 0.05


def test_the_core_of_a_chilled_dough_lags() -> None:
    """Limit: half an hour into the chill the warmest layer is warmer than the mean, and no warmer than it went in."""
    here = asked("brioche")
    made = here.forecast()
    chill, path = made.stage("chill"), _path("brioche", "dough")
    at_s = chill.start_s + 0.5 * HOUR
    mean = np.interp(at_s, [p.t_s for p in made.curve], [p.temp_c.median for p in made.curve])
    assert mean + 1.0 < np.interp(at_s, path.times_s, path.temps_c) <= chill.at_start.core.high + 0.5


def test_spells_follow_one_another_and_times_rise() -> None:
    """Behaviour: no gap and nothing twice; the stages of the dough in their order."""
    path = _path("harbour-bun", "dough")
    assert (np.diff(path.times_s) > 0).all()
    for before, after in zip(path.spells, path.spells[1:], strict=False):
        assert before.end_s == pytest.approx(after.begin_s, abs=2.0)
    names = [spell.name for spell in path.spells]
    assert names.index("mix") < names.index("ferment") < names.index("chill") < names.index("proof")


def test_what_goes_on_after_the_oven_is_followed_until_it_is_sold() -> None:
    """Hand: the cream cheese glaze keeps two days in the fridge, then lies on the bun for the 14 h it is sold fresh."""
    path = _path("harbour-bun", "glaze", room_c=21.0)
    assert not path.baked
    assert [spell.name for spell in path.spells] == ["kept in the fridge", "on what is sold"]
    assert path.times_s[-1] == pytest.approx((48 + 14) * HOUR, abs=10.0)
    assert path.temps_c[-1] == 21.0
    assert path.warm_s > 14 * HOUR
    wash = _path("brioche", "wash")
    assert wash.baked


def test_a_bowl_in_the_fridge_ends_as_cold_as_the_fridge() -> None:
    """Limit: after 48 h a bowl that began at 21 °C is within 1 K of 3 °C, and was never warmer than it began."""
    path = _path("harbour-bun", "glaze", room_c=21.0, fridge_c=3.0)
    kept = path.temps_c[path.times_s < 48 * HOUR]
    assert kept.max() <= 21.0 + 1e-6
    assert 3.0 <= kept[-1] < 4.0


def test_a_filling_of_butter_and_sugar_is_not_followed() -> None:
    """Behaviour: butter alone does not count as what spoils; a lean dough has no path."""
    here = asked("harbour-bun")
    assert "filling" not in {path.part for path in warm_paths(here, here.forecast())}
    lean = asked("quay-loaf")
    assert warm_paths(lean, lean.forecast()) == ()


def test_readings_are_taken_as_they_are() -> None:
    """Hand: 4 °C, after an hour 20 °C, after two 20 °C: above 5 °C from 3.75 min on, 1.9375 h long."""
    path = measured_path("filling", "Custard", [(0.0, 4.0), (HOUR, 20.0), (2 * HOUR, 20.0)])
    assert path.warm_s == pytest.approx(1.9375 * HOUR, rel=2e-3)
    assert path.warmest_c == 20.0


@pytest.mark.parametrize(
    ("readings", "told"),
    [
        ([], "two readings or more"),
        ([(0.0, 4.0)], "two readings or more"),
        ([(0.0, 4.0), (5 * HOUR, 4.0)], "a gap of 5.0 h"),
        ([(HOUR, 4.0), (0.0, 4.0)], "must rise"),
        ([(0.0, float("nan")), (HOUR, 4.0)], "the reading of a probe must be"),
        ([(0.0, 4.0), (float("nan"), 4.0)], "the time of a reading must be"),
        ([(0.0, 4.0), (HOUR, 400.0)], "the reading of a probe must be"),
    ],
)
def test_readings_that_do_not_hold_together(readings: list[tuple[float, float]], told: str) -> None:
    """Bad input: none, one, a gap, backwards, not a number, hotter than food gets."""
    with pytest.raises((BadInput, OutOfRange), match=told):
        measured_path("filling", "Custard", readings)
